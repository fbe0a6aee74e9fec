"""Writing a file the user asked for: whole or not at all, and nothing overwritten unasked."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from kitreckon.commands.opening import user_path
from kitreckon.errors import KitreckonError


def write_file(path: Path, text: str, *, overwrite: bool = False, bom: bool = False) -> Path:
    """Write the text and return the full path.

    A temporary file in the same folder takes the text first; only when all of it is on disk does
    it take the name. Raises KitreckonError when the file is there already and ``overwrite`` was
    not asked for, and when it cannot be written: the old file then stays as it was.
    """
    target = refuse_existing(path, overwrite=overwrite)
    data = text.encode("utf-8-sig" if bom else "utf-8", "replace")
    try:
        _replace(target, data, overwrite)
    except FileExistsError as error:
        raise KitreckonError("the file is there already", where=str(target), want=_ASK) from error
    except OSError as error:
        raise KitreckonError(
            f"cannot be written: {error.strerror or error}",
            where=str(target),
            want="another place; what was there before is unchanged",
        ) from error
    return target


def named_in(path: Path, name: str, ending: str) -> Path:
    """Return the file to write: the path itself, or in a folder a name that is free there."""
    folder = user_path(path)
    if not folder.is_dir():
        return path
    from kitreckon.reports.file_names import safe_file_name, unlike

    taken = {entry.name for entry in folder.iterdir()}
    return folder / unlike(safe_file_name(name, ending), taken)


def refuse_existing(path: Path, *, overwrite: bool) -> Path:
    """Return the full path; raise KitreckonError when it may not be written over."""
    target = user_path(path).resolve()
    if target.is_dir():
        raise KitreckonError("this is a folder", where=str(target), want="the name of a file")
    if target.exists() and not overwrite:
        raise KitreckonError("the file is there already", where=str(target), want=_ASK)
    return target


_ASK = "another name, or --overwrite to write over it"


def _replace(target: Path, data: bytes, overwrite: bool) -> None:
    handle, name = tempfile.mkstemp(prefix=".kitreckon-", suffix=".part", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        Path(name).chmod(_mode(target))
        if overwrite:
            Path(name).replace(target)
        else:
            _claim(name, target)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink(missing_ok=True)
        raise


def _mode(target: Path) -> int:
    try:
        return target.stat().st_mode & 0o777
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _claim(name: str, target: Path) -> None:
    """Take the name only if nobody took it meanwhile; a link fails where a rename would not."""
    try:
        os.link(name, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        if target.exists():
            raise FileExistsError(target) from None
        Path(name).replace(target)
        return
    Path(name).unlink()
