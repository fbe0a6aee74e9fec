"""The real program in a real terminal: a pty that is read all the time."""

from __future__ import annotations

import errno
import fcntl
import os
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path
from typing import Self

# What Textual switches on at the start and must have switched off at the end.
SWITCHED = (b"\x1b[?1049", b"\x1b[?1000", b"\x1b[?1003", b"\x1b[?1006", b"\x1b[?2004")
# The session's terminal must be taken by the program itself; then it becomes kitreckon.
_TAKE_TERMINAL = (
    "import fcntl, os, sys, termios; fcntl.ioctl(0, termios.TIOCSCTTY, 0);"
    "os.execv(sys.argv[1], sys.argv[1:])"
)
_CONTROL = re.compile(rb"\x1b\[[0-9;?<=>]*[ -/]*[@-~]|\x1b[()][0-9A-B]|\x1b[=>78]")


class Terminal:
    """A program running in a pty; ``told`` is all it has written so far."""

    def __init__(
        self,
        *arguments: str,
        environ: dict[str, str] | None = None,
        columns: int = 80,
        lines: int = 24,
        started_by: tuple[str, ...] = ("-m", "kitreckon"),
    ) -> None:
        self.master, slave = os.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", lines, columns, 0, 0))
        self.before = termios.tcgetattr(slave)
        self.slave = os.dup(slave)  # kept open, so that the settings left behind can be seen
        self.told = b""
        self.process = subprocess.Popen(
            [sys.executable, "-c", _TAKE_TERMINAL, sys.executable, *started_by, *arguments],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=surroundings() | (environ or {}),
            start_new_session=True,
        )
        os.close(slave)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        for descriptor in (self.slave, self.master):
            if descriptor >= 0:
                os.close(descriptor)

    def read(self, wait_s: float) -> bool:
        """Read what is there within a time; False when there was nothing."""
        if not select.select([self.master], [], [], wait_s)[0]:
            return False
        try:
            part = os.read(self.master, 65536)
        except OSError as error:
            if error.errno != errno.EIO:
                raise
            return False
        self.told += part
        return bool(part)

    def read_for(self, seconds: float) -> None:
        ends = time.monotonic() + seconds
        while (left := ends - time.monotonic()) > 0:
            self.read(left)

    def settle(self, quiet_s: float) -> None:
        """Read until nothing more has come for a while."""
        while self.read(quiet_s):
            pass

    def wait_for(self, text: str, since: int = 0, seconds: float = 20) -> None:
        """Read until a text has been written; AssertionError when it is not in time."""
        ends = time.monotonic() + seconds
        while text not in words(self.told[since:]):
            assert time.monotonic() < ends, f"no {text!r} in {words(self.told[since:])[-2000:]!r}"
            self.read(0.2)

    def send(self, keys: str) -> None:
        os.write(self.master, keys.encode())

    def ended(self, seconds: float = 20) -> int:
        """Read on until the program has ended; return its exit code."""
        ends = time.monotonic() + seconds
        while self.process.poll() is None:
            assert time.monotonic() < ends, "the program goes on"
            self.read(0.05)
        while self.read(0.05):
            pass
        return self.process.returncode

    def hang_up(self) -> None:
        """Close the terminal, as a dropped connection does."""
        for descriptor in (self.slave, self.master):
            os.close(descriptor)
        self.slave = self.master = -1

    def kill(self) -> None:
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()
        while self.read(0.02):
            pass

    def restored(self) -> bool:
        """Whether the terminal is as it was found: settings, and every mode switched off again."""
        off = all(
            self.told.rfind(mode + b"l") > self.told.rfind(mode + b"h")
            for mode in SWITCHED
            if mode + b"h" in self.told
        )
        return off and termios.tcgetattr(self.slave)[:4] == self.before[:4]


def words(told: bytes) -> str:
    """Return what was written without the control sequences."""
    return _CONTROL.sub(b"", told).decode("utf-8", "replace")


def surroundings() -> dict[str, str]:
    """Return an ordinary environment for a program in a terminal."""
    kept = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
    return kept | {"TERM": "xterm-256color", "LANG": "C.UTF-8", "TEXTUAL_ANIMATIONS": "none"}


def example_copy(folder: Path) -> Path:
    """Return a copy of the example book."""
    path = folder / "book.json"
    path.write_bytes((Path(__file__).parents[2] / "examples" / "book.json").read_bytes())
    return path
