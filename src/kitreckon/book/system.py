"""The operating-system calls that the book makes, as one small object.

Everything else in the book receives a System, so that tests can hand in one that fails at the
n-th call, stops there, or forgets what was not synced.
"""

from __future__ import annotations

import errno
import os
import stat as modes
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

LARGEST_FILE = 256 * 1024 * 1024
_NEW = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
_LOOK = os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0)
_PATIENCE_S = 2.0  # how long a virus scanner may hold a file open on Windows


class Stamp(NamedTuple):
    """What tells one state of a file from another without reading it."""

    inode: int
    size: int
    mtime_ns: int
    mode: int


class System:
    """The real operating system. Every method may raise OSError."""

    def real_path(self, path: Path) -> Path:
        """Return the path with links followed, whether or not the file exists."""
        return Path(os.path.realpath(path))

    def make_folder(self, path: Path) -> None:
        """Make a folder, its parents too, for the user alone; one that exists is left as it is."""
        path.mkdir(mode=0o700, parents=True, exist_ok=True)

    def list_folder(self, path: Path) -> list[str]:
        """Return the names in a folder."""
        return os.listdir(path)  # noqa: PTH208 - names, without a Path for each

    def stamp(self, path: Path) -> Stamp:
        """Return the stamp of a file or folder."""
        found = os.stat(path)  # noqa: PTH116 - one call, not two objects
        return Stamp(found.st_ino, found.st_size, found.st_mtime_ns, modes.S_IMODE(found.st_mode))

    def read(self, path: Path) -> bytes:
        """Return the bytes of a regular file of at most LARGEST_FILE bytes."""
        descriptor = os.open(path, _LOOK)
        with os.fdopen(descriptor, "rb") as file:
            found = os.fstat(descriptor)
            if not modes.S_ISREG(found.st_mode):
                raise OSError(errno.EINVAL, "not an ordinary file", str(path))
            if found.st_size > LARGEST_FILE:
                raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), str(path))
            return file.read(LARGEST_FILE)

    def create(self, path: Path, mode: int) -> int:
        """Create a file that must not exist yet and return its descriptor, open for writing."""
        return os.open(path, _NEW, mode)

    def set_mode(self, descriptor: int, mode: int) -> None:
        """Set the mode of an open file, whatever the umask."""
        if hasattr(os, "fchmod"):
            os.fchmod(descriptor, mode)

    def write(self, descriptor: int, data: bytes | memoryview) -> int:
        """Write some of the data and return how many bytes were taken."""
        return os.write(descriptor, data)

    def fsync(self, descriptor: int) -> None:
        """Return when the disk holds the file, or the folder."""
        if sys.platform == "darwin":
            from kitreckon.book.advisory import full_sync

            full_sync(descriptor)
        else:
            os.fsync(descriptor)

    def close(self, descriptor: int) -> None:
        """Close a descriptor."""
        os.close(descriptor)

    def link(self, old: Path, new: Path) -> None:
        """Give a file a second name that must not exist yet."""
        os.link(old, new)

    def replace(self, old: Path, new: Path) -> None:
        """Give a file a new name, in one step, in place of any file of that name."""
        if sys.platform != "win32":
            os.replace(old, new)  # noqa: PTH105 - the call that is promised to be one step
            return
        _patiently(lambda: os.replace(old, new))  # noqa: PTH105

    def unlink(self, path: Path) -> None:
        """Remove a file."""
        os.unlink(path)  # noqa: PTH108 - the plain call

    def open_folder(self, path: Path) -> int | None:
        """Return a descriptor by which a folder is synced; None where folders cannot be."""
        return None if sys.platform == "win32" else os.open(path, os.O_RDONLY)

    def open_lock(self, path: Path) -> int:
        """Open a lock file, made when it is missing."""
        return os.open(path, os.O_RDWR | os.O_CREAT, 0o600)

    def lock(self, descriptor: int) -> bool:
        """Take the lock of an open file for this process; False when another holds it.

        The lock ends with the process, however it ends.
        """
        from kitreckon.book.advisory import try_lock

        return try_lock(descriptor)

    def rewrite(self, descriptor: int, data: bytes) -> None:
        """Make the data the whole content of an open file."""
        os.ftruncate(descriptor, 0)
        os.lseek(descriptor, 0, os.SEEK_SET)
        os.write(descriptor, data)


def _patiently(act: Callable[[], None]) -> None:
    """Try again while a scanner holds the file, with growing pauses, for about two seconds."""
    pause_s, ends = 0.01, time.monotonic() + _PATIENCE_S
    while True:
        try:
            act()
        except PermissionError:
            if time.monotonic() + pause_s > ends:
                raise
            time.sleep(pause_s)
            pause_s *= 2
        else:
            return
