"""How far a long reading is: a bar on a terminal, nothing anywhere else."""

from __future__ import annotations

import os
import stat
import sys
from types import TracebackType
from typing import IO

_WIDTH = 40


class Progress:
    """A bar on standard error while standard output goes into a file or another program."""

    def __init__(self, stream: IO[bytes]) -> None:
        self.total = _size(stream)
        self.done = 0
        self.shown = -1
        on_terminal = sys.stderr is not None and sys.stderr.isatty()
        self.wanted = on_terminal and not sys.stdout.isatty()
        self.lines = 0

    def step(self, bytes_read: int) -> None:
        """Note that so many bytes more were read."""
        if not self.wanted:
            return
        self.done += bytes_read + 1
        self.lines += 1
        tick = min(_WIDTH, _WIDTH * self.done // self.total) if self.total else self.lines // 250
        if tick != self.shown:
            self.shown = tick
            self._show(tick)

    def _show(self, tick: int) -> None:
        if self.total:
            text = f"[{'#' * tick}{'.' * (_WIDTH - tick)}] {100 * tick // _WIDTH:3d} %"
        else:
            text = f"{self.lines} lines"
        print(f"\r{text}", end="", file=sys.stderr, flush=True)

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.wanted and self.shown >= 0:
            print(f"\r{' ' * (_WIDTH + 10)}\r", end="", file=sys.stderr, flush=True)


def _size(stream: IO[bytes]) -> int:
    """Return the bytes of a plain file, 0 for a pipe or a keyboard."""
    try:
        status = os.fstat(stream.fileno())
    except (OSError, ValueError):
        return 0
    return status.st_size if stat.S_ISREG(status.st_mode) else 0
