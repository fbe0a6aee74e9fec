"""What a typed line means: about the row at the arrow, another thing, or kept as typed. Pure.

Its codes are read first; what names a thing, and whether it is safe, is left to the Reader.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, Protocol

from kitreckon.catalogue.model import Kind
from kitreckon.count import Preferences
from kitreckon.quantities import QuantityError
from kitreckon.reading.model import Likely, ReadPiece, TextReading
from kitreckon.screens.amounts import read_amounts
from kitreckon.screens.codes import read_codes
from kitreckon.screens.counting import details_of
from kitreckon.screens.denials import undenied
from kitreckon.screens.details import Details, merge
from kitreckon.screens.keeping import Keeping, read_keeping

_UNNAMED_FIGURE = re.compile(r"0?[.,]\d+")
NOTHING_SAID = Details()
_TOLD_BY_DENIAL = frozenset({"condition", "mount", "size", "back"})


@dataclass(frozen=True, slots=True)
class Typing:
    """How the user types figures: the unit of a bare length, the money of a bare amount."""

    unit: Literal["in", "mm"] = "in"
    currency: str = "USD"

    @classmethod
    def of(cls, preferences: Preferences) -> Typing:
        """Return what the user's settings say."""
        return cls(preferences.units, preferences.currency)


class Reads(Protocol):
    """What the line asks of the Reader."""

    def read_line(self, text: str) -> TextReading:
        """Read one line into pieces."""

    def suggest(self, text: str, limit: int = 8, prefer: Sequence[str] = ()) -> tuple[Likely, ...]:
        """Return the kinds a text may mean, likeliest first."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What Enter will do with a line."""

    does: Literal["nothing", "row", "thing", "absent", "keep", "ask"]
    details: Details = NOTHING_SAID
    kind: str | None = None
    likely: tuple[Likely, ...] = ()
    text: str = ""
    more: tuple[ReadPiece, ...] = ()  # further things named on the line
    own: str = ""  # the words of the first, where there are further ones
    why: str = ""  # what is wrong with an amount
    ask: str = "count.which-figure"  # the label of what is to be said better, without a why


def meaning(
    text: str,
    kind_in_hand: Kind | None,
    reader: Reads,
    prefer: Sequence[str],
    typing: Typing,
) -> Meaning:
    """Return what a typed line means while a row of this kind is in hand."""
    text = text.strip()
    if not text:
        return Meaning("nothing")
    try:
        priced, left = read_amounts(text, typing.currency)
    except QuantityError as error:
        return Meaning("ask", text=text, why=str(error))
    if not left:
        return Meaning("row", priced, text=text)
    if _UNNAMED_FIGURE.fullmatch(left):
        return Meaning("ask", text=text)  # never a number of pieces: it wants the name of a reading
    kept = read_keeping(left)
    if kept is not None and (told := _kept(kept, left, kind_in_hand, reader, prefer, typing)):
        return replace(told, details=merge(told.details, priced), text=text)
    details, rest = read_codes(left, kind_in_hand, typing.unit)
    if rest:
        meant = _named(left, _kept_unsafe(details), rest, kind_in_hand, reader, prefer)
    else:
        meant = Meaning("row", details)
    if meant.does == "row":
        meant = replace(meant, details=_in_words(meant.details, left))
    return replace(meant, details=merge(meant.details, priced), text=text)


def _kept(
    kept: Keeping,
    text: str,
    kind_in_hand: Kind | None,
    reader: Reads,
    prefer: Sequence[str],
    typing: Typing,
) -> Meaning | None:
    """Return the meaning of a line that says what the seller keeps: it is here all the same.

    None where it tells only where he keeps a thing.
    """
    if kept.form == "named" and all(p.state == "here" for p in reader.read_line(text).pieces):
        return None
    meant = meaning(kept.thing, kind_in_hand, reader, prefer, typing)
    if meant.more or (kept.form == "beside" and meant.likely):
        return Meaning("ask", text=text, ask="count.which-kept")
    if kept.form == "beside":
        return None
    if meant.does in {"absent", "ask"}:
        return meant
    does = "row" if meant.does == "nothing" else meant.does
    return replace(meant, does=does, details=merge(meant.details, kept.details))


def _kept_unsafe(codes: Details) -> Details:
    """Return codes that deny no danger: "jaws not cracked" says nothing of the body."""
    return replace(codes, denied=tuple(fact for fact in codes.denied if fact[0] != "unsafe"))


def _in_words(codes: Details, text: str) -> Details:
    """Return codes with the line as a note, where a denial says more than it takes away."""
    told = any(name in _TOLD_BY_DENIAL for name, _ in codes.denied)
    if not told or text in codes.note:
        return codes
    return replace(codes, note="; ".join(filter(None, (text, codes.note))))


def _named(
    text: str,
    codes: Details,
    rest: str,
    kind_in_hand: Kind | None,
    reader: Reads,
    prefer: Sequence[str],
) -> Meaning:
    """Return the meaning of a line that holds more than codes."""
    reading = reader.read_line(text)
    named = reading.pieces[0].each() if reading.pieces else ()
    none = not named and any(reason.id == "read-no-accessory" for reason in reading.reasons)
    if not named and kind_in_hand is not None and not none:
        about = _about_the_row(text, rest, codes, kind_in_hand, reader)
        about = about or _denied_of_the_row(text, rest, codes, kind_in_hand, reader)
        if about is not None:
            return about
    if not named:
        codes = merge(Details(unsafe=reading.unsafe), codes)  # a chipped wheel warns all the same
    first = named[0] if named else None
    likely = () if none else _likely(first, reader.suggest(rest, prefer=prefer))
    if not likely:
        return Meaning("keep", codes, text=text)
    if first is not None and first.state == "absent":
        return Meaning("absent", _of_thing(first, codes), likely[0].kind, likely, text)
    more = tuple(
        each
        for piece in (*named[1:], *reading.pieces[1:])
        for each in piece.each()
        if each.taken and each.state == "here"
    )
    own = first.text if first is not None and more else ""
    return Meaning("thing", _of_thing(first, codes), likely[0].kind, likely, text, more, own=own)


def _of_thing(read: ReadPiece | None, codes: Details) -> Details:
    """Return what a line says of the thing it names: codes only fill what the name left open.

    What was read with the name knows a "3 jaw" from three of them, and "dogs 3" from a size of 3.
    """
    codes = replace(codes, qty=None)
    if read is None:
        return codes
    codes = replace(codes, size=None, mount=None, set_of=None, set_has=None)
    return merge(codes, _not_denied(details_of(read), codes))


def _about_the_row(
    text: str, rest: str, codes: Details, kind: Kind, reader: Reads
) -> Meaning | None:
    """Return what the line says of the row in hand, read as if its name stood before it."""
    if len(rest.split()) > 6:
        return None
    bare = _first(reader.read_line(kind.american[0]))
    named = _first(reader.read_line(f"{kind.american[0]}, {text}"))
    if named is None or bare is None or named.kind != bare.kind:
        return None
    told = details_of(named)
    if replace(told, qty=None) == replace(details_of(bare), qty=None):
        return None
    if told.set_of is not None:  # the 2 of "set of 18, 2 missing" is no size
        codes = replace(codes, qty=None, size=None)
    return Meaning("row", merge(_not_denied(told, codes), codes), text=text)


def _denied_of_the_row(
    text: str, rest: str, codes: Details, kind: Kind, reader: Reads
) -> Meaning | None:
    """Return what a line denies of the row in hand, where without its denial it says something.

    "not worn" is kept as a note: what is not worn may be anything else.
    """
    denied = undenied(rest)
    about = _about_the_row(denied, denied, NOTHING_SAID, kind, reader) if denied else None
    if about is None:
        return None
    taken = _kept_unsafe(Details(note=text, denied=about.details.facts()))
    return Meaning("row", merge(codes, taken), text=rest)


def _not_denied(read: Details, codes: Details) -> Details:
    """Return what was read without what the codes deny; a danger that was read stays."""
    return read.without(_kept_unsafe(codes).denied)


def _first(reading: TextReading) -> ReadPiece | None:
    return reading.pieces[0] if reading.pieces else None


def _likely(first: ReadPiece | None, suggested: Sequence[Likely]) -> tuple[Likely, ...]:
    """Put what was read first, then what it may also be, then what resembles it."""
    read: list[Likely] = []
    if first is not None:
        read = [Likely(first.kind, first.confidence), *first.others]
    seen: dict[str, Likely] = {}
    for each in (*read, *suggested):
        seen.setdefault(each.kind, each)
    return tuple(seen.values())[:6]
