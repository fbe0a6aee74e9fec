"""A count as a CSV table, for spreadsheets and for kitreckon's own import."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from kitreckon.count import Piece, Reading
from kitreckon.count.columns import COLUMNS
from kitreckon.quantities import Length, Money, QuantityError, read_length
from kitreckon.reports.document import Amount, Cell
from kitreckon.reports.rendering.csv import rows_to_csv

_USUAL = (("his", False), ("seen", True))  # flags that stand only where they say something


def write_count_csv(
    pieces: Iterable[Piece],
    absent: Iterable[str] = (),
    names: Mapping[str, str] | None = None,
    *,
    raw: bool = False,
) -> str:
    """Return pieces as CSV; ``absent`` kinds were looked for and stand with quantity 0.

    names: what each kind is called, for people to read. raw: no guard against formulas.
    """
    names = names or {}
    rows: list[Sequence[Cell]] = [COLUMNS]
    rows += [_row(piece, names) for piece in pieces]
    for kind in absent:
        row: dict[str, Cell] = {"qty": Amount("0", 0), "kind": kind}
        row["thing"] = names.get(kind, kind)
        rows.append([row.get(column, "") for column in COLUMNS])
    return rows_to_csv(rows, raw=raw)


def _row(piece: Piece, names: Mapping[str, str]) -> list[Cell]:
    written: dict[str, Cell] = {}
    for column in COLUMNS:
        value = getattr(piece, column, None)
        if value is None or value == "" or (column, value) in _USUAL:
            continue
        if isinstance(value, bool):
            written[column] = "yes" if value else "no"
        elif isinstance(value, int):
            written[column] = Amount(str(value), value)
        elif isinstance(value, Length):
            written[column] = _with_unit(value)
        elif isinstance(value, Money):
            written[column] = Amount(str(value.major), value.major)
        elif isinstance(value, tuple):
            written[column] = "; ".join(_part(part) for part in value)
        else:
            written[column] = str(value)
    written["thing"] = names.get(piece.kind or "", piece.kind or piece.text)
    return [written.get(column, "") for column in COLUMNS]


def _with_unit(length: Length) -> str:
    """Return a length as typed, with the unit that was understood when none was typed."""
    typed = str(length)
    try:
        bare = length.unit is not None and read_length(typed).unit is None
    except QuantityError:  # the text says more, or something else: the figure is what counts
        return str(replace(length, text=""))
    return f"{typed}{length.unit}" if bare else typed


def _part(part: object) -> str:
    return f"{part.id}={_with_unit(part.value)}" if isinstance(part, Reading) else str(part)
