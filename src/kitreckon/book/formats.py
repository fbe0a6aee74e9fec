"""Bring a book of an earlier format up to the present one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from kitreckon.book.encoding import FORMAT, Envelope, Tables
from kitreckon.book.errors import NotABookError

Convert = Callable[[Tables], dict[str, dict[str, Any]]]
# From each earlier format to the next. Format 1 is the first, so there is none yet.
CONVERTERS: Mapping[int, Convert] = {}


def convert(envelope: Envelope, converters: Mapping[int, Convert] = CONVERTERS) -> Tables:
    """Return the tables brought up to the present format, one format after the other."""
    tables: Tables = envelope.tables
    for number in range(envelope.format, FORMAT):
        step = converters.get(number)
        if step is None:
            raise NotABookError(f"format {envelope.format} is not one that kitreckon ever wrote")
        tables = step(tables)
    return tables
