"""Earlier states of a book, as they are listed for the user and brought back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from kitreckon.book.encoding import Tables
from kitreckon.book.errors import BookError
from kitreckon.book.generations import Kept, generations_folder, kept_generations
from kitreckon.book.history import ACTIONS, CURSOR, SETTINGS
from kitreckon.book.opening import convert, read_generation
from kitreckon.book.storage import BookStorage
from kitreckon.quantities import clean_text


@dataclass(frozen=True, slots=True)
class Generation:
    """An earlier state of the book. ``good`` is False when its file is damaged."""

    number: int
    saved_utc: str
    label: str  # of what was done last
    machines: int
    pieces: int
    good: bool
    start: bool  # the state that a start of the program found
    name: str


def earlier_states(storage: BookStorage) -> tuple[Generation, ...]:
    """Return the generations that are kept, newest first."""
    kept = kept_generations(storage.system, storage.path)
    return tuple(_described(storage, one) for one in reversed(kept))


def tables_of(storage: BookStorage, number: int) -> Tables:
    """Return the tables of a generation; BookError when it is not there, or damaged."""
    kept = kept_generations(storage.system, storage.path)
    for one in reversed(kept):
        envelope = read_generation(storage, one.name) if one.number == number else None
        if envelope is not None:
            return convert(envelope)
    raise BookError(f"there is no good generation {number}", where=storage.path.name)


def _described(storage: BookStorage, kept: Kept) -> Generation:
    envelope = read_generation(storage, kept.name)
    tables = envelope.tables if envelope else {}
    return Generation(
        kept.number,
        _saved_utc(storage, kept),
        _label(tables),
        len(tables.get("machines", {})),
        len(tables.get("pieces", {})),
        envelope is not None,
        kept.start,
        kept.name,
    )


def _label(tables: Tables) -> str:
    """Return what was done last: an action, or the taking back of the one after the cursor."""
    actions = {int(n): action for n, action in tables.get(ACTIONS, {}).items() if n.isdecimal()}
    if not actions:
        return ""
    cursor = tables.get(SETTINGS, {}).get(CURSOR, {}).get("cursor", 0)
    undone = sorted(n for n in actions if isinstance(cursor, int) and n > cursor)
    told = clean_text(str(actions[undone[0] if undone else max(actions)].get("label", "")))
    return f"taken back: {told}" if undone else told


def _saved_utc(storage: BookStorage, kept: Kept) -> str:
    try:
        stamp = storage.system.stamp(generations_folder(storage.path) / kept.name)
    except OSError:
        return ""
    return datetime.fromtimestamp(stamp.mtime_ns / 1e9, UTC).isoformat(timespec="seconds")
