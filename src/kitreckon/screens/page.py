"""A page and its keys: arrows choose a row, the line is always ready, Enter is said beforehand."""

from __future__ import annotations

from collections.abc import Sequence

from textual.widgets import Input

from kitreckon.screens.frame import Frame
from kitreckon.screens.keys import empty_line_key, keys_of
from kitreckon.screens.widgets.entry import Entry
from kitreckon.screens.widgets.ruled_list import RuledList


class Page(Frame):
    """What all pages do with their line, their rows and their keys."""

    def __init__(self) -> None:
        super().__init__()
        self._heard = ""  # the text of the line that was dealt with last

    def on_mount(self) -> None:
        """Show the page; read a half-typed line that was kept before Enter can be pressed on it."""
        super().on_mount()
        if self.line.value:
            self.line_typed(self.line.value)

    def typed(self, text: str) -> None:
        """Find what the text names while it is typed."""
        self.find(text)

    def found(self, text: str) -> str | None:
        """Return the first row that holds every word of a text; None where there is none."""
        words = text.lower().split()
        for row in self.sheet.rows if words else ():
            held = " ".join(row.cells).lower()
            if row.sort == "row" and all(word in held for word in words):
                return row.id
        return None

    def find(self, text: str) -> None:
        """Put the arrow on the first row that holds every word typed, where there is one."""
        row_id = self.found(text)
        if row_id is not None and row_id != self.sheet.row_id:
            self.take_row(row_id)

    def change(self, label: str, *objects: object, drop: Sequence[object] = ()) -> None:
        """Show a change, then store it after the refresh."""
        self.session.do(label, *objects, drop=drop)
        self.show_all()
        self.call_after_refresh(self.kit.store)

    def refuse(self, why: str, text: str = "") -> None:
        """Say why something was not done; give the text back."""
        self.session.problem = why
        if text:
            self.line.put_back(text)
        self.show_around()

    # Messages

    def step(self, steps: int) -> None:
        """Move the arrow by some rows, and show what is known of the row then in hand."""
        if self.sheet.move(steps):
            self.show_around()

    def take_row(self, row_id: str) -> bool:
        """Put the arrow on a row; say whether there is such a row."""
        there = self.sheet.move_to(row_id)
        self.show_around()
        return there

    def on_ruled_list_in_hand(self, message: RuledList.InHand) -> None:
        """Show what is known of a row that was clicked."""
        self.show_around()

    def on_ruled_list_opened(self, message: RuledList.Opened) -> None:
        """Open the row that was clicked twice."""
        self.opened(message.row_id)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Deal with what changed otherwise than key by key: pasted, deleted, put back."""
        if event.value != self._heard:
            self.line_typed(event.value)

    def line_typed(self, text: str) -> None:
        """Look for what is typed, and say what Enter will do."""
        self._heard = text
        told = self.session.problem
        if text:
            self.session.problem = self.session.said = ""
        self.typed(text)
        if told != self.session.problem:  # it may be told in full beside the row
            self.show_around()
        self.show_will()
        self.session.keep_draft(self.page, text)

    def line_entered(self, text: str) -> None:
        """Do what was said beforehand."""
        self._heard = ""
        self.session.problem = self.session.said = ""
        self.session.keep_draft(self.page, "")
        self.entered(text)
        self.show_will()

    async def line_pressed(self, pressed: str) -> None:
        """Run the action of a key that acts."""
        self.session.said = ""
        key = empty_line_key(self.page, pressed) if not self.line.value else None
        key = key or next(
            (k for k in keys_of(self.page) if pressed in k.keys and k.line == "any"), None
        )
        if key is not None:
            await self.run_action(key.action)

    def on_entry_pasted(self, message: Entry.Pasted) -> None:
        """Read what was pasted."""
        self.pasted(message.text)

    # Actions every page has

    def action_enter(self) -> None:
        """Do what Enter does, for those who come from the palette."""
        self.line.enter()

    def action_pass_row(self) -> None:
        """Go one row down."""
        self.step(1)

    def action_back_row(self) -> None:
        """Go one row up."""
        self.step(-1)

    def action_page_down(self) -> None:
        """Go a page of rows down."""
        self.step(self.sheet.sheet_height)

    def action_page_up(self) -> None:
        """Go a page of rows up."""
        self.step(-self.sheet.sheet_height)

    def action_take_back(self) -> None:
        """Undo the last change of the book."""
        self.kit.store()
        self.session.take_back()
        self._turned()

    def action_do_again(self) -> None:
        """Redo what was taken back."""
        self.kit.store()
        self.session.do_again()
        self._turned()

    def _turned(self) -> None:
        """Show what was taken back or done again, a setting among it."""
        self.kit.show_look()
        self.show_all()
        self.kit.reckon_later()

    def action_why(self) -> None:
        """Open the figures of the row in hand into their reasons."""
        row_id = self.sheet.row_id
        if row_id is not None:
            self.kit.show_reasons(self.label("why.title"), self.why(row_id))

    def action_closer(self) -> None:
        """Show everything about the row in hand."""
        row_id = self.sheet.row_id
        if row_id is not None:
            told = [*self.cut_will(), *self.whole(row_id)]
            self.kit.show_reasons(self.label("closer.title"), told)

    def action_next_question(self) -> None:
        """Go to the count, to what is best asked next."""
        self.session.ask_first = True
        self.kit.open_page("count")

    def action_save_again(self) -> None:
        """Try again to store what could not be stored."""
        self.kit.store()
        self.show_around()
