"""Laying files of standards over each other: row by row, and field by field within a row."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from kitreckon.errors import KitreckonError
from kitreckon.standards.rows import Row, RowError

Document = Mapping[str, Any]
Wrong = Callable[[str, tuple[str, ...], KitreckonError], None]


@dataclass(frozen=True, slots=True)
class Layered:
    """One row as it stands after a file was laid over those before it."""

    file: str
    table: str
    row: Row
    head: Document


def layers(
    documents: Mapping[str, Document], tables: tuple[str, ...], wrong: Wrong | None
) -> Iterator[Layered]:
    """Give the rows of all files in order; a row that comes again comes with its base."""
    below: dict[tuple[str, str], Layered] = {}
    for file, document in documents.items():
        try:
            table = _table(file, document, tables)
            rows = _rows(file, document)
        except RowError as error:
            if wrong is None:
                raise
            wrong(file, (error.field,) if error.field else (), error)
            continue
        for name, data in rows.items():
            if not isinstance(data, Mapping):
                no_row = RowError("is not a row", where=f"{file}: {name}", want="fields and values")
                if wrong is None:
                    raise no_row
                wrong(file, ("rows", name), no_row)
                continue
            layered = _over(below.get((table, name)), file, table, str(name), data, document)
            below[table, name] = layered
            yield layered


def _over(
    base: Layered | None, file: str, table: str, name: str, data: Document, document: Document
) -> Layered:
    head = document
    if base is not None:
        data = {**_without_other_unit(base.row.data, data), **data}
        sources = {**_described(base.head), **_described(document)}
        head = {**base.head, **document, "sources": sources}
    return Layered(file, table, Row(name, data, f"{file}: {name}"), head)


def _without_other_unit(base: Document, over: Document) -> Document:
    """Drop lengths of the base that the row above gives in the other unit."""
    other = {"mm": "in", "in": "mm"}
    given = {
        f"{stem}_{other[unit]}"
        for stem, _, unit in (key.rpartition("_") for key in over)
        if unit in other
    }
    return {key: value for key, value in base.items() if key not in given}


def _described(document: Document) -> Document:
    sources = document.get("sources")
    return sources if isinstance(sources, Mapping) else {}


def _table(file: str, document: Document, tables: tuple[str, ...]) -> str:
    table = str(document.get("table", ""))
    if table not in tables:
        raise RowError(
            f"table {table!r} is not known",
            where=file,
            want="one of " + ", ".join(tables),
            field="table",
        )
    return table


def _rows(file: str, document: Document) -> Mapping[str, Any]:
    rows = document.get("rows")
    if not isinstance(rows, Mapping) or not rows:
        raise RowError("has no rows", where=file, want="rows: {name: {...}}", field="rows")
    return rows
