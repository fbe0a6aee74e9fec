"""Names of tapers, noses, collets and threads, in one spelling: "mt 2", "2 morse" are MT2.

The spelling is the trade's own. What is not a designation is None, never a guess.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from kitreckon.quantities.text import clean_text

_DRAWN_BY_STUD = re.compile(r"(?:BT|CAT)(\d\d)")
_LIMIT = 40


@dataclass(frozen=True, slots=True)
class Designation:
    """A designation found in a text: its canonical spelling, and where it stands."""

    name: str
    start: int
    end: int


_JOIN = r"[\s_#.-]{0,3}"  # what people put between letters and number
_NO = rf"{_JOIN}(?:no\.?|number|size)?{_JOIN}"
_SERIES = {"0xa": "0XA", "oxa": "0XA", "axa": "AXA", "bxa": "BXA", "cxa": "CXA", "ca": "CA"}
_SERIES_NUMBER = {"100": "AXA", "200": "BXA", "300": "CXA", "400": "CA"}

Spell = Callable[[re.Match[str]], str | None]
Form = tuple[re.Pattern[str], Spell]


def _form(shape: str, spell: Spell) -> Form:
    """Return a shape that stands by itself in a text, and how what it matches is spelt."""
    whole = rf"(?<![a-z0-9/.]){shape}(?![a-z0-9])"
    return re.compile(whole, re.ASCII | re.IGNORECASE), spell


def _sized(spelling: str, sizes: str, *shapes: str) -> tuple[Form, ...]:
    """Return the forms of a family; <n> in a shape is one of its sizes."""
    longest_first = sorted(sizes.split(), key=len, reverse=True)
    number = f"(?P<n>{'|'.join(map(re.escape, longest_first))})"

    def spell(match: re.Match[str]) -> str:
        return spelling.format({"4-1/2": "4.5"}.get(match["n"], match["n"].upper()))

    return tuple(_form(shape.replace("<n>", number), spell) for shape in shapes)


def _nose_a(match: re.Match[str]) -> str | None:
    return f"A{match['a']}-{match['n']}"


def _series(match: re.Match[str]) -> str | None:
    return _SERIES.get((match["s"] or "").lower()) or _SERIES_NUMBER.get(match["n"] or "")


def _inch_thread(match: re.Match[str]) -> str | None:
    size = _as_fraction(re.sub(r"\s+", "-", match["size"].strip()))
    tpi = match["tpi"]
    if "/" not in size and "." not in size and not match["tpiword"] and int(size) > 6:
        return None
    if "." not in size and "/" not in size and int(tpi) < 4:
        return None
    return f"{size}-{tpi}"


def _as_fraction(size: str) -> str:
    """Return "1-1/2" for "1.5": threads of noses are named by fractions; others as they are."""
    if not re.fullmatch(r"\d\.\d{1,3}", size):
        return size
    amount = Fraction(size)
    whole, part = divmod(amount, 1)
    if part.denominator not in {1, 2, 4, 8, 16}:
        return size
    return f"{whole}-{part}" if whole and part else str(whole or part)


def _metric_thread(match: re.Match[str]) -> str | None:
    if not 1 <= float(match["d"].replace(",", ".")) <= 200:
        return None
    pitch = match["p"]
    size = f"M{match['d'].replace(',', '.')}"
    if pitch is None:
        return size
    value = float(pitch.replace(",", "."))
    return f"{size}x{value:g}" if 0.2 <= value <= 10 else None


def _metric_size(match: re.Match[str]) -> str | None:
    return f"M{match['d']}" if 1 <= int(match["d"]) <= 200 else None


_MORSE = _sized(
    "MT{}",
    "0 1 2 3 4 4.5 4-1/2 5 6 7",
    rf"(?:mt|m\.t\.?|mk|morse(?:\s+taper)?){_NO}<n>(?!\s*/|\.\d)",
    rf"(?:no\.?|number|#)?\s*<n>{_JOIN}(?:mt|m\.t\.?|morse(?:\s+taper)?)",
)
_STUB_TAPERS = (
    *_sized(
        "JT{}",
        "0 1 2 2s 3 4 5 6 33",
        rf"(?:jt|jacobs(?:\s+taper)?){_NO}<n>",
        rf"(?:no\.?|#)?\s*<n>{_JOIN}(?:jt|jacobs\s+taper)",
    ),
    *_sized("B{}", "10 12 16 18 22 24", r"b[\s-]?<n>"),
)
_COLLETS = (
    *_sized("ER{}", "8 11 16 20 25 32 40 50", rf"er{_JOIN}<n>"),
    *_sized("R{}", "8", r"r[\s-]?<n>"),
    *_sized("{}C", "16 5 3", r"<n>[\s-]?c(?:'?s)?"),
    *_sized("{}C", "4", r"<n>c(?:'?s)?"),  # "4 c" may be four of something
    *_sized("{}AT", "3", r"<n>at"),
)
_NOSES = (
    *_sized(
        "D1-{}",
        "2 3 4 5 6 8 11 15 20",
        rf"(?:camlock\s*)?d[\s.-]?1{_JOIN}<n>",
        r"cam\s?-?lock\s*,?\s*(?:no\.?|#|size)\s?<n>",
    ),
    _form(r"a-?(?P<a>[12])[\s-]{1,3}(?P<n>3|4|5|6|8|11|15|20)", _nose_a),
    *_sized(
        "DIN55027-{}",
        "3 4 5 6 8 11 15",
        r"(?:din[\s-]{0,2})?55027(?:[\s,-]{1,2}(?:no\.?|size|gr\.?)[\s,-]{0,3}|[\s,-]{1,3})<n>",
        r"bayonet(?:\s(?:no\.?|size))?[\s-]{1,3}<n>",
    ),
    *_sized("L{}", "00 0 1 2 3", r"l[\s.-]{0,2}<n>"),
)
_METRIC_TAPERS = (
    *_sized("ME{}", "4 6 80 100 120 160 200", r"me-?<n>", r"metric\s+taper\s+<n>"),
    *_sized("ME{}", "80 100 120 160 200", r"metric\s+<n>(?!\s?mm)"),
)
_STEEP_TAPERS = (
    *_sized("ISO{}", "30 35 40 45 50 60", r"(?:iso|int|nmtb|nt|sk|nst)[\s.-]{0,2}<n>"),
    *_sized("ISO{}", "30 40 50", r"<n>[\s-]{1,2}taper"),  # "a 40 taper spindle"
    *_sized("BT{}", "30 35 40 45 50 60", r"bt[\s.-]{0,2}<n>"),
    *_sized("CAT{}", "30 40 45 50 60", r"cat[\s.-]{0,2}<n>"),
    *_sized("ISO{}", "30 35 40 45 50 60", r"<n>\s*(?:int|nmtb|iso|nst)(?:\s+taper)?"),
)
_OLD_TAPERS = (
    *_sized("BS{}", " ".join(map(str, range(1, 17))), rf"(?:b\s?&\s?s|bs)(?:\s+taper)?{_NO}<n>"),
    *_sized("JN{}", " ".join(map(str, range(2, 21))), rf"jarno(?:\s+taper)?{_NO}<n>"),
)
_TOOL_POSTS = (
    _form(r"(?P<s>[0o]xa|axa|bxa|cxa)(?P<n>)", _series),
    _form(r"(?P<s>)(?:series|size)[\s-]?(?P<n>[1-4]00)", _series),
    _form(r"(?P<s>)(?P<n>[1-4]00)[\s-]series", _series),
)
_PITCH = r"\d{1,2}(?:[.,]\d{1,3})?"
_METRIC_THREADS = (
    _form(
        rf"m\s?(?P<d>\d{{1,3}}(?:[.,]\d)?)(?:\s?[x×*]\s?(?P<p>{_PITCH})(?:\s?mm)?)?", _metric_thread
    ),
    _form(r"m\s?(?P<d>\d{1,3})(?P<p>)", _metric_size),
)
_FRACTION = r"\d{1,2}[\s-]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}"
_THREAD_WORDS = r"tpi|threads? per inch|threads?|threaded|unc|unf|uns|un|whitworth|bsw|bsf"
_NO_THREAD = r"\"|in\b|inch|mm|jaw|/|\.\d|-\d|[x×*]"  # after it: "3 x 8in", "1-4 jaw"
_INCH_THREADS = (
    # any size, where a word says that it is a thread: "1-1/2 x 8 tpi"
    _form(
        rf"(?P<size>{_FRACTION}|\d?\.\d{{3}}|\d\.\d{{1,2}}|\d{{1,2}})(?:\s?(?:\"|in|inch))?"
        rf"(?:\s?[x×*-]\s?|\s+)(?P<tpi>\d{{1,2}})(?P<tpiword>\s?(?:{_THREAD_WORDS}))",
        _inch_thread,
    ),
    # without such a word only sizes of noses and pitches that are cut: "1-1/2-8"
    _form(
        rf"(?P<size>{_FRACTION}|\d?\.\d{{3}}|[12]\.(?:25|5|75)|[12])(?:\"|in)?\s?[x×*-]\s?"
        rf"(?P<tpi>4|5|6|7|8|9|1[0-9]|2[0-8]|32)(?P<tpiword>)(?!\s*-?(?:{_NO_THREAD}))",
        _inch_thread,
    ),
)
_FORMS = (
    *_MORSE,
    *_STUB_TAPERS,
    *_COLLETS,
    *_NOSES,
    *_METRIC_TAPERS,
    *_STEEP_TAPERS,
    *_OLD_TAPERS,
    *_TOOL_POSTS,
    *_METRIC_THREADS,
    *_INCH_THREADS,
)  # the first that matches at a place wins


def find_designations(text: str) -> list[Designation]:
    """Return the designations in a text, in order, none overlapping another.

    >>> [d.name for d in find_designations("4 jaw D1-4, no 2 morse centre, 1-1/2-8 plate")]
    ['D1-4', 'MT2', '1-1/2-8']
    """
    found: list[Designation] = []
    for pattern, spell in _FORMS:
        for match in pattern.finditer(text):
            start, end = match.span()
            if any(start < other.end and other.start < end for other in found):
                continue
            name = spell(match)
            if name is not None:
                found.append(Designation(name, start, end))
    return sorted(found, key=lambda designation: designation.start)


def read_designation(text: str) -> str | None:
    """Return the canonical spelling when the whole text is one designation, else None.

    >>> read_designation("mt 2"), read_designation("Morse No. 3"), read_designation("chuck")
    ('MT2', 'MT3', None)
    """
    typed = clean_text(text.strip())
    if not typed or len(typed) > _LIMIT:
        return None
    whole = [d for d in find_designations(typed) if d.start == 0 and d.end == len(typed)]
    return whole[0].name if whole else None


def steep_cone(name: str) -> str:
    """Return the ISO name of a steep taper's cone; any other name as it is.

    BT and CAT holders have the cone of ISO 297 and other flanges, and are drawn up by a stud.

    >>> steep_cone("BT40"), steep_cone("CAT50"), steep_cone("MT3")
    ('ISO40', 'ISO50', 'MT3')
    """
    match = _DRAWN_BY_STUD.fullmatch(name)
    return f"ISO{match[1]}" if match else name


def canonical_designation(text: str) -> str:
    """Return the canonical spelling where there is one, else the cleaned text as typed.

    >>> canonical_designation("d1 4"), canonical_designation("special")
    ('D1-4', 'special')
    """
    typed = clean_text(text.strip())
    return read_designation(typed) or typed
