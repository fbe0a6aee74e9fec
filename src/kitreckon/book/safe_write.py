"""Put a file in place of another so that the one or the other is always whole on disk."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from kitreckon.book.system import Stamp, System

PART = ".part"
NEW_FILE_MODE = 0o600
_FOLDER_CANNOT_SYNC = (errno.EINVAL, errno.ENOTSUP, errno.EBADF)


class UnconfirmedError(Exception):
    """The file is in place, but the folder's sync failed."""

    def __init__(self, stamp: Stamp, cause: OSError) -> None:
        super().__init__(str(cause))
        self.stamp = stamp
        self.cause = cause


def part_name(name: str, writer: str) -> str:
    """Return the name under which a file is written before it takes its place."""
    return f".{name}.{writer}{PART}"


def new_writer() -> str:
    """Return a name for one who writes that no other has."""
    return os.urandom(6).hex()


def put_in_place(
    system: System,
    target: Path,
    data: bytes,
    *,
    writer: str,
    mode: int = NEW_FILE_MODE,
    keep_old: Callable[[], None] = lambda: None,
) -> Stamp:
    """Write the data beside the target, sync it, and put it in the target's place.

    ``keep_old`` runs when the new file is safe and the old one still in place. Any OSError
    before the replacement leaves the target as it was; UnconfirmedError comes after it. Never syncs
    the same descriptor twice: after a failed sync a system may report the next one as good.
    """
    part = target.with_name(part_name(target.name, writer))
    try:
        _write_new(system, part, data, mode)
        stamp = system.stamp(part)
        keep_old()
        system.replace(part, target)
    except BaseException:
        with suppress(OSError):
            system.unlink(part)
        raise
    try:
        sync_folder(system, target.parent)
    except OSError as error:
        raise UnconfirmedError(stamp, error) from error
    return stamp


def sync_folder(system: System, folder: Path) -> None:
    """Return when the disk holds the names in a folder."""
    descriptor = system.open_folder(folder)
    if descriptor is None:
        return
    try:
        system.fsync(descriptor)
    except OSError as error:
        if error.errno not in _FOLDER_CANNOT_SYNC:
            raise
    finally:
        with suppress(OSError):
            system.close(descriptor)


def _write_new(system: System, path: Path, data: bytes, mode: int) -> None:
    try:
        descriptor = system.create(path, mode)
    except FileExistsError:  # left by an attempt whose disk did not even let it be removed
        system.unlink(path)
        descriptor = system.create(path, mode)
    try:
        if mode != NEW_FILE_MODE:
            system.set_mode(descriptor, mode)
        rest = memoryview(data)
        while rest:
            rest = rest[system.write(descriptor, rest) :]
        system.fsync(descriptor)
    except BaseException:
        with suppress(OSError):
            system.close(descriptor)
        raise
    system.close(descriptor)
