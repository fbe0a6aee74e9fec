"""A copy of the book in memory, as a file of its own."""

from __future__ import annotations

from pathlib import Path

from kitreckon.book.errors import BookError
from kitreckon.book.safe_write import UnconfirmedError, new_writer, put_in_place
from kitreckon.book.storage import BookStorage, describe


def save_copy(storage: BookStorage, path: Path) -> Path:
    """Write the book in memory to a new file and return its full path. Never overwrites.

    Raises BookError when there is such a file, or it cannot be written.
    """
    system, target = storage.system, path
    try:
        target = system.real_path(path)
        if target.name in system.list_folder(target.parent):
            raise BookError("there is such a file already", where=target.name)
        put_in_place(system, target, storage.text(storage.generation + 1), writer=new_writer())
    except UnconfirmedError as error:
        raise BookError(
            f"the copy may not be kept: {describe(error.cause)}", where=target.name
        ) from error
    except OSError as error:
        raise BookError(f"no copy is saved: {describe(error)}", where=target.name) from error
    return target
