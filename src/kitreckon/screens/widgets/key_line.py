"""The footer: only keys that work here and now, as many as there is room for."""

from __future__ import annotations

from typing import ClassVar

from textual.strip import Strip
from textual.widget import Widget

from kitreckon.screens.widgets.paint import COMPONENTS, Span, paint


class KeyLine(Widget):
    """One line of keys and what they do; the last one given is always shown."""

    COMPONENT_CLASSES: ClassVar[set[str]] = COMPONENTS

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.pairs: tuple[tuple[str, str], ...] = ()

    def show(self, pairs: tuple[tuple[str, str], ...]) -> None:
        """Show these keys, the most wanted first and the help key last."""
        if pairs != self.pairs:
            self.pairs = pairs
            self.refresh()

    def fitting(self, width: int) -> tuple[tuple[str, str], ...]:
        """Return the pairs that fit whole, the last one among them."""
        if not self.pairs:
            return ()
        *rest, last = self.pairs
        room = width - _length(last)
        shown = []
        for pair in rest:
            if _length(pair) + 2 > room:
                continue
            room -= _length(pair) + 2
            shown.append(pair)
        return (*shown, last)

    def render_line(self, y: int) -> Strip:
        """Return the line of keys."""
        width = self.size.width
        spans: list[Span] = []
        for key, word in self.fitting(width):
            gap = "  " if spans else ""
            spans += [(gap, ""), (key, "ink--strong"), (" " + word, "")]
        return paint(self, [*spans, ("", "")], width)


def _length(pair: tuple[str, str]) -> int:
    return len(pair[0]) + 1 + len(pair[1])
