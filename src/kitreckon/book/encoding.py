"""A book as bytes: an envelope of JSON text, one record a line, with its own checksum.

{"format":1,"generation":7,"writer":"...","sha256":"...","tables":{...}}: the checksum covers
every byte of the file but its own member, so that a changed bit anywhere is seen.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from kitreckon.book.errors import BookError, NotABookError

FORMAT = 1

Record = Mapping[str, Any]
Tables = Mapping[str, Mapping[str, Record]]

_MEMBERS = ("format", "generation", "writer", "sha256", "tables")
_HEAD = re.compile(
    rb'(\{"format":\d{1,9},"generation":\d{1,18},"writer":"[^"\\]{0,64}",)'
    rb'"sha256":"([0-9a-f]{64})",'
)


@dataclass(frozen=True, slots=True)
class Envelope:
    """A book as read. ``checksum`` is empty when its bytes are not those its writer wrote."""

    format: int
    generation: int
    writer: str
    tables: Tables
    checksum: str

    @property
    def intact(self) -> bool:
        """True when the bytes are those its writer wrote."""
        return bool(self.checksum)


def encode_record(key: str, record: Record) -> bytes:
    """Return a record with its key as one line of JSON text.

    Raises TypeError for what JSON would change or lose (floats, dates, keys that are not text),
    and BookError for text that no file can hold (a lone surrogate).
    """
    try:
        return f"{_JSON.encode(key)}:{_JSON.encode(_plain(record))}".encode()
    except UnicodeEncodeError as error:
        raise BookError(
            "a text holds a character that cannot be stored", want="type the text again"
        ) from error


def freeze(value: Any) -> Any:
    """Return a record's value so that no caller can change it: lists as tuples."""
    kind = type(value)
    if kind is dict:
        return MappingProxyType({key: freeze(item) for key, item in value.items()})
    if kind is list or kind is tuple:
        return tuple([freeze(item) for item in value])
    return value


def encode_table(name: str, lines: Iterable[bytes]) -> bytes:
    """Return one table, from the encoded line of each of its records."""
    return _JSON.encode(name).encode() + b":{\n" + b",\n".join(lines) + b"\n}"


def cut_lines(data: bytes, tables: Tables) -> dict[str, dict[str, bytes]]:
    """Return the encoded line of every record of an intact file, without encoding it again."""
    lines = iter(data.split(b"\n"))
    next(lines)
    found: dict[str, dict[str, bytes]] = {}
    for name, table in tables.items():
        next(lines)
        found[name] = {key: next(lines).removesuffix(b",") for key in table}
        if not table:
            next(lines)
        next(lines)
    return found


def encode_book(generation: int, writer: str, tables: Iterable[bytes]) -> bytes:
    """Return the whole file, from its encoded tables."""
    head = f'{{"format":{FORMAT},"generation":{generation},"writer":"{writer}",'.encode()
    tail = b'"tables":{\n' + b",\n".join(tables) + b"\n}}\n"
    digest = hashlib.sha256(head)
    digest.update(tail)
    return b"".join((head, b'"sha256":"', digest.hexdigest().encode(), b'",', tail))


def decode_book(data: bytes) -> Envelope:
    """Return the book in these bytes. Raises NotABookError."""
    try:
        found = freeze(json.loads(data.decode(), parse_float=_refuse, parse_constant=_refuse))
    except (ValueError, RecursionError) as error:
        raise NotABookError("the file cannot be read as a book") from error
    if not isinstance(found, Mapping) or not set(_MEMBERS) <= set(found):
        raise NotABookError("the file is not a kitreckon book")
    if not _whole_number(found["format"]) or not _whole_number(found["generation"]):
        raise NotABookError("the file is not a kitreckon book")
    return Envelope(
        found["format"],
        found["generation"],
        str(found["writer"]),
        _checked_tables(found["tables"]),
        _checksum(data),
    )


def _refuse(number: str) -> None:
    raise ValueError(f"a book holds whole numbers only, not {number[:40]}")


def _whole_number(value: object) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 10**18


def _checked_tables(tables: object) -> Tables:
    if isinstance(tables, Mapping) and all(
        isinstance(table, Mapping) and all(isinstance(record, Mapping) for record in table.values())
        for table in tables.values()
    ):
        return tables
    raise NotABookError("the file is not a kitreckon book: its tables are not tables of records")


def _checksum(data: bytes) -> str:
    """Return the checksum in the head of a file, or nothing when it is not that of its bytes."""
    head = _HEAD.match(data)
    if head is None:
        return ""
    digest = hashlib.sha256(head[1])
    digest.update(memoryview(data)[head.end() :])
    found = digest.hexdigest()
    return found if found.encode() == head[2] else ""


def _plain(value: Any) -> Any:
    """Return a value of plain dicts and lists, or raise TypeError for what JSON would change."""
    kind = type(value)
    if value is None or kind in (str, int, bool):
        return value
    if kind is list or kind is tuple:
        return [_plain(item) for item in value]
    if kind is dict or kind is MappingProxyType:
        if not all(type(key) is str for key in value):
            raise TypeError("the keys of a record are text")
        return {key: _plain(item) for key, item in value.items()}
    raise TypeError(f"a record cannot hold a {kind.__name__}")


_JSON = json.JSONEncoder(ensure_ascii=False, allow_nan=False, separators=(",", ":"))
