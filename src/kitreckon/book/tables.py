"""TinyDB tables whose documents are records with ids of their own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from tinydb import TinyDB
from tinydb.table import Table

from kitreckon.book.encoding import Record


class RecordTable(Table):
    """A table of frozen records by text id."""

    document_id_class = str  # type: ignore[assignment] # our ids are words: piece-7

    def all_records(self) -> Mapping[str, Record]:
        """Return every record by its id, frozen."""
        return (self.storage.read() or {}).get(self.name, {})

    def record(self, key: str) -> Record | None:
        """Return one record, frozen, or None."""
        return self.all_records().get(key)

    def exchange(self, records: Mapping[str, Record | None]) -> None:
        """Store these records in place of those with the same ids; None removes one."""
        tables = self.storage.read() or {}
        table: dict[str, Any] = dict(tables.get(self.name, {}))
        for key, record in records.items():
            if record is None:
                table.pop(key, None)
            else:
                table[key] = record
        tables[self.name] = table
        self.storage.write(tables)


class RecordDatabase(TinyDB):
    """A TinyDB whose tables hold records. It keeps no results: the book does."""

    table_class = RecordTable

    def records(self, name: str) -> RecordTable:
        """Return a table."""
        return cast(RecordTable, self.table(name, cache_size=0))
