"""A block of plain text with strong labels, wrapped to its place; what is cut off leaves a mark."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.cells import cell_len
from textual.geometry import Size
from textual.strip import Strip
from textual.widget import Widget

from kitreckon.screens.safe_text import CUT_MARK, cut, wrap
from kitreckon.screens.widgets.paint import COMPONENTS, Span, paint

WILL_LINES = 2  # lines below the line, where what is wrapped has no more room


@dataclass(frozen=True, slots=True)
class Paragraph:
    """A strong label and its text. ``alarm`` draws both as a danger.

    ``one_line``: cut to one line rather than wrapped; ``right``: put at the right edge of it;
    ``beside``: a second label and text on the same line.
    """

    label: str = ""
    text: str = ""
    alarm: bool = False
    one_line: bool = False
    right: str = ""
    beside: tuple[str, str] | None = None

    def is_cut(self, width: int) -> bool:
        """Return whether some of it is not shown at this width: beyond one line, or beyond two."""
        label = f"{self.label}  " if self.label and self.text else self.label
        if not self.one_line:
            return len(wrap(label + self.text, width)) > WILL_LINES
        room = width - cell_len(self.right) - (1 if self.right else 0)
        return cell_len(label + self.text) > room

    def in_full(self) -> Paragraph:
        """Return the same wrapped to as many lines as it needs, with nothing at its right."""
        return Paragraph(self.label, self.text, self.alarm)


class TextBlock(Widget):
    """Paragraphs, as many as there is room for; ``more`` names the key that shows the rest."""

    COMPONENT_CLASSES: ClassVar[set[str]] = COMPONENTS

    def __init__(self, *, id: str | None = None, more: str = "", top: int = 0) -> None:
        super().__init__(id=id)
        self.paragraphs: tuple[Paragraph, ...] = ()
        self.more = more
        self.top = top
        self._lines: list[list[Span]] = []
        self._made_for: object = None

    def show(self, paragraphs: Sequence[Paragraph]) -> None:
        """Show these paragraphs, if they are other than those shown."""
        if tuple(paragraphs) == self.paragraphs:
            return
        before = len(self.lines())
        self.paragraphs = tuple(paragraphs)
        self.top = 0
        auto = self.styles.height is not None and self.styles.height.is_auto
        self.refresh(layout=auto and len(self.lines()) != before)

    def scroll_lines(self, steps: int) -> None:
        """Move the text by some lines, stopping at its ends."""
        last = max(0, len(self.lines()) - self.size.height)
        self.top = max(0, min(last, self.top + steps))
        self.refresh()

    def lines(self, width: int | None = None) -> list[list[Span]]:
        """Return every line of the block, at its present width or another."""
        width = self.size.width if width is None else width
        key = (self.paragraphs, width)
        if key != self._made_for:
            self._lines = [line for each in self.paragraphs for line in _lay(each, width)]
            self._made_for = key
        return self._lines

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """Return how many lines there are, where the height follows the text."""
        return len(self.lines(width))

    def render_line(self, y: int) -> Strip:
        """Return one line; the last one says when there is more."""
        width, height = self.size
        lines = self.lines()
        place = self.top + y
        if place >= len(lines):
            return Strip.blank(width, self.rich_style)
        line = lines[place]
        if y == height - 1 and place < len(lines) - 1:
            line = _with_mark(line, width, f"{CUT_MARK} {self.more}".rstrip())
        return paint(self, line, width)


def _lay(paragraph: Paragraph, width: int) -> list[list[Span]]:
    """Return a paragraph as lines of spans."""
    strong = "ink--alarm" if paragraph.alarm else "ink--strong"
    ink = "ink--alarm" if paragraph.alarm else ""
    label = paragraph.label + "  " if paragraph.label and paragraph.text else paragraph.label
    if paragraph.one_line:
        room = width - len(paragraph.right) - (1 if paragraph.right else 0)
        text = cut(label + paragraph.text, room)
        spans = [(text[: len(label)], strong), (text[len(label) :], ink)]
        if paragraph.beside:
            name, said = paragraph.beside
            spans += [("   ", ""), (name, "ink--strong"), ("  " + said, "")]
            text += f"   {name}  {said}"
        gap = " " * max(0, width - len(text) - len(paragraph.right))
        return [[*spans, (gap, ""), (paragraph.right, "ink--strong")]]
    lines = wrap(label + paragraph.text, width)
    head = lines[0] if lines else ""
    first: list[Span] = [(head[: len(label)], strong), (head[len(label) :], ink)]
    return [first, *([(line, ink)] for line in lines[1:])]


def _with_mark(line: Sequence[Span], width: int, mark: str) -> list[Span]:
    """Return a line cut short so that the mark for "there is more" stands at its end."""
    room = max(0, width - len(mark) - 1)
    spans: list[Span] = []
    for text, ink in line:
        spans.append((text[:room], ink))
        room -= len(text[:room])
    return [*spans, (" " * (room + 1), ""), (mark, "ink--strong")]
