"""The book as screens and commands use it: objects out, labelled actions in.

>>> import tempfile, pathlib
>>> from kitreckon.count import Machine, Piece
>>> book = Book.open(pathlib.Path(tempfile.mkdtemp()) / "book.json")
>>> lathe = Machine(book.next_id("machine"), "12in lathe", "engine-lathe-small")
>>> chuck = Piece(book.next_id("piece"), "chuck-3-jaw")
>>> action = book.commit("add a lathe", book.put(lathe) + book.put(chuck, lathe.id))
>>> [piece.kind for piece in book.visit(lathe.id).pieces]
['chuck-3-jaw']
>>> book.undo().label, book.machines()
('add a lathe', ())
>>> book.close()

One commit is one action and one write: when ``commit`` returns, the change is on disk.
- NotSavedError, ReadOnlyError: book and disk are as before.
- NotConfirmedError: the change is written, but the disk did not say that it will stay.
- ChangedBehindError: something else changed the file; it is left alone, and the change is kept
  in memory for ``save_copy``; ``reload`` gives it up.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from tinydb import where

from kitreckon.book.copies import save_copy
from kitreckon.book.draft import Draft
from kitreckon.book.earlier import Generation, earlier_states, state_called, tables_of
from kitreckon.book.encoding import Record
from kitreckon.book.errors import BookError, ReadOnlyError
from kitreckon.book.filing import Changes, Filing
from kitreckon.book.history import (
    ACTIONS,
    SETTINGS,
    Action,
    History,
    Row,
    check_in_force,
    label_of,
    records_of,
    turned_round,
)
from kitreckon.book.numbering import Numbers
from kitreckon.book.opening import Opened, open_storage
from kitreckon.book.records import NOTE_LIMIT, from_fields
from kitreckon.book.safe_write import new_writer
from kitreckon.book.shelving import (
    OWNED,
    PARTS,
    PREFERENCES,
    VISITS,
    Change,
    Entry,
    entry_of,
    history_of,
    ids_in_use,
    in_order,
    strange_records,
    understood,
    visit_of,
)
from kitreckon.book.system import System
from kitreckon.book.tables import RecordDatabase
from kitreckon.count import Correction, Machine, OwnPrice, Piece, Preferences, Purchase, Visit
from kitreckon.quantities import clean_text

T = TypeVar("T")


def _utc_now() -> datetime:
    return datetime.now(UTC)


class Book:
    """One book, open. Thread-safe: a commit may run in a worker."""

    def __init__(
        self, opened: Opened, system: System, now: Callable[[], datetime], *, look_only: bool
    ) -> None:
        self._look_only = look_only
        self._system = system
        self._now = now
        self._mutex = threading.RLock()
        self._take(opened)

    @classmethod
    def open(
        cls,
        path: Path | str,
        now: Callable[[], datetime] = _utc_now,
        *,
        system: System | None = None,
        look_only: bool = False,
    ) -> Book:
        """Open the book at ``path``; one that does not exist yet is made by its first commit.

        look_only: nothing is written, neither the file nor a lock beside it; for another's book.
        Raises NotABookError for a file that is not a book or cannot be recovered, BookError
        when it may not be read. A book that cannot be written opens to look at only.
        """
        system = system or System()
        opened = open_storage(Path(path), system, now, look_only=look_only)
        return cls(opened, system, now, look_only=look_only)

    def _take(self, opened: Opened) -> None:
        self._storage = opened.storage
        self._lock = opened.lock
        self.changed_outside = opened.changed_outside
        self._db = RecordDatabase(storage=lambda: opened.storage)
        self._read: dict[str, Any] = {}  # what was shown, by name, until it changes
        self._numbers: Numbers | None = None
        self._filing = Filing(self._db)
        self._notices = list(opened.notices)
        self._older = opened.older
        self.draft = Draft(opened.storage, new_writer())
        self._forget()
        self._check_records()

    # What it is

    @property
    def path(self) -> Path:
        """The file, with links followed."""
        return self._storage.path

    @property
    def read_only(self) -> str:
        """Why nothing can be saved, in plain words; empty when it can."""
        return clean_text(self._storage.read_only, NOTE_LIMIT)

    @property
    def behind(self) -> bool:
        """True when the file changed on disk and memory holds changes that are not saved."""
        return self._storage.behind

    @property
    def notices(self) -> tuple[str, ...]:
        """What opening did or found that the user should know, in plain words."""
        told = filter(None, (*self._notices, self._older))
        return tuple(clean_text(notice, NOTE_LIMIT) for notice in told)

    @property
    def generation(self) -> int:
        """The counter of the state in memory; every write counts one on."""
        return self._storage.generation

    # What is in it

    def machines(self) -> tuple[Machine, ...]:
        """Return every machine, in the order they were added."""
        return self._entries("machines")

    def machine(self, machine_id: str) -> Machine | None:
        """Return one machine, or None."""
        return next((one for one in self.machines() if one.id == machine_id), None)

    def visit(self, machine_id: str) -> Visit:
        """Return the visit of a machine; an empty one when nothing was counted yet."""

        def read() -> Visit:
            clock = self._db.records(VISITS).record(machine_id)
            parts = {
                name: self._db.records(name).search(where("machine") == machine_id)
                for name in PARTS
            }
            return visit_of(machine_id, clock, parts)

        return self._shown(f"visit {machine_id}", read)

    def shelf(self) -> tuple[Piece, ...]:
        """Return what the user owns already."""
        return self._entries(OWNED)

    def purchases(self) -> tuple[Purchase, ...]:
        """Return what was bought."""
        return self._entries("purchases")

    def own_prices(self) -> tuple[OwnPrice, ...]:
        """Return the user's own prices."""
        return self._entries("own_prices")

    def corrections(self) -> tuple[Correction, ...]:
        """Return what the user said certain texts mean."""
        return self._entries("corrections")

    def preferences(self) -> Preferences:
        """Return the settings; the defaults when none were stored."""

        def read() -> Preferences:
            stored = self._db.records(SETTINGS).record(PREFERENCES) or {}
            read_one = partial(from_fields, Preferences)
            return next(understood(read_one, [stored]), Preferences())

        return self._shown(SETTINGS, read)

    @property
    def settings_stored(self) -> bool:
        """Whether the settings are the user's: False while they are the defaults, unasked."""
        return self._db.records(SETTINGS).record(PREFERENCES) is not None

    def next_id(self, prefix: str) -> str:
        """Return an id that was never used in this book: "piece" gives "piece-1", then on."""
        with self._mutex:
            if self._numbers is None:
                self._numbers = Numbers(ids_in_use(self._storage.read(), self.history.actions))
            return self._numbers.next(prefix)

    # Changing it

    def put(self, entry: Entry, machine_id: str = "") -> Changes:
        """Return the changes that store an object; nothing is stored before ``commit``.

        Pieces, looks, findings and sayings need the id of their machine; a piece without one
        goes on the shelf. A visit stands for all of its parts: those it lacks are dropped.
        """
        there = self.visit(entry.machine_id) if isinstance(entry, Visit) else None
        return self._filing.put(entry, machine_id, there)

    def drop(self, entry: Entry, machine_id: str = "") -> Changes:
        """Return the changes that remove an object; a machine takes its visit with it."""
        return self._filing.drop(entry, machine_id)

    def commit(self, label: str, changes: Iterable[Change]) -> Action:
        """Store the changes as one action, by one write; return when it is on disk.

        An action that changes nothing is not stored (its ``n`` is 0). Raises the four errors at
        the head of this module, and BookError for something that belongs to no machine.
        """
        with self._mutex:
            rows = self._filing.rows(changes)
            history = self.history
            action = Action(
                history.last + 1 if rows else 0,
                clean_text(label),
                self._now().astimezone(UTC).isoformat(timespec="seconds"),
                tuple(rows),
            )
            if rows:
                self._store(rows, action.n, action, history.next_drops)
            self._storage.refuse_when_behind()
            return action

    @property
    def history(self) -> History:
        """The actions kept, and how far they are in force."""
        return self._shown(ACTIONS, lambda: history_of(self._storage.read()))

    @property
    def undo_label(self) -> str:
        """What undo would take back; empty when there is nothing."""
        return label_of(self.history.undoable)

    @property
    def redo_label(self) -> str:
        """What redo would do again; empty when there is nothing."""
        return label_of(self.history.redoable)

    def undo(self) -> Action | None:
        """Take the last action back, by one write; None when there is none. Raises as commit."""
        with self._mutex:
            action = self.history.undoable
            if action is not None:
                self._store(turned_round(action.rows), self.history.before(action))
            return action

    def redo(self) -> Action | None:
        """Do again what was undone last, by one write; None when there is none."""
        with self._mutex:
            action = self.history.redoable
            if action is not None:
                self._store(action.rows, action.n)
            return action

    # Earlier states, copies, and the file changing behind the back

    def generations(self) -> tuple[Generation, ...]:
        """Return the earlier states that are kept, newest first."""
        return earlier_states(self._storage)

    def restore(self, which: Generation | int | str) -> Generation:
        """Make an earlier state, with its actions, the book again; this is a new generation.

        ``which`` is one of ``generations()``, or its name; a number that several have is
        refused. Returns the state restored.
        """
        with self._mutex:
            if not isinstance(which, Generation):
                which = state_called(self._storage, str(which))
            self._write_whole(tables_of(self._storage, which))
            self._older = ""  # the user has chosen between them
            return which

    def accept(self) -> None:
        """Take a book that was changed outside the program as it is, by writing it anew.

        Raises BookError when some of it cannot be understood: then restore a generation.
        """
        with self._mutex:
            if strange := strange_records(self._storage.read()):
                raise BookError(
                    f"{strange[0]} cannot be understood",
                    where=self.path.name,
                    want="restore a generation, or put the file right",
                )
            self._write_whole(self._storage.read())

    def text_of_copy(self) -> str:
        """Return the book in memory as the text of a file, for a place that may be written over."""
        return self._storage.text(self.generation + 1).decode()

    def save_copy(self, path: Path | str) -> Path:
        """Write the book in memory to a new file and return its path. Never overwrites."""
        return save_copy(self._storage, Path(path))

    def reload(self) -> None:
        """Read the file again, giving up what is in memory only; a free lock is taken."""
        with self._mutex:
            lock, look_only = self._lock, self._look_only
            self._take(
                open_storage(self.path, self._system, self._now, lock=lock, look_only=look_only)
            )

    def close(self) -> None:
        """Let another program write the book. Nothing is unsaved: every commit was a write."""
        with self._mutex:
            if self._lock is not None:
                self._lock.release()
                self._lock = None
            self._storage.read_only = self._storage.read_only or "the book is closed"

    def __enter__(self) -> Book:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    # Within

    def _entries(self, table: str) -> tuple[Any, ...]:
        def read() -> tuple[Any, ...]:
            records = self._db.records(table).all_records().values()
            return tuple(understood(partial(entry_of, table), in_order(records)))

        return self._shown(table, read)

    def _shown(self, name: str, read: Callable[[], T]) -> T:
        """Return what was read before, until a change of its table forgets it."""
        with self._mutex:
            if name not in self._read:
                self._read[name] = read()
            found: T = self._read[name]
            return found

    def _forget(self, rows: Iterable[Row] | None = None) -> None:
        if rows is None:
            self._read = {}
            self._numbers = None
            self._filing.forget()
            return
        self._read.pop(ACTIONS, None)
        for row in rows:
            self._read.pop(row.table, None)
            if row.table in PARTS or row.table == VISITS:
                self._read = {n: v for n, v in self._read.items() if not n.startswith("visit ")}

    def _store(
        self,
        rows: Sequence[Row],
        cursor: int,
        action: Action | None = None,
        gone: Sequence[int] = (),
    ) -> None:
        """Apply the rows, the action and the cursor by one write."""
        check_in_force(rows, self._storage.read())
        history = self.history
        try:
            with self._storage.together():
                for name, records in records_of(rows, cursor, action, gone).items():
                    self._db.records(name).exchange(records)
        finally:
            self._forget(rows)
        self._read[ACTIONS] = history.moved(cursor, action, gone)
        if self._numbers is not None:
            self._numbers.count(row.id for row in rows)

    def _write_whole(self, tables: Mapping[str, Mapping[str, Record]]) -> None:
        reason = self._storage.read_only
        if reason and not (self.changed_outside and self._lock is not None):
            raise ReadOnlyError(f"cannot save here: {reason}")
        self._storage.read_only = ""
        try:
            self._storage.store(tables)
        except BaseException:
            self._storage.read_only = reason
            raise
        finally:
            self._forget()
        self.changed_outside = False

    def _check_records(self) -> None:
        """Make the book look-only when a record cannot be understood, and name the first five."""
        strange = strange_records(self._storage.read())
        if strange:
            self._storage.read_only = self._storage.read_only or (
                "some of its records cannot be understood"
            )
            self._notices += [f"Not shown, because it is strange: {one}" for one in strange[:5]]
