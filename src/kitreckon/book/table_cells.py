"""Single cells of a table of things: wrong figures are refused, words that are not ours told."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NoReturn

from kitreckon.count import CONDITIONS, Reading
from kitreckon.quantities import (
    QuantityError,
    canonical_designation,
    read_count,
    read_length,
    read_money,
    read_speed,
)

_YES = ("yes", "y", "true", "x", "1", "ja", "j", "oui")
_NO = ("no", "n", "false", "0", "none", "nein", "non")
_FLAG = dict.fromkeys(_YES, True) | dict.fromkeys(_NO, False)
_WORDS: Mapping[str, Mapping[str, Any]] = {
    "tried": _FLAG,
    "his": _FLAG,
    "seen": _FLAG,
    "condition": {**{grade: grade for grade in CONDITIONS}, "not-judged": None},
    "back": {
        "plain": "plain",
        "plain-back": "plain",
        "backplate": "backplate",
        "separate-backplate": "backplate",
        "direct": "direct",
        "direct-mount": "direct",
    },
    "body": {"cast-iron": "cast-iron", "steel": "steel"},
}


class UnknownWordError(ValueError):
    """A cell holds a word that is none of those its column knows; ``want`` names some."""

    def __init__(self, want: str) -> None:
        super().__init__(want)
        self.want = want


def read_cell(column: str, typed: str, currency: str) -> Any:
    """Return what a cell says of its piece; None where it says nothing.

    Raises QuantityError for a figure that cannot be read, UnknownWordError for a word.
    """
    match column:
        case "qty" | "set_of" | "set_has":
            return read_count(typed)
        case "size" | "low_height" | "high_height":
            return read_length(typed)
        case "floor" | "repair":
            return read_money(typed, currency)
        case "marked_rpm":
            return read_speed(typed)
        case "mount":
            return canonical_designation(typed)
        case "readings":
            return tuple(_reading(part) for part in typed.split(";") if part.strip())
        case "parts_missing":
            parts = (part.strip() for part in typed.split(";"))
            return () if _spelt(typed) in _NO else tuple(filter(None, parts))
        case "unsafe":  # a column of ticks names no danger
            ticked = _FLAG.get(_spelt(typed))
            return typed if ticked is None else "unsafe" if ticked else None
    return _worded(column, typed)


def _worded(column: str, typed: str) -> Any:
    words = _WORDS.get(column)
    if words is None:
        return typed
    word = _spelt(typed)
    return words[word] if word in words else _unknown(words)


def _unknown(words: Mapping[str, Any]) -> NoReturn:
    raise UnknownWordError("yes or no" if words is _FLAG else "one of " + ", ".join(words))


def _spelt(typed: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", typed.lower()).strip("-")


def _reading(typed: str) -> Reading:
    name, sign, value = typed.partition("=")
    if not sign:
        raise QuantityError(f"{typed.strip()!r} is no reading", want="its name too: run-out=.004in")
    return Reading(name.strip(), read_length(value.strip()))
