"""The TinyDB storage of a book: one whole, checked, synced file for every write.

Reads come from memory and are frozen; a write that fails leaves memory and disk as they were.
Only what changed is encoded again: the line of every other record is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any

from tinydb.storages import Storage

from kitreckon.book.encoding import (
    Record,
    Tables,
    encode_book,
    encode_record,
    encode_table,
    freeze,
)
from kitreckon.book.errors import (
    ChangedBehindError,
    NotConfirmedError,
    NotSavedError,
    ReadOnlyError,
)
from kitreckon.book.generations import (
    Kept,
    generations_folder,
    keep_generation,
    kept_generations,
    superfluous,
)
from kitreckon.book.safe_write import NEW_FILE_MODE, UnconfirmedError, put_in_place
from kitreckon.book.system import Stamp, System


@dataclass(frozen=True, slots=True)
class StoredTable:
    """The frozen records of one table, each with its encoded line, and the whole encoded."""

    records: Mapping[str, Record]
    lines: Mapping[str, bytes]
    text: bytes


@dataclass(slots=True)
class State:
    """What the storage knows of its file: its counter, its stamp (None: no file yet)."""

    generation: int = 0
    stamp: Stamp | None = None
    tables: dict[str, StoredTable] = field(default_factory=dict)


class BookStorage(Storage):
    """Storage of one book file; ``read_only`` says why nothing can be saved, or is empty."""

    def __init__(
        self,
        path: Path,
        system: System,
        now: Callable[[], datetime],
        writer: str,
        read_only: str = "",
    ) -> None:
        self.path = path
        self.system = system
        self.read_only = read_only
        self.behind = False  # the file changed on disk: memory holds what is not saved
        self._now = now
        self._writer = writer
        self._state = State()
        self._staged: dict[str, Mapping[str, Record]] | None = None
        self._started = False
        self._kept: list[Kept] | None = None

    def load(
        self,
        tables: Tables,
        generation: int,
        stamp: Stamp | None,
        lines: Mapping[str, Mapping[str, bytes]] | None = None,
    ) -> None:
        """Take these frozen tables as what the file holds; ``lines`` are its encoded records."""
        known = {
            name: StoredTable(tables[name], cut, encode_table(name, cut.values()))
            for name, cut in (lines or {}).items()
        }
        self._state = State(generation, stamp, known)
        self._state.tables = self._encoded(tables)
        self.behind = False

    @property
    def generation(self) -> int:
        """The counter of the state in memory."""
        return self._state.generation

    def read(self) -> dict[str, Mapping[str, Record]]:  # type: ignore[override] # ours are frozen
        """Return every table; the records are frozen, so nobody can change what was read."""
        if self._staged is not None:
            return dict(self._staged)
        return {name: table.records for name, table in self._state.tables.items()}

    def write(self, data: Mapping[str, Mapping[str, Any]]) -> None:
        """Store the tables, or stage them while ``together`` gathers several writes."""
        if self._staged is not None:
            self._staged = dict(data)
        else:
            self.store(data)

    @contextmanager
    def together(self) -> Iterator[None]:
        """Make one write of all that is written inside; an error inside stores nothing."""
        staged = self._staged = self.read()
        try:
            yield
            staged = self._staged
        finally:
            self._staged = None
        self.store(staged)

    def store(
        self, tables: Mapping[str, Mapping[str, Any]], set_aside: Callable[[], None] | None = None
    ) -> None:
        """Write the book. ``set_aside`` keeps the old file in place of making a generation.

        Raises ReadOnlyError, ChangedBehindError, NotSavedError (nothing changed) or
        NotConfirmedError (written, and taken into memory).
        """
        if self.read_only:
            raise ReadOnlyError(f"cannot save here: {self.read_only}")
        encoded = self._encoded(tables)
        if self.behind or self._changed_behind():
            self.behind = True
            self._state.tables = encoded
            self.refuse_when_behind()
        generation = self._state.generation + 1
        data = encode_book(generation, self._writer, [table.text for table in encoded.values()])
        stamp, unconfirmed = self._put(data, set_aside)
        self._state = State(generation, stamp, encoded)
        self._started = True
        if unconfirmed is not None:
            raise NotConfirmedError(
                f"{self.path.name} is written, but the disk did not confirm it "
                f"({describe(unconfirmed.cause)})",
                want="save something again, or save a copy elsewhere",
            ) from unconfirmed
        self._thin_out()

    def _put(
        self, data: bytes, set_aside: Callable[[], None] | None
    ) -> tuple[Stamp, UnconfirmedError | None]:
        old = self._state.stamp
        keep = set_aside or (self._keep_old if old else lambda: None)
        mode = old.mode if old else NEW_FILE_MODE
        try:
            stamp = put_in_place(
                self.system, self.path, data, writer=self._writer, mode=mode, keep_old=keep
            )
        except UnconfirmedError as error:
            return error.stamp, error
        except OSError as error:
            raise self._not_saved(error) from error
        return stamp, None

    def _not_saved(self, error: OSError) -> NotSavedError:
        return NotSavedError(
            f"not saved: {describe(error)}", where=self.path.name, want="nothing was changed"
        )

    def refuse_when_behind(self) -> None:
        """Raise ChangedBehindError while memory holds what could not be saved."""
        if self.behind:
            raise ChangedBehindError(
                f"{self.path.name} was changed by something else, and is left as it is",
                want="save this book as a copy, or reload the file",
            )

    def text(self, generation: int | None = None) -> bytes:
        """Return the book in memory as the bytes of a file."""
        return encode_book(
            self.generation if generation is None else generation,
            self._writer,
            [table.text for table in self._state.tables.values()],
        )

    def _encoded(self, tables: Mapping[str, Mapping[str, Any]]) -> dict[str, StoredTable]:
        known = self._state.tables
        return {name: _stored(name, table, known.get(name)) for name, table in tables.items()}

    def _changed_behind(self) -> bool:
        try:
            found: Stamp | None = self.system.stamp(self.path)
        except FileNotFoundError:
            found = None
        except OSError as error:
            raise self._not_saved(error) from error
        known = self._state.stamp
        if found is None or known is None:
            return found is not known
        if found[:3] != known[:3]:
            return True
        self._state.stamp = found  # the mode may have been changed by the user: it is kept
        return False

    def _keep_old(self) -> None:
        kept = keep_generation(
            self.system,
            self.path,
            self._state.generation,
            self._now(),
            start=not self._started,
            writer=self._writer,
        )
        if self._kept is None:
            self._kept = kept_generations(self.system, self.path)
        if kept not in self._kept[-2:]:
            self._kept.append(kept)

    def _thin_out(self) -> None:
        for one in superfluous(self._kept or []):
            with suppress(OSError):
                self.system.unlink(generations_folder(self.path) / one.name)
                self._kept = [kept for kept in self._kept or [] if kept != one]


def describe(error: OSError) -> str:
    """Return the system's reason in words, without a path or a number."""
    return (error.strerror or str(error) or type(error).__name__).lower()


def _stored(name: str, table: Mapping[str, Any], known: StoredTable | None) -> StoredTable:
    if known is not None and table is known.records:
        return known
    old_records: Mapping[str, Record] = known.records if known else {}
    old_lines = known.lines if known else {}
    records: dict[str, Record] = {}
    lines: dict[str, bytes] = {}
    for key, record in table.items():
        old = old_records.get(key)
        if old is not None and record is old:
            records[key] = old
            lines[key] = old_lines[key]
        else:
            lines[key] = encode_record(key, record)
            records[key] = freeze(record)
    return StoredTable(MappingProxyType(records), lines, encode_table(name, lines.values()))
