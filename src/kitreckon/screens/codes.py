"""The codes of a typed line: "8 g", "11 of 13", "8in d1-4", "no key", "not tried". Pure.

What is left of a line is for the Reader, which knows the names of things.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Literal

from kitreckon.catalogue.model import Kind
from kitreckon.count import CONDITIONS, Condition, Reading
from kitreckon.quantities import (
    Length,
    QuantityError,
    read_count,
    read_designation,
    read_length,
)
from kitreckon.screens.amounts import NOTE, without
from kitreckon.screens.denials import denies, ends_denied, goes_on, passes_on
from kitreckon.screens.details import Details, Fact, merge
from kitreckon.screens.lacks import read_lacks

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
_NOT_TRIED: tuple[Fact, ...] = (("tried", True), ("tried", False))
_WORDS: dict[str, Details] = {
    "his": Details(his=True),
    "tried": Details(tried=True),
    "untried": Details(denied=_NOT_TRIED),
    "cracked": Details(unsafe="cracked"),
    "crack-free": Details(denied=(("unsafe", "cracked"),)),
    "uncracked": Details(denied=(("unsafe", "cracked"),)),
    "unsafe": Details(unsafe="unsafe"),
    "plain-back": Details(back="plain"),
    "backplate": Details(back="backplate"),
    "direct": Details(back="direct"),
}
_DENIED: dict[str, Details] = {  # what a word says only where it is denied, or then otherwise
    "tried": Details(denied=_NOT_TRIED),
    "safe": Details(unsafe="unsafe"),
    "crack": Details(denied=(("unsafe", "cracked"),)),
    "cracks": Details(denied=(("unsafe", "cracked"),)),
}


def read_codes(text: str, kind: Kind | None, unit: Literal["in", "mm"]) -> tuple[Details, str]:
    """Return what the codes in a line say, and what is left of the line.

    A denial before a code takes that fact away instead: "not tried", "no longer his".
    """
    before, _, note = NOTE.sub(";", text).partition(";")
    details = Details(note=note.strip())
    rest = before.strip()
    for take in (_set, read_lacks, _readings(kind, unit), _speed, _heights(unit), _trial):
        details, rest = take(details, rest, kind)
    return _read_words(details, _words(rest), unit)


def _read_words(
    details: Details, words: list[str], unit: Literal["in", "mm"]
) -> tuple[Details, str]:
    """Return the details with what single words say, and the words that are no codes."""
    left: list[str] = []
    denial: list[str] = []  # a denial and what stands between it and what it denies
    after_denied = False
    for word in words:
        if after_denied and goes_on(word):
            denial = [word]
        elif (denial and passes_on(word)) or denies(word):
            denial.append(word)
        elif denial and (denied := _denied_code(word, unit)) is not None:
            details, denial, after_denied = merge(details, denied), [], True
            continue
        elif denial:
            left += [*denial, word]
            denial = []
        elif (said := _code(word, unit, first=not left and details.qty is None)) is not None:
            details = merge(details, said)
        else:
            left.append(word)
        after_denied = False
    return details, " ".join([*left, *denial])


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
    if low in _WORDS:
        return _WORDS[low]
    if first and re.fullmatch(r"x?\d{1,4}x?", low):
        return Details(qty=read_count(low.strip("x")))
    mount = read_designation(word)
    if mount is not None and not re.fullmatch(r"[\d./-]+", word):
        return Details(mount=mount)
    return _size(word, unit)


def _denied_code(word: str, unit: Literal["in", "mm"]) -> Details | None:
    """Return what a word says where it is denied: the fact it would be is taken away."""
    low = word.lower().rstrip(".")
    if low in _DENIED:
        return _DENIED[low]
    if re.fullmatch(r"[\d./-]+", low):  # the 3 of "no 3 morse" is a name
        return None
    said = _code(word, unit, first=False)
    return Details(denied=said.facts()) if said and not said.denied else None


def _size(word: str, unit: Literal["in", "mm"]) -> Details | None:
    if not re.match(r"^[\d.½¼¾]", word):
        return None
    try:
        length = read_length(word, unit)
    except QuantityError:
        mount = read_designation(word)
        return Details(mount=mount) if mount else None
    return Details(size=length)


# Codes of several words

Step = Callable[[Details, str, "Kind | None"], tuple[Details, str]]
_SET = re.compile(r"\b(\d{1,4})\s+of\s+(\d{1,4})\b", re.IGNORECASE)
_RPM = re.compile(
    r"(?:\b(?:marked|max(?:imum)?|rated|up\s+to|not\s+over)\.?\s+)*"
    r"(?<![\d.,])(\d{1,3}[,.'’]\d{3}|\d{2,6})\s*(?:rpm|rev/?min)\b",
    re.IGNORECASE,
)
_TRIED_OFF = re.compile(
    r"\btried\s+off\b|"
    r"(?:\btried\b[\s,]*(?:and\s+|but\s+)?(?:it\s+)?)?"
    r"\b(?:(?:does|did|will|would)\s+not|(?:does|did|would|wo|ca)n['’]?t|cannot)\s+"
    r"(?:go\s+on|(?:fit|go)(?=\s*(?:$|[,;.])|\s+(?:on|here|this|it)\b))(?:\s+(?:here|on))?",
    re.IGNORECASE,
)
_TRIED_ON = re.compile(
    r"\btried\b[\s,]*(?:and\s+)?(?:it\s+)?(?:on|goes(?:\s+on)?|went\s+on|fits|fitted)\b",
    re.IGNORECASE,
)
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
    rpm = int(re.sub(r"\D", "", found[1]))
    if ends_denied(text[: found.start()]):
        return merge(details, Details(denied=(("marked_rpm", rpm),))), text
    return replace(details, marked_rpm=rpm), without(text, found)


def _trial(details: Details, text: str, kind: Kind | None) -> tuple[Details, str]:
    """Read whether it went on when it was tried; "not tried" is left for the words."""
    if found := _TRIED_OFF.search(text):
        return replace(details, tried=False), without(text, found)
    return details, _TRIED_ON.sub("tried", text)


def _length(text: str, unit: Literal["in", "mm"]) -> Length | None:
    try:
        return read_length(text.strip(), unit)
    except QuantityError:
        return None
