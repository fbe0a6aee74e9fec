"""What stands on a mill's or a drill press's table: by the table's width and its T-slots."""

from __future__ import annotations

from kitreckon.catalogue.model import Kind
from kitreckon.count import Piece
from kitreckon.fitting.bench import Bench, length
from kitreckon.fitting.model import Adapter, Fit
from kitreckon.fitting.verdicts import fits, fits_with, misfit, resting_on, unknown, with_cautions
from kitreckon.quantities import known_mm
from kitreckon.reasons import Term, because
from kitreckon.standards import TSlot


def fit_table(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Try a vise, a table, a clamp kit on the machine's table."""
    if bench.is_lathe:
        return misfit(because("no-table", piece=Term("kind", kind.id)))
    if kind.machine_specific or kind.made_for_table:
        question = because("try-on-machine", piece=Term("kind", kind.id))
        return unknown("piece.tried", question)
    if kind.serves_as == "clamps":
        return _in_slot(piece, bench)
    width, size = known_mm(bench.machine.table_width), known_mm(piece.size)
    if kind.most_of_table is None:
        return fits(because("stands-on-table"))
    if width is None:
        return unknown("table_width", because("measure-table"))
    if size is None:
        return unknown("piece.size", because("measure-size", piece=Term("kind", kind.id)))
    shown = {"size": length(size), "width": length(width)}
    if size > width * kind.most_of_table:
        return misfit(because("wider-than-table", **shown))
    fit = fits(because("stands-on-table-of", **shown))
    return _vise(fit, size, width, bench) if kind.vise else fit


def _vise(fit: Fit, size: float, width: float, bench: Bench) -> Fit:
    """Warn where a vise is larger than such a table usually carries."""
    usual = [low for jaw, low, _ in bench.standards.vise_tables_mm.values() if jaw >= size - 1]
    if not usual or width >= min(usual) - 1:
        return fit
    reason = because("vise-large", size=length(size), usual=length(min(usual)))
    return with_cautions(fit, ("lifting",), reason)


def _in_slot(piece: Piece, bench: Bench) -> Fit:
    slot, nut = known_mm(bench.machine.table_slot), known_mm(piece.size)
    if slot is None:
        return unknown("table_slot", because("measure-slot"))
    if nut is None:
        return unknown("piece.size", because("measure-t-nut"))
    shown = {"nut": length(nut), "slot": length(slot)}
    if slot - bench.standards.rule("slot-clearance-mm") <= nut <= slot:
        return fits(because("t-nut-fits", **shown))
    row = nearest_slot(slot, bench)
    nuts = Adapter(
        f"t-nuts:{row.name if row else length(slot)}",
        bench.serving_as("made-part"),
        because("adapter-t-nuts", slot=length(slot), stud=row.bolt if row else "-"),
        size=length(slot),
        hours=bench.standards.rule("t-nut-hours"),
    )
    reason = because("t-nut-too-wide" if nut > slot else "t-nut-too-narrow", **shown)
    if row is None:
        return fits_with((nuts,), reason)
    room = because(
        "t-nut-head",
        slot=row.name,
        width=length(row.head_width_mm[0]),
        depth=length(row.head_depth_mm[0]),
    )
    return resting_on(fits_with((nuts,), reason, room), row.name, row.evidence, "width")


def nearest_slot(width_mm: float, bench: Bench) -> TSlot | None:
    """Return the standard slot nearest to a width, or None: tables are often odd."""
    row = min(
        bench.standards.t_slots.values(), key=lambda one: abs(one.width_mm - width_mm), default=None
    )
    near = bench.standards.rule("slot-near-mm")
    return row if row is not None and abs(row.width_mm - width_mm) <= near else None
