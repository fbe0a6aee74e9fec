"""Facts of a machine that cannot all be true, or that its class makes most unlikely.

Nothing is refused and nothing is put right: each doubt names the facts to look at again.
"""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Machine
from kitreckon.fitting.bench import length
from kitreckon.fitting.model import Doubt
from kitreckon.quantities import known_mm
from kitreckon.reasons import Nominal, Reason, because
from kitreckon.standards import Nose, Standards

_PLAY_MM = 0.05  # figures of tables are rounded


def doubts(machine: Machine, catalogue: Catalogue) -> tuple[Doubt, ...]:
    """Return what of the machine's facts cannot be so, what is surest first."""
    standards = catalogue.standards
    return (
        *_of_the_spindle(machine, standards),
        *_of_the_heights(machine),
        *_of_the_class(machine, catalogue),
        *_of_the_money(machine),
    )


def no_such_socket(machine: Machine, standards: Standards) -> Reason | None:
    """Return why there can be no such spindle socket: the bore has left nothing of its cone."""
    cone = standards.cones.get(machine.spindle_socket or "")
    bore = known_mm(machine.bore)
    if cone is None or bore is None or bore < cone.large_mm - _PLAY_MM:
        return None
    shown = {"bore": length(bore), "large": length(cone.large_mm)}
    return because("no-such-socket", socket=cone.name, **shown)


def _of_the_spindle(machine: Machine, standards: Standards) -> Iterator[Doubt]:
    none = no_such_socket(machine, standards)
    if none is not None:
        yield Doubt(("spindle_socket", "bore"), none)
    nose = standards.noses.get(machine.nose or "")
    across = _across(nose)
    if nose is None or across is None:
        return
    bore = known_mm(machine.bore)
    cone = standards.cones.get(machine.spindle_socket or "")
    shown = {"nose": nose.name, "across": length(across)}
    if bore is not None and bore >= across:
        yield Doubt(("nose", "bore"), because("bore-over-nose", bore=length(bore), **shown))
    if cone is not None and cone.large_mm >= across:
        wide = because("socket-over-nose", socket=cone.name, large=length(cone.large_mm), **shown)
        yield Doubt(("nose", "spindle_socket"), wide)


def _across(nose: Nose | None) -> float | None:
    """Return the diameter that holds bore and socket: that of the thread or of the cone."""
    return None if nose is None else nose.major_mm or nose.gauge_mm


def _of_the_heights(machine: Machine) -> Iterator[Doubt]:
    """Nothing above the bed is farther from the centre line, or turns larger, than over it."""
    swing = known_mm(machine.swing)
    if swing is None:
        return
    height, cross = known_mm(machine.post_height), known_mm(machine.swing_over_cross_slide)
    if height is not None and height >= swing / 2:
        told = because("post-over-centres", height=length(height), centre=length(swing / 2))
        yield Doubt(("post_height", "swing"), told)
    if cross is not None and cross >= swing:
        told = because("cross-over-swing", cross=length(cross), swing=length(swing))
        yield Doubt(("swing_over_cross_slide", "swing"), told)


def _of_the_class(machine: Machine, catalogue: Catalogue) -> Iterator[Doubt]:
    """Doubt a measure far outside those of its class: one of the two is most often a slip."""
    outfit = catalogue.outfits.get(machine.machine_class)
    fact = {"swing": "swing", "table-width": "table_width"}.get(outfit.measure if outfit else "")
    if outfit is None or outfit.range_mm is None or fact is None:
        return
    size, (low, high) = known_mm(getattr(machine, fact)), outfit.range_mm
    far = catalogue.standards.rule("class-far")
    if size is None or low / far <= size <= high * far:
        return
    shown = {"size": length(size), "low": Nominal(low), "high": Nominal(high)}
    told = "table-not-of-class" if fact == "table_width" else "swing-not-of-class"
    if fact == "swing" and low <= 2 * size <= high:
        told = "swing-is-height"  # a centre height where a swing was wanted
    elif fact == "swing" and low <= size / 2 <= high:
        told = "height-is-swing"  # a swing where a centre height was wanted
    yield Doubt((fact, "machine_class"), because(told, **shown))


def _of_the_money(machine: Machine) -> Iterator[Doubt]:
    """Who would get more for the parts would not sell the machine whole."""
    parts, whole = machine.parts_value, machine.bare_price
    if parts is None or whole is None or parts.currency != whole.high.currency:
        return
    if parts > whole.high:
        told = because("parts-over-whole", parts=parts, whole=whole.high)
        yield Doubt(("parts_value", "bare_price"), told)
