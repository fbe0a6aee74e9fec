"""Behind the screens: reckoning in a thread once the typing has paused, storing, ending."""

from __future__ import annotations

from textual import work
from textual.app import App
from textual.timer import Timer
from textual.worker import get_current_worker

from kitreckon.errors import KitreckonError
from kitreckon.screens.session import Reckoned, Session

RECKON_AFTER_S = 0.25


class Reckoner(App[int]):
    """An app that reckons the machine in hand when no key was pressed for a moment."""

    session: Session
    holds_errors = False  # an error ends the app quietly, for the caller to tell
    error: Exception | None = None
    _pause: Timer | None = None

    def leave(self, code: int) -> None:
        """Store everything and end."""
        self.session.stop_clock()
        self.session.store()
        self.session.store_draft()
        self.exit(return_code=code, result=code)

    def _handle_exception(self, error: Exception) -> None:
        if not self.holds_errors:
            super()._handle_exception(error)
            return
        first = self.error is None
        self.error = self.error or error
        if first:
            self.leave(1)

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

    def reckon_later(self) -> None:
        """Reckon once the typing has paused."""
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
            self.call_from_thread(self._show_reckoned, made)

    def _show_reckoned(self, made: Reckoned) -> None:
        if self.session.take(made):
            self.show_page()

    def _trouble(self, said: str) -> None:
        self.session.problem = said
        self.show_page()
