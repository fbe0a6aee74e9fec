"""A ruled list: columns under a ruled head, one row in hand, folded groups.

It draws only the lines that changed, and says how many rows stand above and below.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal

from rich.cells import cell_len
from textual import events
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from kitreckon.screens.safe_text import Align, fit
from kitreckon.screens.widgets.paint import COMPONENTS, Span, paint


@dataclass(frozen=True, slots=True)
class Column:
    """A column: least width, share of the spare width, and when it may go.

    Columns with the highest ``drop`` go first when the page is narrow; drop 0 never goes.
    """

    title: str
    width: int
    grow: int = 0
    align: Align = "left"
    drop: int = 0


@dataclass(frozen=True, slots=True)
class Row:
    """One row. ``look`` is how it is drawn; a heading or a note spans all columns.

    ``stop``: whether the arrow stops there; None is at rows alone.
    """

    id: str
    cells: tuple[str, ...]
    look: Literal["", "strong", "faint", "alarm"] = ""
    sort: Literal["row", "heading", "note"] = "row"
    stop: bool | None = None

    @property
    def stops(self) -> bool:
        """Whether the arrow stops at this row."""
        return self.sort == "row" if self.stop is None else self.stop


class RuledList(Widget):
    """The list of a page. It never takes the focus: the line does."""

    COMPONENT_CLASSES: ClassVar[set[str]] = COMPONENTS

    class InHand(Message):
        """Another row was taken in hand with the mouse."""

        def __init__(self, row_id: str) -> None:
            super().__init__()
            self.row_id = row_id

    class Widened(Message):
        """The list has another width: what is wrapped to it is wrapped anew."""

    class Opened(Message):
        """A row was clicked that was already in hand."""

        def __init__(self, row_id: str) -> None:
            super().__init__()
            self.row_id = row_id

    def __init__(self, columns: Sequence[Column], *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.columns = tuple(columns)
        self.rows: list[Row] = []
        self.hand = 0
        self.top = 0
        self._widths: list[int] = []
        self._measured = 0  # the width the columns were fitted to
        self._told_width = 0
        self._places: dict[str, int] = {}

    # What is shown

    def set_rows(self, rows: Sequence[Row], in_hand: str | None = None) -> None:
        """Show these rows; keep the row in hand by its id, or take up ``in_hand``."""
        wanted = in_hand or self.row_id
        self.rows = list(rows)
        self._places = {row.id: place for place, row in enumerate(self.rows)}
        self.hand = self._places.get(wanted or "", min(self.hand, max(0, len(rows) - 1)))
        if self.rows and not self.rows[self.hand].stops:
            self.hand = next((n for n, row in enumerate(self.rows) if row.stops), self.hand)
        self._keep_in_sight()
        self.refresh()

    def set_columns(self, columns: Sequence[Column]) -> None:
        """Show other columns."""
        self.columns = tuple(columns)
        self._measured = 0
        self.refresh()

    def update_row(self, row: Row) -> None:
        """Draw one row anew."""
        place = self._places.get(row.id)
        if place is None or self.rows[place] == row:
            return
        self.rows[place] = row
        self._refresh_line(place)

    @property
    def row_id(self) -> str | None:
        """Id of the row in hand; None when there are no rows."""
        return self.rows[self.hand].id if self.rows else None

    @property
    def row_in_hand(self) -> Row | None:
        """The row in hand; None when there are no rows."""
        return self.rows[self.hand] if self.rows else None

    def cut_in_hand(self) -> list[tuple[str, str]]:
        """Return title and text of every cell of the row in hand that is not shown whole."""
        row = self.row_in_hand
        if row is None or row.sort == "heading" or not self.size.width:
            return []
        if row.sort == "note":
            whole = cell_len(row.cells[0]) <= self.size.width - 2
            return [] if whole else [("", row.cells[0])]
        if self._measured != self.size.width:
            self._measure()
        told = zip(self.columns, row.cells, self._widths, strict=True)
        return [
            (column.title, cell)
            for column, cell, width in told
            if cell_len(cell) > width and any(sign.isalnum() for sign in cell)
        ]

    # Moving

    def move_to(self, row_id: str) -> bool:
        """Take a row in hand by its id; return whether it is there."""
        place = self._places.get(row_id)
        if place is None:
            return False
        self._take(place)
        return True

    def move(self, steps: int) -> bool:
        """Move down (or up, below zero) over rows the arrow stops at; say whether it moved."""
        stops = [n for n, row in enumerate(self.rows) if row.stops]
        before = [n for n in stops if n < self.hand]
        after = [n for n in stops if n > self.hand]
        way = after if steps > 0 else before[::-1]
        if way:
            self._take(way[min(abs(steps), len(way)) - 1])
        elif steps < 0 and self.top:
            self.top = 0
            self.refresh()
        return bool(way)

    @property
    def sheet_height(self) -> int:
        """Rows that fit below the head."""
        return max(1, self.size.height - 1)

    def _take(self, place: int) -> None:
        if place == self.hand:
            return
        before, top = self.hand, self.top
        self.hand = place
        self._keep_in_sight()
        if self.top != top:
            self.refresh()
        else:
            self._refresh_line(before)
            self._refresh_line(place)

    def _keep_in_sight(self) -> None:
        height = self.sheet_height
        self.top = max(0, min(self.top, len(self.rows) - height))
        if self.hand < self.top or (self.hand <= 2 and self.hand < height):
            self.top = 0 if self.hand <= 2 else self._with_heading(self.hand)
        elif self.hand >= self.top + height:
            self.top = self.hand - height + 1

    def _with_heading(self, place: int) -> int:
        """Return the place of the heading just above a row, so that both are in sight."""
        above = place - 1
        return above if above >= 0 and not self.rows[above].stops else place

    def _refresh_line(self, place: int) -> None:
        y = place - self.top + 1
        if 1 <= y < self.size.height:
            self.refresh(Region(0, y, self.size.width, 1))

    # Drawing

    def on_resize(self, event: events.Resize) -> None:
        """Keep the row in hand in sight, and say when the width is another."""
        if event.size.width != self._told_width:
            self._told_width = event.size.width
            self.post_message(self.Widened())
        self._keep_in_sight()
        self.refresh()

    def _measure(self) -> None:
        """Give each column its width; drop what does not fit, last things first."""
        self._measured = self.size.width
        spare = self.size.width - 2
        kept = list(self.columns)
        while sum(c.width + 1 for c in kept) - 1 > spare and any(c.drop for c in kept):
            kept.remove(max((c for c in kept if c.drop), key=lambda c: c.drop))
        rest = max(0, spare - sum(c.width + 1 for c in kept) + 1)
        grows = sum(c.grow for c in kept) or 1
        self._widths = [
            (c.width + rest * c.grow // grows) if c in kept else 0 for c in self.columns
        ]

    def render_line(self, y: int) -> Strip:
        """Return the head, or one row."""
        width = self.size.width
        if self._measured != width:
            self._measure()
        if y == 0:
            return paint(self, [(self._head(width), "ink--head")], width)
        place = self.top + y - 1
        if place >= len(self.rows):
            return Strip.blank(width, self.rich_style)
        return paint(self, self._spans(self.rows[place], place == self.hand, width), width)

    def _head(self, width: int) -> str:
        shown = [(c, w) for c, w in zip(self.columns, self._widths, strict=True) if w]
        below = len(self.rows) - self.top - self.sheet_height
        signs = (f" ▲{self.top}" if self.top else "") + (f" ▼{below}" if below > 0 else "")
        # the last title stands at the left of its column, clear of the signs
        aligns = [c.align for c, _ in shown[:-1]] + ["left"]
        titles = " ".join(
            fit(c.title, w, align) for (c, w), align in zip(shown, aligns, strict=True)
        )
        return fit(f"  {titles}".rstrip(), width - cell_len(signs)) + signs

    def _spans(self, row: Row, in_hand: bool, width: int) -> list[Span]:
        ink = "ink--hand" if in_hand else (f"ink--{row.look}" if row.look else "")
        arrow = "> " if in_hand else "  "
        if row.sort == "heading":
            title = f"{arrow}{row.cells[0]} "
            rule = "─" * max(0, width - cell_len(title))
            return [(title, ink or "ink--strong"), (rule, ink or "ink--rule")]
        if row.sort == "note":
            return [(arrow + row.cells[0], ink or "ink--faint")]
        cells = [
            fit(cell, w, c.align)
            for cell, c, w in zip(row.cells, self.columns, self._widths, strict=True)
            if w
        ]
        return [(arrow + " ".join(cells), ink)]

    # The mouse, where there is one

    def on_click(self, event: events.Click) -> None:
        """Take the row clicked; open it when it was in hand already."""
        place = self.top + event.y - 1
        if event.y < 1 or place >= len(self.rows):
            return
        if place == self.hand:
            self.post_message(self.Opened(self.rows[place].id))
        else:
            self._take(place)
            self.post_message(self.InHand(self.rows[place].id))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Move down by one."""
        self._scroll(1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Move up by one."""
        self._scroll(-1)

    def _scroll(self, steps: int) -> None:
        if self.move(steps):
            self.post_message(self.InHand(self.rows[self.hand].id))
