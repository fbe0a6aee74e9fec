"""Open a book: take the lock, read the file, and recover, convert or refuse where it must.

Opening never fails for want of a lock or of leave to write: the book is then to look at only,
with the reason. It fails for a file that is not a book, and then changes nothing. A book opened
to look at only is left as it is, and so is its folder: no lock, no sweep, nothing put back.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from kitreckon.book.earlier import follows, told_not_followed
from kitreckon.book.encoding import FORMAT, Envelope, cut_lines, decode_book
from kitreckon.book.errors import BookError, NotABookError
from kitreckon.book.formats import CONVERTERS, Convert, convert
from kitreckon.book.generations import Kept, kept_generations, read_generation
from kitreckon.book.locks import Lock, take_lock
from kitreckon.book.safe_write import PART, UnconfirmedError, new_writer, put_in_place
from kitreckon.book.storage import BookStorage, describe
from kitreckon.book.system import Stamp, System
from kitreckon.quantities import clean_text


@dataclass(slots=True)
class Opened:
    """A storage, the lock it is written under, and what opening did, in plain words."""

    storage: BookStorage
    lock: Lock | None
    notices: list[str] = field(default_factory=list)
    older: str = ""  # the state beside the book that it does not come after, and the way back
    changed_outside: bool = False


def lock_file(book: Path) -> Path:
    """Return the path of the lock that belongs to a book."""
    return book.with_name(f".{book.name}.lock")


def open_storage(
    path: Path,
    system: System,
    now: Callable[[], datetime],
    *,
    lock: Lock | None = None,
    look_only: bool = False,
    converters: Mapping[int, Convert] = CONVERTERS,
) -> Opened:
    """Open the book at ``path``. Raises NotABookError or BookError; see the module's head."""
    try:
        target = system.real_path(path)
    except OSError as error:
        raise BookError(f"the book cannot be opened: {describe(error)}", where=path.name) from error
    except ValueError as error:  # a null character in the path
        raise BookError("this is not the name of a file", where=clean_text(str(path))) from error
    if look_only:
        held: Lock | str = "it was opened to look at only"
    else:
        held = lock if lock is not None else _locked(system, target, now)
    taken, reason = (None, held) if isinstance(held, str) else (held, "")
    reason = reason or _protected(system, target)
    storage = BookStorage(target, system, now, new_writer(), reason)
    opened = Opened(storage, taken)
    try:
        _read(opened, converters)
    except BaseException:
        if taken is not None and lock is None:
            with suppress(OSError):
                system.unlink(taken.path)
            taken.release()
        raise
    if taken is not None:
        _sweep(system, target)
    opened.notices += _conflict_copies(system, target)
    return opened


def _locked(system: System, target: Path, now: Callable[[], datetime]) -> Lock | str:
    try:
        system.make_folder(target.parent)
        return take_lock(system, lock_file(target), now())
    except OSError as error:
        return f"no lock can be made in {target.parent.name or target.parent}: {describe(error)}"


def _protected(system: System, target: Path) -> str:
    """Return why this file may not be written, by its mode and that of its folder."""
    for place, what in ((target.parent, "folder"), (target, "file")):
        with suppress(OSError):
            if not system.stamp(place).mode & 0o222:
                return f"the {what} {place.name} is read-only"
    return ""


def _read(opened: Opened, converters: Mapping[int, Convert]) -> None:
    storage = opened.storage
    # Listed before the file is read: what another program saves meanwhile is then never beside
    # an older book.
    kept = kept_generations(storage.system, storage.path)
    try:
        stamp = storage.system.stamp(storage.path)
        data = storage.system.read(storage.path)
    except FileNotFoundError:
        if kept:
            _recover(opened, None, NotABookError("the book is missing"), kept, converters)
        else:
            storage.load({}, 0, None)
        return
    except OSError as error:
        raise BookError(
            f"the book cannot be opened: {describe(error)}", where=storage.path.name
        ) from error
    try:
        envelope = decode_book(data)
        tables = convert(envelope, converters)
    except NotABookError as error:
        _recover(opened, stamp, error, kept, converters)
        return
    if not envelope.intact:
        _keep_changed(opened, data)
    as_written = envelope.intact and tables is envelope.tables
    lines = cut_lines(data, tables) if as_written else None
    storage.load(tables, _counted_on(opened, envelope, kept), stamp, lines)
    _match_format(opened, envelope)


def _counted_on(opened: Opened, envelope: Envelope, kept: Sequence[Kept]) -> int:
    """Return the number of the state in the file: beyond every state that it does not follow.

    So a copy put back by hand, or brought by a sync service, is a new state, and no number is
    given twice.
    """
    if follows(opened.storage, envelope, kept):
        return envelope.generation
    opened.older = told_not_followed(opened.storage, envelope, kept)
    return kept[-1].number + 1


def _match_format(opened: Opened, envelope: Envelope) -> None:
    storage = opened.storage
    if envelope.format > FORMAT:
        storage.read_only = storage.read_only or (
            f"the book is of format {envelope.format}, and this kitreckon writes format {FORMAT}"
        )
    elif envelope.format < FORMAT and not storage.read_only:
        storage.store(storage.read())
        opened.notices.append(
            f"The book was of format {envelope.format} and is now of format {FORMAT}; "
            "the old file is kept as a generation."
        )


def _keep_changed(opened: Opened, data: bytes) -> None:
    """Readable, but not as it was written: keep a copy, and let the user decide."""
    storage = opened.storage
    opened.changed_outside = True
    if storage.read_only:
        opened.notices.append("The book was changed outside the program.")
        return
    copy = _free_name(storage.system, storage.path, "changed")
    try:
        _write_copy(storage.system, copy, data)
    except OSError as error:
        opened.notices.append(
            f"The book was changed outside the program; no copy can be kept ({describe(error)})."
        )
    else:
        opened.notices.append(
            f"The book was changed outside the program; a copy is kept as {copy.name}."
        )
    storage.read_only = (
        "it was changed outside the program; accept it as it is, or restore a generation"
    )


def _write_copy(system: System, path: Path, data: bytes) -> None:
    with suppress(UnconfirmedError):
        put_in_place(system, path, data, writer=new_writer())


def _recover(
    opened: Opened,
    stamp: Stamp | None,
    trouble: NotABookError,
    kept: Sequence[Kept],
    converters: Mapping[int, Convert],
) -> None:
    """Take the newest good generation, and keep the damaged file under a new name."""
    storage = opened.storage
    good = (
        (one.number, envelope)
        for one in reversed(kept)
        if (envelope := read_generation(storage.system, storage.path, one.name)) is not None
    )
    number, found = next(good, (0, None))
    if found is None:
        raise NotABookError(
            trouble.what,
            where=storage.path.name,
            want="name another file, or put a copy of the book in its place",
        ) from trouble
    storage.load(convert(found, converters), max(kept[-1].number, found.generation), stamp)
    what = "is missing" if stamp is None else "could not be read"
    opened.notices.append(
        f"The file {storage.path.name} {what}: this is generation {number}, the newest good one. "
        "What was saved after it is not here."
    )
    if not storage.read_only:
        _put_back(opened, stamp)


def _put_back(opened: Opened, stamp: Stamp | None) -> None:
    storage = opened.storage
    damaged = _free_name(storage.system, storage.path, "damaged")
    try:
        if stamp is None:
            storage.store(storage.read())
        else:
            storage.store(storage.read(), lambda: _set_aside(storage.system, storage.path, damaged))
            opened.notices.append(f"The damaged file is kept as {damaged.name}.")
    except BookError as error:
        storage.read_only = f"the recovered book cannot be written: {error.what}"


def _set_aside(system: System, book: Path, name: Path) -> None:
    try:
        system.link(book, name)
    except OSError:
        _write_copy(system, name, system.read(book))


def _free_name(system: System, book: Path, mark: str) -> Path:
    try:
        there = set(system.list_folder(book.parent))
    except OSError:
        there = set()
    number = 1
    while (name := f"{book.stem}.{mark}-{number}{book.suffix}") in there:
        number += 1
    return book.with_name(name)


def _sweep(system: System, target: Path) -> None:
    """Remove what a killed program left half written; the lock says that nobody writes it now."""
    left = re.compile(rf"\.{re.escape(target.name)}(\.draft)?\.[0-9a-f]{{12}}{re.escape(PART)}")
    with suppress(OSError):
        for name in system.list_folder(target.parent):
            if left.fullmatch(name):
                with suppress(OSError):
                    system.unlink(target.with_name(name))


def _conflict_copies(system: System, target: Path) -> list[str]:
    """Name the files beside the book that a sync service may have put there."""
    stem, suffix = re.escape(target.stem), re.escape(target.suffix)
    like = re.compile(rf"{stem}(.*conflict.*| ?\(\d+\)| \d+){suffix}", re.IGNORECASE)
    try:
        names = sorted(filter(like.fullmatch, system.list_folder(target.parent)))
    except OSError:
        return []
    return [f"{name} looks like a conflict copy of the book: open it to compare." for name in names]
