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

from textual import work
from textual.app import App, SystemCommand
from textual.screen import Screen
from textual.timer import Timer
from textual.worker import get_current_worker

from kitreckon.errors import KitreckonError
from kitreckon.screens.keys import PAGES, keys_of
from kitreckon.screens.looks import LOOKS, look_of
from kitreckon.screens.pages import make_page
from kitreckon.screens.scratch import GoMenu, Reasons
from kitreckon.screens.session import Reckoned, Session

if TYPE_CHECKING:
    from kitreckon.book import Book
    from kitreckon.catalogue.model import Catalogue
    from kitreckon.screens.widgets.text_block import Paragraph

DRAFT_AFTER_S = 1.0  # a draft is on disk at most two seconds after the last key
RECKON_AFTER_S = 0.25
ENDED_BY_SIGNAL = 143


class KitreckonApp(App[int]):
    """The app wires; pages know their own keys and words."""

    CSS_PATH = "sheet.tcss"
    TITLE = "kitreckon"
    ENABLE_COMMAND_PALETTE = True

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
        self._way: list[str] = []
        self._draft_waits = False
        self._pause: Timer | None = None
        self._warned = False  # that leaving now loses what could not be saved

    @property
    def ascii_only(self) -> bool:
        """Whether to draw in ASCII alone."""
        return self.session.preferences.ascii_only

    def on_mount(self) -> None:
        """Open the first page, and be ready to be ended."""
        for theme in LOOKS:
            self.register_theme(theme)
        self.show_look()
        self.open_page("machines")
        self.set_interval(DRAFT_AFTER_S, self._store_draft)
        if sys.platform != "win32":
            with suppress(NotImplementedError, RuntimeError, ValueError):
                loop = asyncio.get_running_loop()
                for each in (signal.SIGTERM, signal.SIGHUP):
                    loop.add_signal_handler(each, self._ended)

    @property
    def can_go_back(self) -> bool:
        """Whether there is a page to go back to."""
        return len(self._way) > 1

    @property
    def page_before(self) -> str:
        """The page the one in front was opened from."""
        return self._way[-2] if len(self._way) > 1 else "machines"

    def show_look(self) -> None:
        """Take up the look the user chose: dark, light, or none but the terminal's own."""
        self.theme = look_of(self.session.preferences.theme, no_colour=self.no_colour_asked)

    # Pages

    def open_page(self, name: str) -> None:
        """Open a page; the page left is the way back."""
        if name == "count":
            self.session.covered = True
        if self._way and self._way[-1] == name:
            return
        self._way.append(name)
        page = make_page(name, self.session)
        if len(self._way) == 1:
            self.push_screen(page)
        else:
            self.switch_screen(page)

    def action_open_page(self, name: str) -> None:
        """Open a page by its name."""
        self.open_page(name)

    async def action_back(self) -> None:
        """Go back by one page, or close the sheet laid over it. Nothing is lost."""
        self.session.problem = ""
        if len(self._way) > 1:
            self._way.pop()
            self.switch_screen(make_page(self._way[-1], self.session))

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
        catalogue, now = self.session.catalogue, self.session.now
        self.session = Session(self._open_demo(), catalogue, now=now, demo=True)
        self._way = []
        self.open_page("machines")

    def show_reasons(self, title: str, told: Sequence[Paragraph]) -> None:
        """Lay a sheet with reasons over the page."""
        self.push_screen(Reasons(self.session, title, tuple(told)))

    # Money, storing, drafts

    def action_money(self) -> None:
        """Cover our own figures, or show them."""
        self.session.covered = not self.session.covered
        self.show_page()

    def show_page(self) -> None:
        """Show the page in front anew."""
        show = getattr(self.screen, "show_all", None)
        if show is not None:
            show()

    def store(self) -> None:
        """Write what was shown but not stored; then say saved, or why not."""
        if self.session.store():
            around = getattr(self.screen, "show_around", None)
            if around is not None:
                around()

    def keep_draft(self, page: str, text: str) -> None:
        """Remember a half-typed line; it is on disk within two seconds."""
        name = self.session.draft_name(page)
        if self.session.draft.get(name, "") != text:
            self.session.draft[name] = text
            self._draft_waits = True

    def _store_draft(self) -> None:
        if self._draft_waits:
            self._draft_waits = False
            self.session.store_draft()

    # Reckoning, after the typing has paused

    def reckon_later(self) -> None:
        """Reckon the machine in hand when no key was pressed for a moment."""
        if self._pause is not None:
            self._pause.stop()
        self._pause = self.set_timer(RECKON_AFTER_S, self._reckon)

    @work(thread=True, exclusive=True, group="reckon", exit_on_error=False)
    def _reckon(self) -> None:
        worker = get_current_worker()
        try:
            made = self.session.reckoned_anew(lambda: worker.is_cancelled)
        except KitreckonError as error:
            self.call_from_thread(self._trouble, str(error))
            return
        if made is not None and not worker.is_cancelled:
            self.call_from_thread(self._reckoned, made)

    def _reckoned(self, made: Reckoned) -> None:
        if self.session.take(made):
            self.show_page()

    def _trouble(self, said: str) -> None:
        self.session.problem = said
        self.show_page()

    # Leaving

    def leave(self, code: int) -> None:
        """Store everything and end."""
        self.session.store()
        self.session.store_draft()
        self.exit(return_code=code, result=code)

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

    def _ended(self) -> None:
        self.leave(ENDED_BY_SIGNAL)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Return every action as a palette entry."""
        say = self.session.label
        for each in PAGES:
            yield SystemCommand(
                say(f"page.{each.page}"), say(f"{each.page}.says"), self._opener(each.page)
            )
        for key in keys_of(getattr(screen, "page", "")):
            if key.id != "palette":
                yield SystemCommand(
                    say(f"key.{key.id}"), say(f"key.{key.id}.long"), self._runner(key.action)
                )

    def _opener(self, page: str) -> Callable[[], None]:
        return lambda: self.open_page(page)

    def _runner(self, action: str) -> Callable[[], None]:
        async def run_it() -> None:
            await self.screen.run_action(action)

        return lambda: self.call_next(run_it)


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
    code = app.run(mouse=not no_mouse)
    return code if code is not None else (app.return_code or 0)
