"""The terminal interface: opens pages, keeps the way back, covers money, stores, leaves well."""

from __future__ import annotations

import asyncio
import os
import signal
import sys
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App, SystemCommand
from textual.command import CommandPalette
from textual.screen import Screen

from kitreckon.screens.looks import LOOKS, look_of
from kitreckon.screens.pages import make_page
from kitreckon.screens.palette import commands
from kitreckon.screens.reckoner import Reckoner
from kitreckon.screens.scratch import GoMenu, Reasons
from kitreckon.screens.session import Session
from kitreckon.screens.way import Way

if TYPE_CHECKING:
    from kitreckon.book import Book
    from kitreckon.catalogue.model import Catalogue
    from kitreckon.screens.widgets.text_block import Paragraph

DRAFT_AFTER_S = 1.0  # a draft is on disk at most two seconds after the last key
ENDED_BY_SIGNAL = 143


class KitreckonApp(Reckoner):
    """The app wires; pages know their own keys and words."""

    CSS_PATH = "sheet.tcss"
    TITLE = "kitreckon"

    def __init__(
        self,
        book: Book,
        catalogue: Catalogue,
        *,
        demo: bool = False,
        open_demo: Callable[[], Book] | None = None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
        plain: bool | None = None,
    ) -> None:
        no_colour = bool(os.environ.get("NO_COLOR")) if plain is None else plain
        super().__init__(ansi_color=True if no_colour else None)
        self.no_colour_asked = no_colour
        self._open_demo = open_demo
        self.session = Session(book, catalogue, now=now, demo=demo)
        self._own: Session | None = None  # the user's own, while the example is open
        self._way = Way()
        for theme in LOOKS:
            self.register_theme(theme)
        self.set_reactive(App.theme, self.look)  # before anything is drawn in another
        self.stylesheet.set_variables(self.get_css_variables())
        self._warned = False  # that leaving now loses what could not be saved

    @property
    def ascii_only(self) -> bool:
        """Whether to draw in ASCII alone."""
        return self.session.preferences.ascii_only

    def on_mount(self) -> None:
        """Open the first page, and be ready to be ended."""
        self.open_page("machines")
        self.session.stop_clocks_left_running()
        self.call_after_refresh(self.store)
        self.set_interval(DRAFT_AFTER_S, lambda: self.session.store_draft())
        if sys.platform != "win32":
            with suppress(NotImplementedError, RuntimeError, ValueError):
                loop = asyncio.get_running_loop()
                for each in (signal.SIGTERM, signal.SIGHUP):
                    loop.add_signal_handler(each, self.leave, ENDED_BY_SIGNAL)

    @property
    def can_go_back(self) -> bool:
        """Whether there is a page to go back to."""
        return self._way.before is not None or self._own is not None

    @property
    def page_before(self) -> str:
        """The page the one in front was opened from."""
        return self._way.before or "machines"

    @property
    def look(self) -> str:
        """The look the user chose: dark, light, or none but the terminal's own."""
        return look_of(self.session.preferences.theme, no_colour=self.no_colour_asked)

    def show_look(self) -> None:
        """Take up the look when another was chosen."""
        self.theme = self.look

    def open_page(self, name: str) -> None:
        """Open a page; the page left is the way back."""
        self.session.said = ""
        if name == "count":
            self.session.covered = True
        if self._way.open(name):
            self._put_in_front(name)

    def _put_in_front(self, name: str) -> None:
        page = make_page(name, self.session)
        if len(self.screen_stack) == 1:
            self.push_screen(page)
        else:
            self.switch_screen(page)

    def action_open_page(self, name: str) -> None:
        """Open a page by its name."""
        self.open_page(name)

    async def action_back(self) -> None:
        """Go back by one page, or close the sheet laid over it. Nothing is lost."""
        self.session.problem = ""
        page = self._way.back()
        if page is None and self._own is not None:
            self.session.book.close()
            self.session, self._own, page = self._own, None, "machines"
        if page is not None:
            self._put_in_front(page)

    def action_go_menu(self) -> None:
        """Lay out the pages and their letters."""
        self.push_screen(GoMenu(self.session), self._go)

    def _go(self, page: str | None) -> None:
        if page:
            self.open_page(page)

    def open_demo(self) -> None:
        """Change to a throw-away copy of the example book."""
        if self._open_demo is None:
            self.session.problem = self.session.label("demo.from-shell")
            self.show_page()
            return
        own = self.session
        self.session = Session(self._open_demo(), own.catalogue, now=own.now, demo=True)
        self._own, self._way = own, Way()
        self.open_page("machines")

    def show_reasons(self, title: str, told: Sequence[Paragraph]) -> None:
        """Lay a sheet with reasons over the page."""
        self.push_screen(Reasons(self.session, title, tuple(told)))

    def action_money(self) -> None:
        """Cover our own figures, or show them."""
        self.session.covered = not self.session.covered
        self.show_page()

    def action_leave(self) -> None:
        """End the program; what could not be saved is told once before."""
        self.session.store()
        if self.session.unsaved and not self._warned:
            self._warned = True
            self.session.problem = self.session.label("leave.unsaved")
            self.show_page()
            return
        self.leave(0)

    async def action_quit(self) -> None:
        """End the program, from Textual's own key."""
        self.action_leave()

    def action_command_palette(self) -> None:
        """Lay out every page and action by name."""
        if not isinstance(self.screen, CommandPalette):
            self.push_screen(CommandPalette(placeholder=self.session.label("palette.type")))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Return every action as a palette entry."""
        return commands(self, screen)


def run(
    book: Book | Path | str,
    catalogue: Catalogue,
    demo: bool = False,
    no_mouse: bool = False,
    open_demo: Callable[[], Book] | None = None,
) -> int:
    """Open the interface on a book; return the exit code. The caller has checked the terminal."""
    from kitreckon.book import Book as StoredBook

    opened = StoredBook.open(Path(book)) if isinstance(book, str | Path) else book
    app = KitreckonApp(opened, catalogue, demo=demo, open_demo=open_demo)
    app.holds_errors = True
    code = app.run(mouse=not no_mouse)
    if app.error is not None:
        raise app.error  # now that the terminal is as it was
    return code if code is not None else (app.return_code or 0)
