"""Drawing of one line of plain text in the styles of a widget, without markup."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.segment import Segment
from textual.strip import Strip

from kitreckon.quantities import clean_text
from kitreckon.screens.safe_text import fit, to_ascii

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.widget import Widget

Span = tuple[str, str]  # (text, component class or "")

COMPONENTS = {"ink--strong", "ink--faint", "ink--alarm", "ink--hand", "ink--head", "ink--rule"}


def paint(widget: Widget, spans: Sequence[Span], width: int) -> Strip:
    """Return spans as one strip of exactly ``width`` cells, cut with a mark where too long."""
    ascii_only = bool(getattr(widget.app, "ascii_only", False))
    segments: list[Segment] = []
    left = width
    for place, (text, component) in enumerate(spans):
        drawn = text if text.isprintable() else clean_text(text, len(text))
        drawn = to_ascii(drawn) if ascii_only else drawn
        last = place == len(spans) - 1
        drawn = fit(drawn, left) if last else fit(drawn, min(left, _cells(drawn)))
        if ascii_only:
            drawn = to_ascii(drawn)
        left -= _cells(drawn)
        style = widget.get_component_rich_style(component) if component else widget.rich_style
        segments.append(Segment(drawn, style))
    if left > 0:
        segments.append(Segment(" " * left, widget.rich_style))
    return Strip(segments, width)


def _cells(text: str) -> int:
    return Segment(text).cell_length
