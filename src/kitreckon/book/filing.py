"""From objects to the rows of an action: what is put, what goes, in which order it stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tinydb import where

from kitreckon.book.encoding import Record, freeze
from kitreckon.book.errors import BookError
from kitreckon.book.history import Row
from kitreckon.book.shelving import PARTS, VISITS, Change, Entry, filed, placed, record_of
from kitreckon.book.tables import RecordDatabase
from kitreckon.count import Machine, Visit

Changes = tuple[Change, ...]


class Filing:
    """Makes changes and rows out of objects, looking at the book as it is."""

    def __init__(self, database: RecordDatabase) -> None:
        self._database = database
        self._highest: dict[str, int] = {}  # order in use, by table

    def put(self, entry: Entry, machine_id: str, there: Visit | None) -> Changes:
        """Return the changes that store an object; ``there``: the stored form of a visit."""
        if not isinstance(entry, Visit):
            return (filed(entry, machine_id),)
        changes: list[Change] = [filed(entry)]
        for name in PARTS:
            wanted = [filed(part, entry.machine_id) for part in getattr(entry, name)]
            new = [change.id for change in wanted]
            if len(set(new)) != len(new):
                raise BookError(f"two {name} of the visit have the same id")
            old = [placed(part, entry.machine_id)[1] for part in getattr(there, name, ())]
            changes += [Change(name, key, None) for key in old if key not in set(new)]
            changes += self._ordered(name, wanted, old)
        return tuple(changes)

    def drop(self, entry: Entry, machine_id: str) -> Changes:
        """Return the changes that remove an object; a machine takes its visit with it."""
        table, key = placed(entry, machine_id)
        gone: Changes = (Change(table, key, None),)
        if isinstance(entry, Machine):
            gone += (Change(VISITS, key, None),)
        if isinstance(entry, Machine | Visit):
            for name in PARTS:
                there = self._database.records(name).search(where("machine") == key)
                gone += tuple(Change(name, record["id"], None) for record in there)
        return gone

    def rows(self, changes: Iterable[Change]) -> list[Row]:
        """Return what really changes; several changes of one record become the last of them.

        Raises BookError for a part of a visit whose machine is not in the book.
        """
        latest = {(change.table, change.id): change for change in changes}
        rows: list[Row] = []
        for change in latest.values():
            before = self._database.records(change.table).record(change.id)
            after = freeze(record_of(change, before, self._order_for(change, before)))
            if after != before:
                rows.append(Row(change.table, change.id, before, after))
        self._check_machines(rows)
        return rows

    def forget(self) -> None:
        """Look at the book anew: all of it may have changed."""
        self._highest.clear()

    def _ordered(self, table: str, wanted: Sequence[Change], old: Sequence[str]) -> list[Change]:
        """Give new order numbers only when what was there comes in another order than before."""
        new = [change.id for change in wanted]
        staying = [key for key in old if key in set(new)]
        if new[: len(staying)] == staying:
            return list(wanted)
        first = self._top(table) + 1
        return [
            Change(one.table, one.id, one.fields, one.machine, first + at)
            for at, one in enumerate(wanted)
        ]

    def _order_for(self, change: Change, before: Record | None) -> int:
        if change.order is not None:
            self._highest[change.table] = max(self._top(change.table), change.order)
            return change.order
        if before is not None or change.fields is None:
            order = (before or {}).get("order", 0)
            return order if type(order) is int else 0
        self._highest[change.table] = self._top(change.table) + 1
        return self._highest[change.table]

    def _top(self, table: str) -> int:
        if table not in self._highest:
            records = self._database.records(table).all_records().values()
            orders = (record.get("order", 0) for record in records)
            self._highest[table] = max((n for n in orders if type(n) is int), default=0)
        return self._highest[table]

    def _check_machines(self, rows: Sequence[Row]) -> None:
        machines = self._database.records("machines")
        added = {row.id for row in rows if row.table == "machines" and row.after is not None}
        for row in rows:
            if row.after is None or (row.table not in PARTS and row.table != VISITS):
                continue
            machine = row.after["machine"] if row.table in PARTS else row.id
            if machine not in added and machines.record(machine) is None:
                raise BookError(f"there is no machine {machine!r} in the book")
