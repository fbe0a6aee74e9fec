"""The one place that knows how each platform locks a file."""

from __future__ import annotations

import sys

if sys.platform == "win32":
    import msvcrt
    import os

    _FAR = 1 << 30  # a byte beyond the text, so that others can still read who holds the lock

    def try_lock(descriptor: int) -> bool:
        """Lock an open file for this process; False when another process holds the lock."""
        os.lseek(descriptor, _FAR, os.SEEK_SET)
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        return True

else:
    import fcntl

    def try_lock(descriptor: int) -> bool:
        """Lock an open file for this process; False when another process holds the lock."""
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True
