"""CSV for spreadsheets: figures as numbers, and no text that a spreadsheet takes for a formula."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence

from kitreckon.quantities.cells import guard
from kitreckon.reports.document import Amount, Cell, Document


def to_csv(document: Document, *, raw: bool = False) -> str:
    """Return the document's tables, one under another, with an empty row between."""
    blocks = []
    for table in document.tables():
        titles: list[Cell] = [column.title for column in table.columns]
        blocks.append(rows_to_csv([titles, *table.rows], raw=raw))
    return "\r\n".join(blocks)


def rows_to_csv(rows: Iterable[Sequence[Cell]], *, raw: bool = False) -> str:
    """Return rows as CSV text with CRLF line ends; ``raw`` leaves text cells unguarded."""
    written = _Written()
    writer = csv.writer(written, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_cell(cell, raw) for cell in row])
    return "".join(written.lines)


class _Written:
    """Where the writer puts its lines."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def write(self, line: str) -> None:
        self.lines.append(line)


def _cell(cell: Cell, raw: bool) -> str:
    if isinstance(cell, Amount):
        return cell.shown if cell.number is None else str(cell.number)
    return cell if raw else guard(cell)
