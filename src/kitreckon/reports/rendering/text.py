"""Plain text that reads well at 80 columns, on paper and through a screen reader."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence

from kitreckon.reports.document import (
    Amount,
    Bars,
    Blanks,
    Bullets,
    Caution,
    Cell,
    Document,
    Facts,
    Heading,
    NewPage,
    Paragraph,
    Part,
    Table,
)

_GAP = "  "
_NARROWEST = 7
_INDENT = 2
_BREAKABLE = 24  # columns: a longer word may be broken


def to_text(document: Document, width: int = 80) -> str:
    """Return the document as plain text, no line wider than ``width`` columns."""
    blocks = [_title(document.title, width)]
    blocks += [_part(part, width, dense=document.dense) for part in document.parts]
    return "\n\n".join(block for block in blocks if block) + "\n"


def columns(text: str) -> int:
    """Return how many columns of a terminal the text takes.

    >>> columns("12 in"), columns("旋盤")
    (5, 4)
    """
    if text.isascii():
        return len(text)
    return sum(_wide(character) for character in text)


def _wide(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) in ("Cf", "Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def pad(text: str, width: int, align: str = "left") -> str:
    """Return the text filled with spaces to ``width`` columns."""
    fill = " " * max(0, width - columns(text))
    return fill + text if align == "right" else text + fill


def wrap(text: str, width: int, indent: str = "", first: str | None = None) -> str:
    """Return the text broken into lines of at most ``width`` columns."""
    head = indent if first is None else first
    lines = broken(text, max(width - columns(indent), _NARROWEST))
    return "\n".join([head + lines[0], *(indent + line for line in lines[1:])]).rstrip()


def broken(text: str, width: int) -> list[str]:
    """Return the text as lines of at most ``width`` columns, one empty line for no text.

    >>> broken("a four-jaw chuck", 8)
    ['a', 'four-jaw', 'chuck']
    """
    lines, line = [], ""
    for word in text.split():
        joined = f"{line} {word}" if line else word
        if columns(joined) <= width:
            line = joined
            continue
        if line:
            lines.append(line)
        while columns(word) > width:
            head = _head(word, width)
            lines.append(head)
            word = word[len(head) :]
        line = word
    return [*lines, line] if line or not lines else lines


def _head(word: str, width: int) -> str:
    """Return as much of the word as fills ``width`` columns, at least one character."""
    end = len(word)
    while end > 1 and columns(word[:end]) > width:
        end -= 1
    return word[:end]


def bar_line(low: float, typical: float, high: float, most: float, width: int) -> str:
    """Return a bar in plain characters: dashes from low to high, a mark at the typical figure.

    >>> bar_line(25, 50, 100, 100, 21)
    '     -----o----------'
    """
    if most <= 0:
        return " " * width
    spots = [round((width - 1) * min(max(value, 0), most) / most) for value in (low, typical, high)]
    line = [" "] * width
    for spot in range(spots[0], spots[2] + 1):
        line[spot] = "-"
    line[spots[1]] = "o"
    return "".join(line)


def _title(title: str, width: int) -> str:
    text = wrap(title, width)
    longest = max((columns(line) for line in text.splitlines()), default=0)
    return f"{text}\n{'=' * min(longest, width)}"


def _part(part: Part, width: int, *, dense: bool) -> str:
    match part:
        case Heading(text, level):
            return text.upper() if level == 2 else text
        case Paragraph(text):
            return wrap(text, width)
        case Caution(text, source):
            said = f"{text} ({source})" if source else text
            return wrap(said, width, indent="    ", first="!!  ")
        case Facts(rows):
            return _facts(rows, width)
        case Bullets(items, tick):
            mark = "[ ] " if tick else "- "
            return "\n".join(wrap(item, width, " " * len(mark), mark) for item in items)
        case Table():
            return _table(part, width)
        case Bars():
            return _bars(part, width)
        case Blanks(labels):
            between = "\n" if dense else "\n\n"
            return between.join(_blank(label, width) for label in labels)
        case NewPage():
            return ""


def _facts(rows: Sequence[tuple[str, str]], width: int) -> str:
    label_width = min(max((columns(label) for label, _ in rows), default=0), width // 2 - 4)
    lines = []
    for label, value in rows:
        indent = " " * (label_width + 2)
        head = pad(label, label_width) + "  "
        if columns(head) > len(indent):
            lines.append(wrap(f"{label}: {value}", width, "  ", ""))
        else:
            lines.append(wrap(value, width, indent, head).rstrip())
    return "\n".join(lines)


def _blank(label: str, width: int) -> str:
    return f"{label} {'_' * max(10, width - columns(label) - 1)}"


def _bars(bars: Bars, width: int) -> str:
    most = max((bar.high for bar in bars.bars), default=0.0)
    label_width = max((columns(bar.label) for bar in bars.bars), default=0)
    label_width = label_width if label_width <= width // 3 else _INDENT
    shown_width = max((columns(bar.shown) for bar in bars.bars), default=0)
    room = max(10, width - label_width - shown_width - 4)
    lines = [wrap(bars.title, width)] if bars.title else []
    for bar in bars.bars:
        head = bar.label
        if label_width == _INDENT:  # long labels stand above their bars, whole
            lines.append(wrap(bar.label, width))
            head = ""
        line = bar_line(bar.low, bar.typical, bar.high, most, room)
        lines.append(f"{pad(head, label_width)}  {line}  {pad(bar.shown, shown_width, 'right')}")
    return "\n".join(lines)


def shown(cell: Cell) -> str:
    """Return what a cell shows."""
    return cell.shown if isinstance(cell, Amount) else cell


def _table(table: Table, width: int) -> str:
    rows = [[shown(cell) for cell in row] for row in table.rows]
    titles = [column.title for column in table.columns]
    box = "[ ] " if table.tick else ""
    widths = _fitted(titles, rows, table, width - len(box))
    aligns = [column.align for column in table.columns]
    lines = _row(titles, widths, aligns, " " * len(box))
    lines.append(" " * len(box) + _GAP.join("-" * column_width for column_width in widths))
    for row in rows:
        lines += _row(row, widths, aligns, box)
    return "\n".join(lines)


def _fitted(
    titles: Sequence[str], rows: Sequence[Sequence[str]], table: Table, room: int
) -> list[int]:
    """Return column widths: each as wide as it needs, then the widest give way."""
    widths = [columns(title) for title in titles]
    for row in rows:
        for index, cell in enumerate(row):
            widths[index] = max(widths[index], columns(cell))
    for index, column in enumerate(table.columns):
        if column.blank:
            widths[index] = max(widths[index], 6)
    room -= len(_GAP) * (len(widths) - 1)
    words = [_longest_word(index, titles, rows) for index in range(len(widths))]
    _narrow(widths, words, room, table)
    _narrow(widths, [_NARROWEST] * len(widths), room, table)
    return widths


def _longest_word(index: int, titles: Sequence[str], rows: Iterable[Sequence[str]]) -> int:
    """Return the width below which a column breaks words; very long ones it may break."""
    cells = [titles[index], *(row[index] for row in rows)]
    longest = max((columns(word) for cell in cells for word in cell.split()), default=0)
    return max(_NARROWEST, min(longest, _BREAKABLE))


def _narrow(widths: list[int], least: Sequence[int], room: int, table: Table) -> None:
    """Take from the widest columns until the row fits, none below its least width."""
    while sum(widths) > room:
        able = [index for index, width in enumerate(widths) if width > least[index]]
        if not able:
            return
        widths[max(able, key=lambda index: _gives(widths, table, index))] -= 1


def _gives(widths: Sequence[int], table: Table, index: int) -> int:
    """Figures give way last: a broken number is a wrong number."""
    return widths[index] - (40 if table.columns[index].align == "right" else 0)


def _row(cells: Sequence[str], widths: Sequence[int], aligns: Sequence[str], box: str) -> list[str]:
    wrapped = [broken(cell, width) for cell, width in zip(cells, widths, strict=True)]
    lines = []
    for number in range(max(len(cell) for cell in wrapped)):
        parts = [
            pad(cell[number] if number < len(cell) else "", width, align)
            for cell, width, align in zip(wrapped, widths, aligns, strict=True)
        ]
        lines.append(((box if number == 0 else " " * len(box)) + _GAP.join(parts)).rstrip())
    return lines
