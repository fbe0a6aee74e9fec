"""Which table and which id an object of the book has, and how it is turned into its record.

What belongs to a visit is filed under its machine: the id of its record is machine/id, so that
the ids of pieces, looks, findings and sayings need be unique within one visit only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, TypeVar

from kitreckon.book.encoding import Record, Tables
from kitreckon.book.errors import BookError
from kitreckon.book.history import ACTIONS, CURSOR, SETTINGS, Action, History, read_action
from kitreckon.book.records import field_names, from_fields, to_fields
from kitreckon.count import (
    Correction,
    Finding,
    Look,
    Machine,
    OwnPrice,
    Piece,
    Preferences,
    Purchase,
    Saying,
    Visit,
)
from kitreckon.quantities import clean_text

Entry = (
    Machine
    | Visit
    | Piece
    | Look
    | Finding
    | Saying
    | Purchase
    | OwnPrice
    | Correction
    | Preferences
)
PREFERENCES = "preferences"
OWNED = "owned"
VISITS = "visits"
# The parts of a visit, by the name of their field, which is the name of their table too.
PARTS: Mapping[str, type] = {"pieces": Piece, "looks": Look, "findings": Finding, "sayings": Saying}
CLASSES: Mapping[str, type] = {
    "machines": Machine,
    **PARTS,
    OWNED: Piece,
    "purchases": Purchase,
    "own_prices": OwnPrice,
    "corrections": Correction,
}
TABLES: tuple[str, ...] = (
    "machines",
    VISITS,
    *PARTS,
    OWNED,
    "purchases",
    "own_prices",
    "corrections",
    SETTINGS,
    ACTIONS,
)
T = TypeVar("T")
_BESIDE = frozenset({"id", "machine", "own_id", "order"})


@dataclass(frozen=True, slots=True)
class Change:
    """One record as it is to be: its table, its id, its fields (None: gone)."""

    table: str
    id: str
    fields: Mapping[str, Any] | None
    machine: str = ""
    order: int | None = None


def placed(entry: Entry, machine_id: str = "") -> tuple[str, str]:
    """Return the table and the record id of an object; BookError where it has no place."""
    if isinstance(entry, Preferences):
        return SETTINGS, PREFERENCES
    if isinstance(entry, Visit):
        return VISITS, _good_id(entry.machine_id)
    own = _good_id(entry.want if isinstance(entry, Look) else entry.id)
    if isinstance(entry, Piece) and not machine_id:
        return OWNED, own
    for table, cls in PARTS.items():
        if isinstance(entry, cls):
            return table, f"{_good_id(machine_id)}/{own}"
    return next(table for table, cls in CLASSES.items() if isinstance(entry, cls)), own


def filed(entry: Entry, machine_id: str = "") -> Change:
    """Return the change that stores one object. BookError for a field that cannot be stored."""
    table, key = placed(entry, machine_id)
    if isinstance(entry, Visit):
        return Change(table, key, _clock(entry))
    stored = to_fields(entry)
    from_fields(type(entry), stored)  # what could not be read back is refused before it is kept
    if table in PARTS:
        stored["own_id"] = stored.pop("id", stored.get("want"))
        return Change(table, key, stored, machine_id)
    return Change(table, key, stored)


def _clock(visit: Visit) -> dict[str, Any]:
    return to_fields(
        Visit(visit.machine_id, (), (), (), (), visit.clock_s, visit.clock_started_utc)
    )


def _good_id(text: str) -> str:
    if not text or text != clean_text(text):
        raise BookError(f"{text[:40]!r} cannot be an id", want="a short plain name")
    return text


def record_of(change: Change, before: Record | None, order: int) -> dict[str, Any] | None:
    """Return the record to store. What a later version put into ``before`` is kept."""
    if change.fields is None:
        return None
    cls = Visit if change.table == VISITS else CLASSES.get(change.table, Preferences)
    known = field_names(cls) | _BESIDE
    kept = {name: value for name, value in (before or {}).items() if name not in known}
    beside = {"machine": change.machine} if change.table in PARTS else {}
    return {"id": change.id, **beside, "order": order, **_without_id(change.fields), **kept}


def _without_id(stored: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in stored.items() if name != "id"}


def ids_in_use(tables: Tables, actions: Iterable[Action]) -> Iterator[str]:
    """Return every id of the book, and those that an undo or a redo would bring back."""
    for table in TABLES:
        yield from tables.get(table, {})
    for action in actions:
        yield from (row.id for row in action.rows)


def understood(read: Callable[[Record], T], records: Iterable[Record]) -> Iterator[T]:
    """Read records, passing over those that cannot be; opening names them to the user."""
    for record in records:
        with suppress(BookError):
            yield read(record)


def entry_of(table: str, record: Record) -> Any:
    """Return the object in a record of one of the tables of CLASSES."""
    cls = CLASSES[table]
    return from_fields(cls, {**record, "id": record.get("own_id", record.get("id"))})


def check_record(table: str, key: str, record: Record) -> None:
    """Raise BookError when a record is not what its table should hold."""
    if record.get("id") != key:
        raise BookError("it is filed under another id")
    if table in CLASSES:
        entry_of(table, record)
    elif table == VISITS:
        from_fields(Visit, record)
    elif table == ACTIONS:
        _ = read_action(record)
    elif key == PREFERENCES:
        from_fields(Preferences, record)


def in_order(records: Iterable[Record]) -> list[Record]:
    """Return records in the order the user gave them, which never depends on the clock."""
    return sorted(records, key=_order)


def _order(record: Record) -> int:
    order = record.get("order")
    return order if type(order) is int else 0


def visit_of(machine_id: str, clock: Record | None, parts: Mapping[str, Iterable[Record]]) -> Visit:
    """Return a visit from its records; a machine that was never visited has an empty one."""
    read: dict[str, Any] = {
        name: tuple(understood(partial(entry_of, name), in_order(records)))
        for name, records in parts.items()
    }
    times = {**(clock or {}), "machine_id": machine_id, **dict.fromkeys(PARTS, ())}
    visit = next(understood(partial(from_fields, Visit), [times]), Visit(machine_id))
    return replace(visit, machine_id=machine_id, **read)


def history_of(tables: Tables) -> History:
    """Return the actions that can be read, oldest first, and the cursor."""
    found = understood(read_action, tables.get(ACTIONS, {}).values())
    cursor = tables.get(SETTINGS, {}).get(CURSOR, {}).get("cursor", 0)
    in_force = cursor if isinstance(cursor, int) else 0
    return History(tuple(sorted(found, key=lambda action: action.n)), in_force)


def strange_records(tables: Tables) -> list[str]:
    """Name every record that cannot be understood, with the reason."""
    found: list[str] = []
    for table in TABLES:
        for key, record in tables.get(table, {}).items():
            try:
                check_record(table, key, record)
            except BookError as error:
                found.append(f"{table} {clean_text(key)}: {error}")
    return found
