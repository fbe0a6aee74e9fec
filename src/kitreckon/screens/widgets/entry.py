"""The line: always focused, always ready. On the empty line some keys act instead of typing.

Its page is told at once, not by message: the answer to a key is then in the very next frame, and
keys pressed quickly one after another are dealt with in their order.
"""

from __future__ import annotations

from time import monotonic
from typing import Protocol

from textual import events
from textual.message import Message
from textual.widgets import Input

from kitreckon.quantities import clean_text
from kitreckon.screens.keys import key

HELD_S = 0.4
ENTER = frozenset(key("enter").keys)
ERASE = "backspace"  # edits text, as all keys of an Input do; on the empty line it may act


class Listener(Protocol):
    """What the line tells its page."""

    async def line_pressed(self, key: str) -> None:
        """Hear that a key that acts was pressed."""

    def line_typed(self, text: str) -> None:
        """Hear that the text changed."""

    def line_entered(self, text: str) -> None:
        """Hear that Enter was pressed on this text; the line is empty again."""


class Entry(Input):
    """One line of typing."""

    class Pasted(Message):
        """Several lines, or a long one, were pasted."""

        def __init__(self, text: str) -> None:
            super().__init__()
            self.text = text

    def __init__(
        self,
        listener: Listener,
        always: frozenset[str],
        when_empty: frozenset[str],
        *,
        id: str | None = None,
    ) -> None:
        super().__init__(id=id, compact=True, select_on_focus=False, max_length=200)
        self.listener = listener
        self.always = always
        self.when_empty = when_empty
        self.cursor_blink = False
        self._emptied_at = 0.0

    async def _on_key(self, event: events.Key) -> None:
        before = self.value
        if event.key in ENTER:
            self._take(event)
            self.enter()
        elif event.key == ERASE and self._still_held():
            self._take(event)
        elif event.key in self.always or (not self.value and event.key in self.when_empty):
            self._take(event)
            await self.listener.line_pressed(event.key)
        elif event.key == ERASE:
            self._take(event)
            self.action_delete_left()
            if not self.value:
                self._emptied_at = monotonic()
            self.listener.line_typed(self.value)
        else:
            await super()._on_key(event)
            if self.value != before:
                self.listener.line_typed(self.value)

    def _still_held(self) -> bool:
        """Whether backspace is still held down from emptying the line: it then does nothing.

        Else clearing a line would run on into taking back what was counted.
        """
        if self.value or monotonic() - self._emptied_at > HELD_S:
            return False
        self._emptied_at = monotonic()
        return True

    def enter(self) -> None:
        """Hand the text over, and be empty again."""
        text = clean_text(self.value).strip()
        self.value = ""
        self.listener.line_entered(text)

    @staticmethod
    def _take(event: events.Key) -> None:
        event.stop()
        event.prevent_default()

    def hold(self, text: str) -> None:
        """Show a line that was left half typed, marked: what is typed next takes its place."""
        self.value = text
        self.select_all()

    def put_back(self, text: str) -> None:
        """Give text back that could not be used, ahead of what was typed since."""
        self.value = text + self.value
        self.cursor_position = len(self.value)

    def _on_paste(self, event: events.Paste) -> None:
        event.stop()
        event.prevent_default()
        lines = [line for line in event.text.splitlines() if line.strip()]
        if len(lines) > 1 or len(event.text) > 120:
            self.post_message(self.Pasted(event.text))
        elif lines:
            self.replace(clean_text(lines[0]), *self.selection)
