"""How big a wanted thing should be on this machine, and by which size a thing is priced."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import Outfit, PriceTable, SizeRule, Want
from kitreckon.count import Machine, Piece
from kitreckon.fitting.bench import ends
from kitreckon.quantities import known_mm


@dataclass(frozen=True, slots=True)
class Window:
    """The sizes that serve fully, in mm, and the usual one; all None where size is no matter."""

    low_mm: float | None = None
    typical_mm: float | None = None
    high_mm: float | None = None
    mount: str | None = None
    by_class: bool = False  # from what machines of the class measure: this one was not measured

    def grade(self, size_mm: float | None, useless_at: float) -> float:
        """Return how well a size serves: 1 within, falling to 0 at so many times beyond.

        >>> window = Window(150.0, 160.0, 200.0)
        >>> [round(window.grade(size_mm, 1.41), 2) for size_mm in (160.0, 210.0, 100.0)]
        [1.0, 0.86, 0.0]
        """
        if size_mm is None or self.low_mm is None or self.high_mm is None or size_mm <= 0.0:
            return 1.0
        beyond = max(self.low_mm / size_mm, size_mm / self.high_mm)
        return (
            min(1.0, max(0.0, 1.0 - math.log(beyond) / math.log(useless_at)))
            if beyond > 1.0
            else 1.0
        )


def machine_measure_mm(machine: Machine, measure: str) -> float | None:
    """Return a measure of the machine by the name the catalogue gives it."""
    lengths = {
        "swing": machine.swing,
        "table-width": machine.table_width,
        "table": machine.table_length,
        "table-length": machine.table_length,
        "table-slot": machine.table_slot,
        "bore": machine.bore,
        "between-centres": machine.between_centres,
    }
    return known_mm(lengths.get(measure))


def windows(
    want: Want, machine: Machine, near: float, outfit: Outfit | None = None
) -> tuple[Window, ...]:
    """Return the window of each unit of a want; sizes within ``near`` times of one serve too.

    Where the machine was not measured, the sizes that serve some machine of its class.
    """
    rule, count = want.size, max(want.qty, 0)
    if rule.sizes_mm:
        return tuple(
            _around(
                rule.sizes_mm[min(k * len(rule.sizes_mm) // count, len(rule.sizes_mm) - 1)]
                if count >= len(rule.sizes_mm)
                else rule.sizes_mm[k],
                near,
            )
            for k in range(count)
        )
    if rule.of in ("tailstock-taper", "tailstock-socket"):
        return (Window(mount=machine.tailstock_socket or rule.usual or None),) * count
    if rule.of in ("spindle-taper", "spindle-socket"):
        return (Window(mount=machine.spindle_socket or rule.usual or None),) * count
    measure = machine_measure_mm(machine, rule.of) if rule.of else None
    if rule.factor is None:
        return (Window(),) * count
    if measure is not None:
        return (_by_factor(rule, measure, measure),) * count
    if outfit is not None and outfit.range_mm is not None and rule.of == outfit.measure:
        return (replace(_by_factor(rule, *outfit.range_mm), by_class=True),) * count
    return (Window(),) * count


def _by_factor(rule: SizeRule, least_mm: float, most_mm: float) -> Window:
    """Return the window for machines of such measures, the usual size that of the middle one."""
    low, typical, high = rule.factor or (1.0, 1.0, 1.0)
    usual = typical * math.sqrt(least_mm * most_mm)
    if rule.round_to_mm:
        usual = min(rule.round_to_mm, key=lambda size: abs(math.log(size / usual)))
    return Window(min(low * least_mm, usual), usual, max(high * most_mm, usual))


def size_wanted_mm(table: PriceTable | None, window: Window) -> float | None:
    """Return the size to name where a thing is wanted; None where no one size is.

    table: the prices of its kind. One that is known by its mount is named by that alone, and a
    machine that was not measured has no size of its own.
    """
    by_mount = table is not None and bool(table.mount_sizes)
    return None if by_mount or window.by_class else window.typical_mm


def _around(size_mm: float, near: float) -> Window:
    return Window(size_mm / near, size_mm, size_mm * near)


def price_size_mm(table: PriceTable | None, piece: Piece, machine: Machine) -> float | None:
    """Return the size a piece is priced by: its mount's, the machine's measure, or its own.

    What its text names counts after the mount: an ER40 chuck on a D1-4 nose.
    """
    if table is None:
        return known_mm(piece.size)
    sizes = dict(table.mount_sizes)
    said = [sizes[end] for end in ends(piece) if end in sizes] if sizes else []
    if said:
        return said[0]
    if table.size_of:
        return machine_measure_mm(machine, table.size_of)
    return None if sizes else known_mm(piece.size)


def window_size_mm(table: PriceTable | None, window: Window, machine: Machine) -> float | None:
    """Return the size a wanted thing is priced by; None means the table's main size."""
    if table is None:
        return window.typical_mm
    sizes = dict(table.mount_sizes)
    if window.mount is not None and window.mount in sizes:
        return sizes[window.mount]
    if table.size_of:
        return machine_measure_mm(machine, table.size_of)
    return None if sizes or table.size_mm is None else window.typical_mm
