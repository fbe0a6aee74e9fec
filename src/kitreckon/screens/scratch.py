"""Sheets laid over a page: the way to other pages, and reasons. Escape takes them away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Container
from textual.screen import ModalScreen

from kitreckon.screens.keys import PAGES, sheet_bindings
from kitreckon.screens.widgets.text_block import Paragraph, TextBlock

if TYPE_CHECKING:
    from kitreckon.screens.session import Session


class ScratchSheet(ModalScreen[str | None]):
    """Text over a page; arrows move it, escape takes it away."""

    BINDINGS: ClassVar[list[BindingType]] = [*sheet_bindings()]

    def __init__(self, session: Session, title: str, told: Sequence[Paragraph]) -> None:
        super().__init__()
        self.session = session
        self.title_text = title
        self.left = False
        self.told = tuple(told)

    def compose(self) -> ComposeResult:
        """Lay the sheet out."""
        with Container(id="paper"):
            yield TextBlock(id="sheet-title")
            yield TextBlock(id="sheet-text", more=self.session.label("scratch.more"))
            yield TextBlock(id="sheet-foot")

    def on_mount(self) -> None:
        """Show the text."""
        self.set_class(self.session.preferences.ascii_only, "-ascii")
        self.query_one("#sheet-title", TextBlock).show([Paragraph(self.title_text)])
        self.query_one("#sheet-text", TextBlock).show(self.told)
        foot = Paragraph("", self.session.label("scratch.foot"), one_line=True)
        self.query_one("#sheet-foot", TextBlock).show([foot])

    def on_resize(self) -> None:
        """Keep the foot in sight: the text has what title, foot and frame leave."""
        self.query_one("#sheet-text").styles.max_height = max(1, self.size.height - 5)

    def action_cover(self) -> None:
        """Cover our own money and take the sheet away: the seller may be looking on."""
        self.session.covered = True
        self.action_leave_sheet()

    def action_leave_sheet(self) -> None:
        """Take the sheet away."""
        self.leave(None)

    def leave(self, result: str | None) -> None:
        """Take the sheet away once, however many keys come after the one that did it."""
        if not self.left:
            self.left = True
            self.dismiss(result)

    def action_scroll_text(self, steps: int) -> None:
        """Move the text."""
        self.query_one("#sheet-text", TextBlock).scroll_lines(steps)


class Reasons(ScratchSheet):
    """How a figure came about, or all that is known of a thing."""


class GoMenu(ScratchSheet):
    """The pages and their letters: one letter opens one."""

    def __init__(self, session: Session) -> None:
        told = [
            Paragraph(each.letter, session.label(f"page.{each.page}"), one_line=True)
            for each in PAGES
        ]
        super().__init__(session, session.label("go.title"), told)

    def on_key(self, event: events.Key) -> None:
        """Open the page whose letter was pressed first; what was typed ahead of it opens none."""
        page = next((each.page for each in PAGES if each.letter == event.key), None)
        if page is not None:
            event.stop()
            self.leave(page)
