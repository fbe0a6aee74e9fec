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

# What is markup wherever it stands: marks in pairs, tags, entities, formulas, addresses.
_ANYWHERE = re.compile(
    r"[\\`*\[\]~]|(?<![^\W_])_|_(?![^\W_])|<(?=[A-Za-z/!?])|&(?=#?\w+;)|\$(?!\d)"
    r"|:(?=//)|(?<=www)\.|(?<=\w)@(?=\w)"
)
# What makes a quotation, a heading, a list or a rule at the start of a line.
_AT_START = re.compile(r">|#(?=#{0,5}(?: |$))|[-+](?= |$)|-(?=[- ]*$)")
_NUMBERED = re.compile(r"(\d{1,9})([.)])(?= |$)")
_AT_END = re.compile(r"(?:(?<= )|^)#(?=#*$)")  # a heading loses such signs
_BAR_WIDTH = 40
_LINE = 9  # to write on; such a run between blanks is no markup


def escape(text: str) -> str:
    r"""Return text that a Markdown reader shows letter by letter as it was typed.

    Only what would be markup where it stands is escaped: sizes and threads stay as they are.

    >>> escape("1-1/2 *worn* | <b>"), escape("1.375in, 2-1/4-8"), escape("- loose")
    ('1-1/2 \\*worn\\* &#124; \\<b>', '1.375in, 2-1/4-8', '\\- loose')
    """
    escaped = _ANYWHERE.sub(r"\\\g<0>", " ".join(text.split())).replace("|", "&#124;")
    escaped = _AT_END.sub(r"\\#", escaped)
    if numbered := _NUMBERED.match(escaped):
        return f"{numbered[1]}\\{escaped[numbered.end(1) :]}"
    return f"\\{escaped}" if _AT_START.match(escaped) else escaped


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
            return "\n\n".join(f"{escape(label)}: {'_' * _LINE}" for label in labels)
        case NewPage():
            return "---"


def _table(table: Table) -> str:
    columns = ((Column(" "),) if table.tick else ()) + table.columns
    head = " | ".join(escape(column.title) or " " for column in columns)
    rule = " | ".join("---:" if column.align == "right" else "---" for column in columns)
    lines = [f"| {head} |", f"| {rule} |"]
    for row in table.rows:
        cells = (["[ ]"] if table.tick else []) + [escape(shown(cell)) for cell in row]
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
