"""A report before it is written down: headings, paragraphs, tables, boxes, bars.

Frozen values that know nothing of text, Markdown, HTML or CSV; reports.rendering writes them.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal


@dataclass(frozen=True, slots=True)
class Amount:
    """A figure: as it is shown, and as the number a spreadsheet adds up (None: no figure)."""

    shown: str
    number: Decimal | int | None = None


Cell = str | Amount


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading; level 2 opens a section, level 3 a part of one."""

    text: str
    level: Literal[2, 3] = 2


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text."""

    text: str


@dataclass(frozen=True, slots=True)
class Caution:
    """A warning that stands in a box beside the thing it is about."""

    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """Labels with their values, one a line."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Bullets:
    """A list; ``tick`` puts a box to tick before each item."""

    items: tuple[str, ...]
    tick: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table. ``blank`` columns are left empty to be filled in by hand."""

    title: str
    align: Literal["left", "right"] = "left"
    blank: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table; ``tick`` puts a box to tick before each row."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    tick: bool = False


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of a picture: a range with its typical figure, on a scale from 0."""

    label: str
    low: float
    typical: float
    high: float
    shown: str


@dataclass(frozen=True, slots=True)
class Bars:
    """Bars one under another, on one scale."""

    bars: tuple[Bar, ...]
    title: str = ""


@dataclass(frozen=True, slots=True)
class Blanks:
    """Labels, each with a line to write on."""

    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NewPage:
    """What follows starts on a new sheet of paper."""


Part = Heading | Paragraph | Caution | Facts | Bullets | Table | Bars | Blanks | NewPage


@dataclass(frozen=True, slots=True)
class Document:
    """A whole report. ``dense`` documents are set small, to keep a form on its two pages."""

    title: str
    parts: tuple[Part, ...]
    dense: bool = False

    def tables(self) -> tuple[Table, ...]:
        """Return the tables, in order: what a CSV file holds."""
        return tuple(part for part in self.parts if isinstance(part, Table))
