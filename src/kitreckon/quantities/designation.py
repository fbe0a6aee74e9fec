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


_MORSE = {"0", "1", "2", "3", "4", "4.5", "4-1/2", "5", "6", "7"}
_JACOBS = {"0", "1", "2", "2s", "3", "4", "5", "6", "33"}
_SHORT = {"10", "12", "16", "18", "22", "24"}
_ER = {"8", "11", "16", "20", "25", "32", "40", "50"}
_STEEP = {"30", "35", "40", "45", "50", "60"}
_CAMLOCK = {"2", "3", "4", "5", "6", "8", "11", "15", "20"}
_LONG = {"00", "0", "1", "2", "3"}
_BAYONET = {"3", "4", "5", "6", "8", "11", "15"}
_METRIC = {"4", "6", "80", "100", "120", "160", "200"}
_SERIES = {"0xa": "0XA", "oxa": "0XA", "axa": "AXA", "bxa": "BXA", "cxa": "CXA", "ca": "CA"}
_SERIES_NUMBER = {"100": "AXA", "200": "BXA", "300": "CXA", "400": "CA"}
_JOIN = r"[\s_#.-]{0,3}"  # what people put between letters and number
_NO = rf"{_JOIN}(?:no\.?|number|size)?{_JOIN}"


def _one_of(allowed: set[str], form: str) -> Callable[[re.Match[str]], str | None]:
    def spell(match: re.Match[str]) -> str | None:
        number = match["n"].lower().replace(" ", "")
        if number not in allowed:
            return None
        return form.format("4.5" if number == "4-1/2" else number.upper())

    return spell


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


# Ordered: the first that matches at a place wins.
_FORMS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], str | None]], ...] = tuple(
    (re.compile(rf"(?<![a-z0-9/.]){pattern}(?![a-z0-9])", re.ASCII | re.IGNORECASE), spell)
    for pattern, spell in (
        (
            rf"(?:mt|m\.t\.?|mk|morse(?:\s+taper)?){_NO}(?P<n>4\.5|4-1/2|[0-7])(?!\s*/|\.\d)",
            _one_of(_MORSE, "MT{}"),
        ),
        (
            rf"(?:no\.?|number|#)?\s*(?P<n>4\.5|4-1/2|[0-7]){_JOIN}(?:mt|m\.t\.?|morse(?:\s+taper)?)",
            _one_of(_MORSE, "MT{}"),
        ),
        (rf"(?:jt|jacobs(?:\s+taper)?){_NO}(?P<n>2s|33|[0-6])", _one_of(_JACOBS, "JT{}")),
        (
            rf"(?:no\.?|#)?\s*(?P<n>2s|33|[0-6]){_JOIN}(?:jt|jacobs\s+taper)",
            _one_of(_JACOBS, "JT{}"),
        ),
        (rf"er{_JOIN}(?P<n>\d{{1,2}})", _one_of(_ER, "ER{}")),
        (r"b[\s-]?(?P<n>10|12|16|18|22|24)", _one_of(_SHORT, "B{}")),
        (r"r[\s-]?(?P<n>8)", _one_of({"8"}, "R{}")),
        (r"(?P<n>16|5|3)[\s-]?c(?:'?s)?", _one_of({"16", "5", "3"}, "{}C")),
        (rf"(?:camlock\s*)?d[\s.-]?1{_JOIN}(?P<n>\d{{1,2}})", _one_of(_CAMLOCK, "D1-{}")),
        (
            r"cam\s?-?lock\s*,?\s*(?:no\.?|#|size)\s?(?P<n>\d{1,2})",
            _one_of(_CAMLOCK, "D1-{}"),
        ),
        (r"a-?(?P<a>[12])[\s-]{1,3}(?P<n>3|4|5|6|8|11|15|20)", _nose_a),
        (
            r"(?:din\s?)?55027[\s,-]{1,2}(?:no\.?|size|gr\.?)?\s?(?P<n>3|4|5|6|8|11|15)",
            _one_of(_BAYONET, "DIN55027-{}"),
        ),
        (
            r"(?:me-?(?P<n>4|6|80|100|120|160|200))",
            _one_of(_METRIC, "ME{}"),
        ),
        (r"metric\s+(?:taper\s+)?(?P<n>80|100|120|160|200)(?!\s?mm)", _one_of(_METRIC, "ME{}")),
        (r"l[\s.-]{0,2}(?P<n>00|0|1|2|3)", _one_of(_LONG, "L{}")),
        (
            r"(?:din[\s-]{0,2}55027|bayonet)(?:\s(?:no\.?|size))?[\s-]{1,3}(?P<n>3|4|5|6|8|11)",
            _one_of({"3", "4", "5", "6", "8", "11"}, "DIN55027-{}"),
        ),
        (
            r"(?:me|metric taper )(?P<n>4|6|80|100|120|160|200)",
            _one_of({"4", "6", "80", "100", "120", "160", "200"}, "ME{}"),
        ),
        (r"(?P<n>4)c(?:'?s)?", _one_of({"4"}, "{}C")),
        (r"(?P<n>3)at", _one_of({"3"}, "{}AT")),
        (
            r"(?:iso|int|nmtb|nt|sk|nst)[\s.-]{0,2}(?P<n>30|35|40|45|50|60)",
            _one_of(_STEEP, "ISO{}"),
        ),
        (r"(?P<n>30|40|50)[\s-]{1,2}taper", _one_of(_STEEP, "ISO{}")),
        (r"bt[\s.-]{0,2}(?P<n>30|35|40|45|50|60)", _one_of(_STEEP, "BT{}")),
        (r"cat[\s.-]{0,2}(?P<n>30|40|45|50|60)", _one_of(_STEEP, "CAT{}")),
        (
            r"(?P<n>30|35|40|45|50|60)\s*(?:int|nmtb|iso|nst)(?:\s+taper)?",
            _one_of(_STEEP, "ISO{}"),
        ),
        (
            rf"(?:b\s?&\s?s|bs)(?:\s+taper)?{_NO}(?P<n>1[0-6]|[1-9])",
            _one_of({str(n) for n in range(1, 17)}, "BS{}"),
        ),
        (
            rf"jarno(?:\s+taper)?{_NO}(?P<n>1\d|20|[2-9])",
            _one_of({str(n) for n in range(2, 21)}, "JN{}"),
        ),
        (r"(?P<s>[0o]xa|axa|bxa|cxa)(?P<n>)", _series),
        (r"(?P<s>)(?:series|size)[\s-]?(?P<n>[1-4]00)", _series),
        (r"(?P<s>)(?P<n>[1-4]00)[\s-]series", _series),
        (
            r"m\s?(?P<d>\d{1,3}(?:[.,]\d)?)(?:\s?[x×*]\s?(?P<p>\d{1,2}(?:[.,]\d{1,3})?)(?:\s?mm)?)?",
            _metric_thread,
        ),
        (r"m\s?(?P<d>\d{1,3})(?P<p>)", _metric_size),
        (
            r"(?P<size>\d{1,2}[\s-]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d?\.\d{3}|\d\.\d{1,2}|\d{1,2})"
            r"(?:\s?(?:\"|in|inch))?(?:\s?[x×*-]\s?|\s+)(?P<tpi>\d{1,2})"
            r"(?P<tpiword>\s?(?:tpi|threads? per inch|threads?|threaded|unc|unf|uns|un|whitworth|"
            r"bsw|bsf))",
            _inch_thread,
        ),
        (
            r"(?P<size>\d{1,2}[\s-]\d{1,2}/\d{1,2}|\d{1,2}/\d{1,2}|\d?\.\d{3}|[12]\.(?:25|5|75)|[12])"
            r"(?:\"|in)?\s?[x×*-]\s?(?P<tpi>4|5|6|7|8|9|1[0-9]|2[0-8]|32)(?P<tpiword>)"
            r"(?!\s*-?(?:\"|in\b|inch|mm|jaw|/|\.\d|-\d|[x×*]))",
            _inch_thread,
        ),
    )
)


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
