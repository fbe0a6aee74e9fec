"""Write a count sheet down as YAML that reads back equal."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import fields
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from kitreckon.count import (
    Correction,
    ExtraCost,
    Finding,
    Machine,
    OwnPrice,
    Piece,
    Preferences,
    Purchase,
    Reading,
    Saying,
)
from kitreckon.quantities import Length, Money, QuantityError, Range, clean_text, read_length

if TYPE_CHECKING:
    from kitreckon.book.sheet import Sheet

_PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9_./+()-]*(?: [A-Za-z0-9_./+()-]+)*", re.ASCII)
_OTHERS_GUESS = re.compile(r"(?i:yes|no|on|off|true|false|null|y|n)|[0-9].*", re.ASCII)
_NOTE_LIMIT = 2_000
# Two spellings only: a field of the sheet has the name of the value's field.
_NAMES = {"machine_class": "class"}
_SKIPPED = {"id", "machine_id"}
_ALWAYS = {"name", "class"}

Plain = str | dict[str, Any] | list[Any]


def sheet_text(sheet: Sheet) -> str:
    """Return the sheet as YAML."""
    visit = sheet.visit
    whole: dict[str, Any] = {
        "format": "1",
        "subject": "count",
        "settings": _differing(sheet.preferences, Preferences()),
        "machine": _machine(sheet.machine),
        "pieces": _records(visit.pieces, "p"),
        "looks": {look.want: str(look.seen) for look in visit.looks},
        "findings": _records(visit.findings, "f"),
        "sayings": _records(visit.sayings, "s"),
        "clock_s": str(visit.clock_s) if visit.clock_s else "",
        "clock_started_utc": visit.clock_started_utc or "",
        "shelf": _records(sheet.shelf, "o"),
        "own_prices": _records(sheet.own_prices, "w"),
        "purchases": _records(sheet.purchases, "b"),
        "corrections": _records(sheet.corrections, "c"),
    }
    return "".join(_lines({name: value for name, value in whole.items() if value}, ""))


def _machine(machine: Machine) -> dict[str, Any]:
    from kitreckon.book.sheet import id_from_name

    written = _differing(machine, Machine("", "", ""))
    if machine.id != id_from_name(machine.name):
        written = {"id": machine.id, **written}
    return written


Written = Piece | Finding | Saying | OwnPrice | Purchase | Correction


def _records(records: Iterable[Written], letter: str) -> list[dict[str, Any]]:
    written = []
    for position, record in enumerate(records, 1):
        entry = _differing(record, None)
        if record.id != f"{letter}{position}":
            entry = {"id": record.id, **entry}
        if isinstance(record, Purchase) and record.machine_id:
            entry["machine_id"] = record.machine_id
        written.append(entry)
    return written


def _differing(record: Any, default: Any) -> dict[str, Any]:
    """Return the fields that say something: those that differ from their default."""
    written: dict[str, Any] = {}
    for declared in fields(record):
        name = _NAMES.get(declared.name, declared.name)
        value = getattr(record, declared.name)
        usual = getattr(default, declared.name) if default is not None else declared.default
        if declared.name in _SKIPPED or (value == usual and name not in _ALWAYS):
            continue
        if value is None:
            continue
        written[name] = _lines_of(value) if name == "note" else _plain(value)
    return written


def _lines_of(note: str) -> Plain:
    lines = [clean_text(line, _NOTE_LIMIT) for line in note.split("\n")]
    return lines[0] if len(lines) == 1 else list(lines)


def _plain(value: Any) -> Plain:
    match value:
        case bool():
            return "yes" if value else "no"
        case str():
            return clean_text(value, _NOTE_LIMIT)
        case int() | float():
            return f"{value:.12g}" if isinstance(value, float) else str(value)
        case Length():
            return exact_length(value)
        case Money():
            return f"{value.major}"
        case Range():
            return {name: _plain(getattr(value, name)) for name in ("low", "typical", "high")}
        case tuple():
            return _plain_tuple(value)
    raise TypeError(f"no place in a sheet for {type(value).__name__}")


def _plain_tuple(values: tuple[Any, ...]) -> Plain:
    if values and isinstance(values[0], Reading):
        return {reading.id: _plain(reading.value) for reading in values}
    if values and isinstance(values[0], ExtraCost):
        return [{"label": _plain(cost.label), "amount": _plain(cost.amount)} for cost in values]
    if values and isinstance(values[0], tuple):
        return {str(name): _plain(value) for name, value in values}
    return [_plain(value) for value in values]


def exact_length(length: Length) -> str:
    """Return a text that read_length turns into an equal length.

    >>> exact_length(read_length("8", "in")), exact_length(Length.of_mm(1.0005))
    ('8in', '1.0005mm')
    """
    unit = length.unit or ""
    for text in (length.text, f"{length.text}{unit}", _digits(length.amount) + unit):
        try:
            if text and read_length(text) == length:
                return text
        except QuantityError:
            continue
    whole, rest = divmod(length.amount.numerator, length.amount.denominator)
    fraction = f"{rest}/{length.amount.denominator}{unit}"
    return f"{whole}-{fraction}" if whole else fraction


def _digits(amount: Fraction) -> str:
    digits = f"{float(amount):.9f}".rstrip("0")
    return digits.rstrip(".") if digits.endswith(".") else digits


def _lines(values: dict[str, Any], indent: str) -> Iterable[str]:
    for name, value in values.items():
        head = f"{indent}{_scalar(name)}:"
        if isinstance(value, str):
            yield f"{head} {_scalar(value)}\n"
        elif isinstance(value, dict):
            yield f"{head}\n"
            yield from _lines(value, indent + "  ")
        elif value and all(isinstance(item, str) for item in value):
            yield f"{head} [{', '.join(_scalar(item, flow=True) for item in value)}]\n"
        else:
            yield f"{head}\n"
            for item in value:
                yield from _item(item, indent + "  ")


def _item(item: dict[str, Any], indent: str) -> Iterable[str]:
    lines = list(_lines(item, indent + "  "))
    first = lines[0]
    yield f"{indent}- {first[len(indent) + 2 :]}"
    yield from lines[1:]


def _scalar(text: str, *, flow: bool = False) -> str:
    """Quote whatever YAML, or another program's YAML, could take for something else."""
    plain = _PLAIN.fullmatch(text) and text.lower() != "null"  # which says nothing in any reader
    if plain and (not _OTHERS_GUESS.fullmatch(text) or not flow):
        return text
    return json.dumps(text, ensure_ascii=False)
