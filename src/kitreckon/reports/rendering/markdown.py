"""Markdown in which nothing a user typed can turn into markup."""

from __future__ import annotations

import re

from kitreckon.reports.document import (
    Bars,
    Blanks,
    Bullets,
    Caution,
    Column,
    Document,
    Facts,
    Heading,
    NewPage,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.rendering.text import bar_line, pad, shown
from kitreckon.reports.rendering.text import columns as columns_of

_BACKSLASH = re.compile(r"([\\`*_\[\]()#+\-.!~$^=:@/\"{}])")
_NUMBERS = {"&": "&#38;", "<": "&#60;", ">": "&#62;", "|": "&#124;"}
_BAR_WIDTH = 40


def escape(text: str) -> str:
    r"""Return text that a Markdown reader shows letter by letter as it was typed.

    >>> escape("1-1/2 *worn* | <b>")
    '1\\-1\\/2 \\*worn\\* &#124; &#60;b&#62;'
    """
    one_line = " ".join(text.split())
    escaped = _BACKSLASH.sub(r"\\\1", one_line)
    return "".join(_NUMBERS.get(character, character) for character in escaped)


def to_markdown(document: Document) -> str:
    """Return the document as Markdown."""
    blocks = [f"# {escape(document.title)}"]
    blocks += [_part(part) for part in document.parts]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _part(part: Part) -> str:
    match part:
        case Heading(text, level):
            return f"{'#' * level} {escape(text)}"
        case Paragraph(text):
            return escape(text)
        case Caution(text, source):
            said = f"{text} ({source})" if source else text
            return f"> **Caution.** {escape(said)}"
        case Facts(rows):
            return "\n".join(f"- {escape(label)}: {escape(value)}" for label, value in rows)
        case Bullets(items, tick):
            mark = "- [ ] " if tick else "- "
            return "\n".join(mark + escape(item) for item in items)
        case Table():
            return _table(part)
        case Bars():
            return _bars(part)
        case Blanks(labels):
            return "\n\n".join(f"{escape(label)}: \\_\\_\\_\\_\\_\\_\\_\\_" for label in labels)
        case NewPage():
            return "---"


def _table(table: Table) -> str:
    columns = ((Column(" "),) if table.tick else ()) + table.columns
    head = " | ".join(escape(column.title) or " " for column in columns)
    rule = " | ".join("---:" if column.align == "right" else "---" for column in columns)
    lines = [f"| {head} |", f"| {rule} |"]
    for row in table.rows:
        cells = (["\\[ \\]"] if table.tick else []) + [escape(shown(cell)) for cell in row]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines)


def _bars(bars: Bars) -> str:
    most = max((bar.high for bar in bars.bars), default=0.0)
    width = max((columns_of(bar.label) for bar in bars.bars), default=0)
    lines = [
        f"{pad(bar.label, width)}  |{bar_line(bar.low, bar.typical, bar.high, most, _BAR_WIDTH)}|"
        f"  {bar.shown}"
        for bar in bars.bars
    ]
    title = f"{escape(bars.title)}\n\n" if bars.title else ""
    # Four blanks make a code block that no run of tildes or backquotes in a label can end.
    return title + "\n".join("    " + line for line in lines)
