"""One writer for a book: a lock on a file beside it, which says who holds it.

The lock is on a file of its own, because every save puts a new file in the book's place. It
vanishes with the process that took it, so a stale lock cannot happen.
"""

from __future__ import annotations

import os
import platform
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from kitreckon.book.system import System
from kitreckon.quantities import clean_text


@dataclass(slots=True)
class Lock:
    """A lock that this process holds."""

    system: System
    path: Path
    descriptor: int

    def release(self) -> None:
        """Give the lock up. The file stays: removing it would race with another opener."""
        with suppress(OSError):
            self.system.close(self.descriptor)


def take_lock(system: System, path: Path, at: datetime) -> Lock | str:
    """Return the lock, or a sentence that says who holds it. OSError: no lock can be made here."""
    descriptor = system.open_lock(path)
    try:
        taken = system.lock(descriptor)
        if taken:
            system.rewrite(descriptor, _holder(at))
    except BaseException:
        with suppress(OSError):
            system.close(descriptor)
        raise
    if taken:
        return Lock(system, path, descriptor)
    system.close(descriptor)
    return _held_by(system, path)


def _holder(at: datetime) -> bytes:
    name = platform.node()
    return f"process {os.getpid()} on {name} since {at:%Y-%m-%d %H:%M} UTC\n".encode()


def _held_by(system: System, path: Path) -> str:
    try:
        who = clean_text(system.read(path).decode("utf-8", "replace").strip())
    except OSError:
        who = ""
    return f"the book is open elsewhere: {who or 'another kitreckon'}"
