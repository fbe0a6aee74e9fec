"""What a typed line means: about the row at the arrow, another thing, or kept as typed.

Pure. The codes ("8 g", "11 of 13", "8in d1-4", "no key") are read here; what names a thing is
left to the Reader.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal, Protocol

from kitreckon.catalogue.model import Kind
from kitreckon.count import CONDITIONS, Condition, Preferences, Reading
from kitreckon.quantities import (
    Length,
    QuantityError,
    read_count,
    read_designation,
    read_length,
)
from kitreckon.reading.model import Likely, ReadPiece, TextReading
from kitreckon.reading.to_pieces import piece_of
from kitreckon.screens.amounts import NOTE, read_amounts, without
from kitreckon.screens.marking import Details

_SHORT: dict[str, Condition] = {
    "n": "new",
    "e": "excellent",
    "v": "very-good",
    "vg": "very-good",
    "g": "good",
    "f": "fair",
    "p": "poor",
    "s": "scrap",
}
LETTERS: dict[str, Condition] = _SHORT | {condition: condition for condition in CONDITIONS}
_HIS = {"his", "keeps"}
_TRIED = {"tried": True, "untried": False}
_BACKS = {"plain-back": "plain", "backplate": "backplate", "direct": "direct"}
NOTHING_SAID = Details()


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
    why: str = ""  # what is wrong with an amount


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
    details, rest = read_codes(left, kind_in_hand, typing.unit)
    meant = Meaning("row", details)
    if rest:
        meant = _named(left, details, rest, kind_in_hand, reader, prefer)
    return replace(meant, details=merge(meant.details, priced), text=text)


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
    first = named[0] if named else None
    none = first is None and any(reason.id == "read-no-accessory" for reason in reading.reasons)
    if first is None and kind_in_hand is not None and not none:
        about = _about_the_row(text, rest, codes, kind_in_hand, reader)
        if about is not None:
            return about
    if first is None:
        codes = merge(Details(unsafe=reading.unsafe), codes)  # a chipped wheel warns all the same
    likely = () if none else _likely(first, reader.suggest(rest, prefer=prefer))
    if not likely:
        return Meaning("keep", codes, text=text)
    # what was read with the name knows a "3 jaw" from three of them; codes only fill what is open
    codes = replace(codes, qty=None)
    if first is not None:
        # figures belong to the reading, which knows "dogs 3" from a size of 3
        codes = replace(codes, size=None, mount=None, set_of=None, set_has=None)
    details = merge(codes, details_of(first)) if first else codes
    more = tuple(
        each
        for piece in (*named[1:], *reading.pieces[1:])
        for each in piece.each()
        if each.taken and each.state == "here"
    )
    absent = first is not None and first.state == "absent"
    does: Literal["absent", "thing"] = "absent" if absent else "thing"
    return Meaning(does, details, likely[0].kind, likely, text, () if absent else more)


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
    return Meaning("row", merge(told, codes), text=text)


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


def details_of(piece: ReadPiece | None) -> Details:
    """Return what was read about a piece as details."""
    if piece is None:
        return Details()
    return Details.of(piece_of(piece))


def merge(read: Details, codes: Details) -> Details:
    """Return both together; what was typed as a code wins."""
    return replace(read, **codes.changes())  # type: ignore[arg-type]  # names come from Details


# Codes


def read_codes(text: str, kind: Kind | None, unit: Literal["in", "mm"]) -> tuple[Details, str]:
    """Return what the codes in a line say, and what is left of the line."""
    before, _, note = NOTE.sub(";", text).partition(";")
    details = Details(note=note.strip())
    rest = before.strip()
    for take in (_set, _parts, _readings(kind, unit), _speed, _heights(unit)):
        details, rest = take(details, rest, kind)
    left: list[str] = []
    for word in _words(rest):
        said = _code(word, unit, first=not left and details.qty is None)
        if said is None:
            left.append(word)
        else:
            details = merge(details, said)
    return details, " ".join(left)


def _words(text: str) -> list[str]:
    """Split at spaces and commas, keeping a number with the unit or fraction that follows."""
    joined = re.sub(r"(?<=\d)\s+(?=(in|inch|mm|\")(?:\s|,|$))", "", text)
    joined = re.sub(r"(?<=\d) (?=\d+/\d+)", "-", joined)
    return [word for word in re.split(r"\s+|,(?!\d)\s*", joined) if word]


def _code(word: str, unit: Literal["in", "mm"], *, first: bool) -> Details | None:
    """Return what one word says as a code, or None when it is none."""
    low = word.lower().rstrip(".")
    if low in LETTERS:
        return Details(condition=LETTERS[low])
    if low in _HIS:
        return Details(his=True)
    if low in _BACKS:
        return Details(back=_BACKS[low])
    if low in _TRIED:
        return Details(tried=_TRIED[low])
    if low in {"cracked", "unsafe"}:
        return Details(unsafe="cracked" if low == "cracked" else "unsafe")
    if first and re.fullmatch(r"x?\d{1,4}x?", low):
        return Details(qty=read_count(low.strip("x")))
    mount = read_designation(word)
    if mount is not None and not re.fullmatch(r"[\d./-]+", word):
        return Details(mount=mount)
    return _size(word, unit)


def _size(word: str, unit: Literal["in", "mm"]) -> Details | None:
    if not re.match(r"^[\d.½¼¾]", word):
        return None
    try:
        length = read_length(word, unit)
    except QuantityError:
        mount = read_designation(word)
        return Details(mount=mount) if mount else None
    return Details(size=length)


Step = Callable[[Details, str, "Kind | None"], tuple[Details, str]]
_SET = re.compile(r"\b(\d{1,4})\s+of\s+(\d{1,4})\b", re.IGNORECASE)
_NO = re.compile(
    r"\b(?:no|without|missing)\s+([a-z][a-z' -]*)|\b([a-z][a-z' -]*?)\s+(?:missing|gone)\b",
    re.IGNORECASE,
)
_UNNAMED_FIGURE = re.compile(r"0?[.,]\d+")
_RPM = re.compile(r"\b(\d{2,5})\s*(?:rpm|rev/?min)\b", re.IGNORECASE)
_LENGTH = r"(\d[\d./ -]*(?:\s*(?:in|mm|\"))?)"
_FIGURE = r"(\.?\d[\d./,-]*(?:\s*(?:in|mm|thou|\"))?)"
_HEIGHTS = re.compile(rf"\b(low|high)\s+{_LENGTH}", re.IGNORECASE)


def _set(details: Details, text: str, kind: Kind | None) -> tuple[Details, str]:
    found = _SET.search(text)
    if not found:
        return details, text
    has, of = read_count(found[1]), read_count(found[2])
    if has > of:
        return details, text
    said = replace(details, set_of=of, set_has=has)
    return said, without(text, found)


def _parts(details: Details, text: str, kind: Kind | None) -> tuple[Details, str]:
    found = _NO.search(text)
    if not found or kind is None:
        return details, text
    named = (found[1] or found[2]).strip().lower()
    for part in kind.parts:
        for name in sorted((part.id.replace("-", " "), *part.names), key=len, reverse=True):
            if named.startswith(name.lower()) or name.lower().endswith(named):
                said = replace(details, parts_missing=(*details.parts_missing, part.id))
                rest = named.removeprefix(name.lower()) if named.startswith(name.lower()) else ""
                return said, (text[: found.start()] + " " + rest + text[found.end() :]).strip()
    return details, text


def _readings(kind: Kind | None, unit: Literal["in", "mm"]) -> Step:
    """Return the step that reads measurements named as the kind's checks name them."""
    names = [check.reading for check in kind.checks if check.reading] if kind else []

    def take(details: Details, text: str, kind: Kind | None) -> tuple[Details, str]:
        for name in names:
            spelled = _spelled(name)
            found = re.search(rf"\b{spelled}\s+{_FIGURE}", text, re.IGNORECASE) or re.search(
                rf"{_FIGURE}\s+{spelled}\b", text, re.IGNORECASE
            )
            length = _length(found[1], unit) if found else None
            if found and length is not None:
                reading = Reading(name, length)
                details = replace(details, readings=(*details.readings, reading))
                text = without(text, found)
        return details, text

    return take


def _spelled(name: str) -> str:
    """Return a pattern for a reading's name: whole, or its last word (mouth for bell-mouth)."""
    whole, last = name.replace("-", "[- ]?"), name.rsplit("-", 1)[-1]
    return f"(?:{whole}|{last})" if len(last) > 3 else whole


def _heights(unit: Literal["in", "mm"]) -> Step:
    def take(details: Details, text: str, kind: Kind | None) -> tuple[Details, str]:
        while found := _HEIGHTS.search(text):
            length = _length(found[2], unit)
            if length is None:
                break
            lowest = found[1].lower() == "low"
            details = (
                replace(details, low_height=length)
                if lowest
                else replace(details, high_height=length)
            )
            text = without(text, found)
        return details, text

    return take


def _speed(details: Details, text: str, kind: Kind | None) -> tuple[Details, str]:
    found = _RPM.search(text)
    if not found:
        return details, text
    return replace(details, marked_rpm=int(found[1])), without(text, found)


def _length(text: str, unit: Literal["in", "mm"]) -> Length | None:
    try:
        return read_length(text.strip(), unit)
    except QuantityError:
        return None
