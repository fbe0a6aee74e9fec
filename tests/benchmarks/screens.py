"""How quickly the screens answer: key to new frame, and the first frame that answers a key.

    python tests/benchmarks/screens.py [--pieces 200] [--keys 120]

Key to frame is measured inside the app: from the key event to the first frame drawn after the
page has dealt with it, so that Pilot's own waiting is left out. The bare app is Textual with a
line and a list of as many rows, in the same run. The first frame is measured on a real
pseudo-terminal, from the start of the process to the screen's answer to one key.
"""

from __future__ import annotations

import argparse
import asyncio
import gc
import os
import pty
import select
import signal
import statistics
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from textual import events
from textual.app import App, ComposeResult
from textual.screen import Screen
from textual.widgets import Input, OptionList

from kitreckon.book import Book
from kitreckon.catalogue.load import open_catalogue
from kitreckon.count import Machine, Piece, Visit
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.frame import Frame

MARKS = ("space", "down", "minus", "down", "space", "up", "down", "backspace")
TEXT = (*"steady", "enter", *"8 g", "enter")


class Stopwatch:
    """Times from a key to the first frame after it was dealt with."""

    def __init__(self) -> None:
        self.started = 0.0
        self.dealt_with = False
        self.times: list[float] = []

    def key(self) -> None:
        self.started, self.dealt_with = time.perf_counter(), False

    def dealt(self) -> None:
        self.dealt_with = True

    def frame(self) -> None:
        if self.started and self.dealt_with:
            self.times.append((time.perf_counter() - self.started) * 1000)
            self.started = 0.0


def time_frames(app: App[Any], watch: Stopwatch) -> None:
    """Tell the stopwatch of each key and each frame of an app."""
    on_event = app.on_event

    async def told(event: events.Event) -> None:
        if isinstance(event, events.Key):
            watch.key()
        await on_event(event)

    app.on_event = told  # type: ignore[method-assign]
    refresh = Screen._compositor_refresh

    def drawn(screen: Screen[Any]) -> None:
        refresh(screen)
        watch.frame()

    Screen._compositor_refresh = drawn  # type: ignore[method-assign]


async def time_kitreckon(pieces: int, keys: Sequence[str]) -> list[float]:
    """Return milliseconds for each key on the count of a book with this many pieces."""
    watch = Stopwatch()
    show_will = Frame.show_will

    def shown(page: Frame) -> None:
        show_will(page)
        watch.dealt()

    with tempfile.TemporaryDirectory() as folder:
        book = Book.open(Path(folder) / "book.json")
        fill(book, pieces)
        app = KitreckonApp(book, open_catalogue(), plain=False)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("enter")
            await app.workers.wait_for_complete()
            Frame.show_will = shown  # type: ignore[method-assign]
            time_frames(app, watch)
            for key in keys:
                await pilot.press(key)
        Frame.show_will = show_will  # type: ignore[method-assign]
        book.close()
    return watch.times


def fill(book: Book, pieces: int) -> None:
    """Put a lathe with this many pieces of all kinds into a book."""
    kinds = list(open_catalogue().kinds)
    lathe = Machine(book.next_id("machine"), "lathe", "engine-lathe-small", nose="D1-4")
    visit = Visit(
        lathe.id,
        tuple(
            Piece(book.next_id("piece"), kinds[n % len(kinds)], condition="good")
            for n in range(pieces)
        ),
    )
    book.commit("fill", book.put(lathe))
    book.commit("fill", book.put(visit))


class BareApp(App[None]):
    """Textual alone: a list and a line."""

    def __init__(self, rows: int, watch: Stopwatch) -> None:
        super().__init__()
        self.rows, self.watch = rows, watch

    def compose(self) -> ComposeResult:
        yield OptionList(*(f"row {n} of the list" for n in range(self.rows)))
        yield Input()

    def on_option_list_option_highlighted(self) -> None:
        self.watch.dealt()

    def on_input_changed(self) -> None:
        self.watch.dealt()


async def time_bare(rows: int, keys: int) -> list[float]:
    """Return milliseconds for each key of the bare app, half on the list and half on the line."""
    watch = Stopwatch()
    app = BareApp(rows, watch)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        time_frames(app, watch)
        for _ in range(keys // 2):
            await pilot.press("down")
        await pilot.press("tab")
        for _ in range(keys // 2):
            await pilot.press("x")
    return watch.times


def p95(times: Sequence[float]) -> float:
    """Return the time that one key in twenty is slower than."""
    return sorted(times)[max(0, round(0.95 * len(times)) - 1)]


# The first frame, on a real pseudo-terminal

BARE = """
from textual.app import App
from textual.widgets import Header, Input, DataTable, OptionList, Footer
class Bare(App):
    BINDINGS = [("ctrl+q", "quit", "quit")]
    def compose(self):
        yield Header(); yield Input(); yield DataTable(); yield OptionList(*map(str, range(9)))
        yield Footer()
Bare().run()
"""
OURS = """
import gc
gc.set_threshold(100_000, 50, 50)
import sys
from kitreckon.book import Book
from kitreckon.catalogue.load import open_catalogue
from kitreckon.screens.app import run
run(Book.open(sys.argv[1]), open_catalogue())
"""


def first_answer_s(program: str, *arguments: str) -> float:
    """Return the seconds from the start of a process until a typed letter is on its screen."""
    started = time.perf_counter()
    process, terminal = pty.fork()
    if process == 0:
        os.environ |= {"TERM": "xterm-256color", "COLORTERM": "truecolor"}
        os.execv(sys.executable, [sys.executable, "-c", program, *arguments])
    seen = b""
    typed = False
    try:
        while time.perf_counter() - started < 20:
            ready, _, _ = select.select([terminal], [], [], 0.02)
            if ready:
                seen += os.read(terminal, 65536)
            if not typed and b"\x1b[?1049h" in seen and len(seen) > 1500:
                os.write(terminal, b"Q")
                seen, typed = b"", True
            elif typed and b"Q" in seen:
                return time.perf_counter() - started
    finally:
        os.kill(process, signal.SIGKILL)
        os.waitpid(process, 0)
        os.close(terminal)
    raise SystemExit("no answer within 20 s")


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pieces", type=int, default=200)
    parser.add_argument("--keys", type=int, default=120)
    chosen = parser.parse_args()
    gc.set_threshold(100_000, 50, 50)  # as the program sets it when it starts
    keys = [*MARKS, *TEXT] * (chosen.keys // len([*MARKS, *TEXT]) + 1)
    ours = asyncio.run(time_kitreckon(chosen.pieces, keys[: chosen.keys]))
    bare = asyncio.run(time_bare(chosen.pieces, chosen.keys))
    print(f"key to frame, ms, {chosen.pieces} pieces, {chosen.keys} keys")
    print(f"{'':12}{'median':>8}{'p95':>8}{'most':>8}")
    for name, times in (("kitreckon", ours), ("bare app", bare)):
        print(f"{name:12}{statistics.median(times):8.1f}{p95(times):8.1f}{max(times):8.1f}")
    print(f"{'ratio':12}{statistics.median(ours) / statistics.median(bare):8.1f}"
          f"{p95(ours) / p95(bare):8.1f}")  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "book.json"
        book = Book.open(path)
        fill(book, chosen.pieces)
        book.close()
        first = sorted(first_answer_s(OURS, str(path)) for _ in range(5))[2]
    base = sorted(first_answer_s(BARE) for _ in range(5))[2]
    print(f"\nfirst frame that answers a key, s (median of 5): kitreckon {first:.2f}, "
          f"bare app {base:.2f}, ratio {first / base:.2f}")  # fmt: skip


if __name__ == "__main__":
    main()
