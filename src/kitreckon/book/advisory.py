"""The one place that knows how each platform locks a file, and how it makes sure of one."""

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


if sys.platform == "darwin":
    import errno
    import os

    def full_sync(descriptor: int) -> None:
        """Return when the drive has written the file: fsync alone leaves it in its memory."""
        try:
            fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
        except OSError as error:
            if error.errno not in (errno.ENOTSUP, errno.EINVAL, errno.ENOTTY):
                raise
            os.fsync(descriptor)  # a file system that knows no other
