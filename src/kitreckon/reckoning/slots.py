"""What a machine should have, unit by unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import Catalogue, Kind, Outfit, Want
from kitreckon.count import Machine
from kitreckon.reckoning.sizes import Window, windows


@dataclass(frozen=True, slots=True)
class Slot:
    """One unit of one want."""

    want: Want
    window: Window
    sure: bool  # False: whether the machine needs it hangs on a fact nobody asked yet


def applies(want: Want, machine: Machine) -> bool | None:
    """Return whether a machine needs a want; None while a fact it hangs on is not known."""
    return _hold(want.when, machine)


def wants_of(outfit: Outfit | None, machine: Machine) -> tuple[Want, ...]:
    """Return the wants of an outfit as this machine has them, without those it does not need."""
    wants = outfit.wants if outfit is not None else ()
    return tuple(_on(want, machine) for want in wants if applies(want, machine) is not False)


def outfit_of(machine: Machine, catalogue: Catalogue) -> Outfit | None:
    """Return the outfit of a machine's class with its wants as this machine has them."""
    outfit = catalogue.outfits.get(machine.machine_class)
    return outfit and replace(outfit, wants=wants_of(outfit, machine))


def _on(want: Want, machine: Machine) -> Want:
    """Return a want with what differs on this machine; while that is not known, as it stands."""
    other = next((o for o in want.otherwise if _hold(o.when, machine)), None)
    if other is None:
        return want
    said = {name: getattr(other, name) for name in ("tier", "size", "chance_here", "note")}
    return replace(want, **{name: value for name, value in said.items() if value is not None})


def _hold(conditions: Sequence[str], machine: Machine) -> bool | None:
    """Return whether all conditions hold; None while a fact is not known and none fails."""
    answer: bool | None = True
    for condition in conditions:
        negated = condition.startswith("no-")
        fact = machine.feature(condition.removeprefix("no-") if negated else condition)
        if fact is None:
            answer = None
        elif fact is negated:
            return False
    return answer


def slots_of(outfit: Outfit | None, machine: Machine, near: float) -> tuple[Slot, ...]:
    """Return every wanted unit of a machine; wants it does not need are left out.

    near: sizes within so many times of a single wanted size serve as well.
    """
    slots: list[Slot] = []
    for want in wants_of(outfit, machine):
        sure = applies(want, machine) is True
        slots += (Slot(want, window, sure) for window in windows(want, machine, near, outfit))
    return tuple(slots)


def wanted_kinds(slots: Sequence[Slot]) -> Mapping[str, tuple[tuple[Want, Window], ...]]:
    """Return for each kind the wants it serves, each with its sizes once."""
    wanted: dict[str, dict[tuple[Want, Window], None]] = {}
    for slot in slots:
        for kind in slot.want.any_of:
            wanted.setdefault(kind, {})[slot.want, slot.window] = None
    return {kind: tuple(pairs) for kind, pairs in wanted.items()}


def usual_sizes(slots: Sequence[Slot], kinds: Mapping[str, Kind]) -> Mapping[str, float]:
    """Return the usual size on this machine of each wanted kind whose size follows from it.

    Another kind that serves has it too where its size is measured at the same place: the bore of
    a holder says nothing of the body of a chuck.
    """
    measures = {kind.id: kind.measures for kind in kinds.values()}
    usual: dict[str, float] = {}
    for slot in slots:
        want = slot.want
        for kind in want.any_of if slot.window.typical_mm is not None else ():
            if kind == want.kind or measures.get(kind) == measures.get(want.kind):
                usual.setdefault(kind, slot.window.typical_mm or 0.0)
    return usual
