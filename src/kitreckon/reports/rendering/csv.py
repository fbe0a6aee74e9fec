"""CSV for spreadsheets: figures as numbers, and no text that a spreadsheet takes for a formula."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence

from kitreckon.reports.document import Amount, Cell, Document

# What spreadsheets start a formula or a command with, in half and full width.
_STARTS = frozenset("=+-@|%\t\r\n＝＋－＠")
_INVISIBLE = "\ufeff\u200b\u200c\u200d\u2060 \u00a0"


def guard(text: str) -> str:
    """Return text that a spreadsheet shows and does not reckon: with ' before a dangerous start.

    >>> guard("=1+1"), guard("4-jaw"), guard(" -loose nut")
    ("'=1+1", '4-jaw', "' -loose nut")
    """
    return f"'{text}" if _dangerous(text) else text


def unguard(text: str) -> str:
    """Return a guarded cell as it was before; any other text unchanged.

    >>> unguard(guard("=1+1")), unguard("'tis worn")
    ('=1+1', "'tis worn")
    """
    return text[1:] if text.startswith("'") and _dangerous(text[1:]) else text


def _dangerous(text: str) -> bool:
    stripped = text.lstrip(_INVISIBLE)
    return stripped[:1] in _STARTS and bool(stripped)


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
