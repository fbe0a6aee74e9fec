"""Earlier states of a book, as they are listed for the user and brought back.

Two states may have the same number: an older copy was put back by hand, or a synchronised
folder brought a book that was written elsewhere. They are told apart by their checksums.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from kitreckon.book.encoding import Envelope, Tables
from kitreckon.book.errors import BookError
from kitreckon.book.formats import convert
from kitreckon.book.generations import Kept, generations_folder, kept_generations, read_generation
from kitreckon.book.history import ACTIONS, CURSOR, SETTINGS
from kitreckon.book.storage import BookStorage
from kitreckon.quantities import clean_text

MARK = 6  # digits of the checksum that tell states of one number apart


@dataclass(frozen=True, slots=True)
class Generation:
    """An earlier state of the book. ``checksum`` is empty when its file is damaged."""

    number: int
    name: str  # the number; number-checksum where states that differ have the same number
    saved_utc: str
    label: str  # of what was done last
    machines: int
    pieces: int
    start: bool  # the state that a start of the program found
    file: str
    checksum: str

    @property
    def good(self) -> bool:
        """True when the file is whole, so that the state can be restored."""
        return bool(self.checksum)


def earlier_states(storage: BookStorage) -> tuple[Generation, ...]:
    """Return the generations that are kept, newest first: by number, then by time."""
    return _listed(storage, kept_generations(storage.system, storage.path))


def state_called(storage: BookStorage, name: str) -> Generation:
    """Return the one state of this name: "79", or "79-3fa2c1" where several are numbered 79.

    Raises BookError when there is none that is good, and, naming them all, when it could be
    one or another.
    """
    number, _, mark = name.partition("-")
    wanted = int(number) if number.isascii() and number.isdecimal() and len(number) < 19 else -1
    kept = [one for one in kept_generations(storage.system, storage.path) if one.number == wanted]
    states = _listed(storage, kept)
    states = tuple(one for one in states if one.checksum.startswith(mark))
    if len({one.checksum for one in states}) > 1:
        raise BookError(
            f"there are {len(states)} generations {clean_text(name)}, and they differ",
            where=storage.path.name,
            want="\n  ".join(["name one of them:", *map(_in_a_line, states)]),
        )
    if not states or not states[0].good:
        raise BookError(f"there is no good generation {clean_text(name)}", where=storage.path.name)
    return states[0]


def tables_of(storage: BookStorage, state: Generation) -> Tables:
    """Return the tables of this very state; BookError when its file is gone, damaged, another."""
    envelope = read_generation(storage.system, storage.path, state.file)
    if envelope is None:
        raise BookError(f"there is no good generation {state.name}", where=storage.path.name)
    if envelope.checksum != state.checksum:
        raise BookError(
            f"the file of generation {state.name} is not what it was",
            where=storage.path.name,
            want="list the earlier states again",
        )
    return convert(envelope)


def follows(storage: BookStorage, book: Envelope, kept: Iterable[Kept]) -> bool:
    """Return whether the book's file comes after all of the kept states, by its counter.

    The state that a save had put by when it was cut short is the book itself.
    """
    return not any(
        one.number > book.generation
        or (one.number == book.generation and _differs(storage, one, book))
        for one in kept
    )


def told_not_followed(storage: BookStorage, book: Envelope, kept: Sequence[Kept]) -> str:
    """Tell which of the kept states the book does not come after, and how to go back to it."""
    newest = kept[-1].number
    found = "The book is older than" if newest > book.generation else "The book does not come after"
    beside = _listed(storage, [one for one in kept if one.number >= book.generation])
    good = (state for state in beside if state.good and state.checksum != book.checksum)
    other = next(good, None)
    if other is None:
        return f"{found} generation {newest} beside it, which cannot be restored."
    return (
        f"{found} a state kept beside it: generation {_in_a_line(other)}. To go back to that one "
        f"choose it among the earlier states, or: kitreckon history --restore {other.name}"
    )


def _differs(storage: BookStorage, kept: Kept, book: Envelope) -> bool:
    envelope = read_generation(storage.system, storage.path, kept.name)
    return envelope is not None and envelope.checksum != book.checksum


def _listed(storage: BookStorage, kept: Iterable[Kept]) -> tuple[Generation, ...]:
    states = [_described(storage, one) for one in kept]
    checksums: dict[int, set[str]] = defaultdict(set)
    for state in states:
        checksums[state.number].add(state.checksum)
    named = [
        replace(state, name=f"{state.number}-{state.checksum[:MARK] or 'damaged'}")
        if len(checksums[state.number]) > 1
        else state
        for state in states
    ]
    return tuple(sorted(named, key=lambda state: (state.number, state.saved_utc))[::-1])


def _described(storage: BookStorage, kept: Kept) -> Generation:
    envelope = read_generation(storage.system, storage.path, kept.name)
    tables = envelope.tables if envelope else {}
    return Generation(
        kept.number,
        str(kept.number),
        _saved_utc(storage, kept),
        _label(tables),
        len(tables.get("machines", {})),
        len(tables.get("pieces", {})),
        kept.start,
        kept.name,
        envelope.checksum if envelope else "",
    )


def _in_a_line(state: Generation) -> str:
    if not state.good:
        return f"{state.name}, damaged"
    saved = state.saved_utc[:16].replace("T", " ")
    holds = f"machines: {state.machines}, pieces: {state.pieces}"
    return f"{state.name}, saved {saved} UTC ({'; '.join(filter(None, (state.label, holds)))})"


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
