"""Domain objects to flat records of text, whole numbers and lists, and back.

The shape of a record follows from the type of each field: a Length is [amount, unit, text], a
Money [minor units, currency], a Range [low, typical, high], a float its shortest exact text.
A field that is missing in a record has its default; a field that this version does not know is
kept as it is when the record is written again.
"""

from __future__ import annotations

import dataclasses
import math
import re
import types
import typing
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Any, Literal, NamedTuple, TypeVar

from kitreckon.book.errors import BookError
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Length, Money, Range, clean_text

NAME_LIMIT = 200
NOTE_LIMIT = 2000
LARGEST_WHOLE = 10**15
_LONG_FIELDS = ("note", "text", "photo")
_DECIMAL = re.compile(r"-?\d{1,20}(\.\d{1,20})?(e[-+]?\d{1,3})?", re.ASCII)
_FRACTION = re.compile(r"-?\d{1,40}(/\d{1,40})?", re.ASCII)
_CURRENCY = re.compile(r"[A-Z]{3}", re.ASCII)

T = TypeVar("T")
Encode = Callable[[Any], Any]
Decode = Callable[[Any], Any]


class Codec(NamedTuple):
    """How a value of one type is written and read."""

    encode: Encode
    decode: Decode


class _UnlikeError(ValueError):
    """A stored value that is not of its field's type."""


def to_fields(value: Any) -> dict[str, Any]:
    """Return a dataclass as plain fields, cleaned; what is empty or yes by default is left out."""
    stored: dict[str, Any] = {}
    for name, codec, default in _codecs(type(value)):
        field = getattr(value, name)
        if field != default or not (default is True or default in _EMPTY):
            stored[name] = codec.encode(field)
    return stored


def from_fields(cls: type[T], fields: Mapping[str, Any]) -> T:
    """Return the dataclass that ``fields`` describe; fields it does not know are passed over.

    Raises BookError naming the field that does not hold what it should.
    """
    values: dict[str, Any] = {}
    for name, codec, _ in _codecs(cls):
        if name in fields:
            try:
                values[name] = codec.decode(fields[name])
            except (ValueError, TypeError, ArithmeticError, KitreckonError) as error:
                raise BookError(
                    f"the field {name} holds {str(fields[name])[:60]!r}", where=cls.__name__.lower()
                ) from error
    try:
        return cls(**values)
    except (TypeError, ValueError) as error:
        raise BookError("a field is missing", where=cls.__name__.lower()) from error


def field_names(cls: type) -> frozenset[str]:
    """Return the names of the fields that this version writes."""
    return frozenset(name for name, _, _ in _codecs(cls))


_EMPTY: tuple[Any, ...] = (None, "", ())
_Codecs = tuple[tuple[str, Codec, Any], ...]
_known: dict[Any, _Codecs] = {}


def _codecs(cls: type) -> _Codecs:
    if cls not in _known:
        hints = typing.get_type_hints(cls)
        _known[cls] = tuple(
            (one.name, _codec(hints[one.name], _limit(one.name)), one.default)
            for one in dataclasses.fields(cls)
        )
    return _known[cls]


def _limit(field: str) -> int:
    return NOTE_LIMIT if field in _LONG_FIELDS else NAME_LIMIT


def _codec(hint: Any, limit: int) -> Codec:
    if hint in _SIMPLE:
        return _SIMPLE[hint] if hint is not str else _text(limit)
    origin, inside = typing.get_origin(hint), typing.get_args(hint)
    if origin is Literal:
        return Codec(_same, _one_of(inside))
    if origin in (typing.Union, types.UnionType):
        (rest,) = [one for one in inside if one is not type(None)]
        return _optional(_codec(rest, limit))
    if origin is tuple and len(inside) == 2 and inside[1] is Ellipsis:
        return _many(_codec(inside[0], limit))
    if origin is tuple:
        return _each(tuple(_codec(one, limit) for one in inside))
    if origin is Range:
        return _range(_codec(inside[0], limit))
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        return Codec(to_fields, _inner(hint))
    raise TypeError(f"no way to store a {hint}")


def _same(value: Any) -> Any:
    return value


def _decode_int(value: Any) -> int:
    if type(value) is not int or abs(value) > LARGEST_WHOLE:
        raise _UnlikeError
    return value


def _decode_bool(value: Any) -> bool:
    if type(value) is not bool:
        raise _UnlikeError
    return value


def _text(limit: int) -> Codec:
    def decode(value: Any) -> str:
        if type(value) is not str:
            raise _UnlikeError
        return clean_text(value, limit)

    return Codec(lambda value: clean_text(value, limit), decode)


def _one_of(allowed: tuple[Any, ...]) -> Decode:
    def decode(value: Any) -> Any:
        if value not in allowed:
            raise _UnlikeError
        return value

    return decode


def _optional(codec: Codec) -> Codec:
    return Codec(
        lambda value: None if value is None else codec.encode(value),
        lambda value: None if value is None else codec.decode(value),
    )


def _many(codec: Codec) -> Codec:
    return Codec(
        lambda values: [codec.encode(value) for value in values],
        lambda values: tuple(codec.decode(value) for value in _list(values)),
    )


def _each(codecs: tuple[Codec, ...]) -> Codec:
    return Codec(
        lambda values: [c.encode(value) for c, value in zip(codecs, values, strict=True)],
        lambda values: tuple(
            c.decode(value) for c, value in zip(codecs, _list(values), strict=True)
        ),
    )


def _range(codec: Codec) -> Codec:
    def decode(values: Any) -> Range[Any]:
        low, typical, high = (codec.decode(value) for value in _list(values))
        return Range(low, typical, high)

    return Codec(lambda r: [codec.encode(one) for one in (r.low, r.typical, r.high)], decode)


def _inner(cls: type) -> Decode:
    def decode(fields: Any) -> Any:
        if not isinstance(fields, Mapping):
            raise _UnlikeError
        return from_fields(cls, fields)

    return decode


def _list(values: Any) -> Sequence[Any]:
    if not isinstance(values, list | tuple):
        raise _UnlikeError
    return values


def _encode_float(value: float) -> str:
    if not math.isfinite(value):
        raise BookError("a figure is not a number", want="a number such as 0.25")
    return repr(float(value))


def _decode_float(text: Any) -> float:
    if type(text) is not str or not _DECIMAL.fullmatch(text):
        raise _UnlikeError
    return float(text)


def _encode_length(length: Length) -> list[str | None]:
    return [str(length.amount), length.unit, clean_text(length.text)]


def _decode_length(values: Any) -> Length:
    amount, unit, text = _list(values)
    if unit not in ("mm", "in", None) or type(text) is not str:
        raise _UnlikeError
    if type(amount) is not str or not _FRACTION.fullmatch(amount):
        raise _UnlikeError
    return Length(Fraction(amount), unit, clean_text(text))


def _decode_money(values: Any) -> Money:
    minor, currency = _list(values)
    if type(currency) is not str or not _CURRENCY.fullmatch(currency):
        raise _UnlikeError
    return Money(_decode_int(minor), currency)


_SIMPLE: Mapping[Any, Codec] = {
    str: Codec(_same, _same),  # replaced by a cleaning codec with the field's limit
    int: Codec(_same, _decode_int),
    bool: Codec(_same, _decode_bool),
    float: Codec(_encode_float, _decode_float),
    Length: Codec(_encode_length, _decode_length),
    Money: Codec(lambda money: [money.minor, money.currency], _decode_money),
}
