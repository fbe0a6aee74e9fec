"""A line cut into tokens: words, numbers, lengths, designations, stock codes and marks."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from kitreckon.quantities import Length, find_designations
from kitreckon.reading.number_words import ONES, TENS, TWELVE, either

LINE_LIMIT = 2_000  # characters of one line that are read
ADVERT_LIMIT = 30_000

_FOLDS = str.maketrans(
    {
        "“": '"', "”": '"', "„": '"', "″": '"', "‟": '"', "’": "'", "‘": "'", "′": "'", "`": "'",
        "–": "-", "—": "-", "−": "-", "‐": "-", "‑": "-", "×": "x", "⁄": "/", "•": ";", "·": ";",
        "°": " deg", "\u00a0": " ", "_": " ", "\ufffd": " ", "~": " ", "|": ";", "…": ";",
    }
)  # fmt: skip
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip
_VULGAR_FORM = re.compile("[" + "".join(_VULGAR) + "]")

_SHORT_FORMS = {"w/o": "without ", "w/out": "without ", "w/": "with ", "c/w": "with "}
_SHORT = re.compile(r"(?<![\w/])(?:w/(?:o(?:ut)?(?![a-z]))?|c/w(?![a-z]))\s?", re.IGNORECASE)
_SLASHED = {
    "q/c": "quick change", "t/post": "toolpost", "t/stock": "tailstock", "d/chuck": "drill chuck",
    "b/plate": "backplate", "f/plate": "faceplate", "s/c": "self centring", "h/duty": "heavy duty",
    "v/slide": "vertical slide", "t/slide": "top slide", "f/steady": "fixed steady",
    "t/steady": "travelling steady", "t/attach": "turning attachment", "h/stock": "headstock",
}  # fmt: skip
_SLASHED_FORM = re.compile(rf"(?<![\w/])(?:{'|'.join(_SLASHED)})(?![\w/])\.?", re.IGNORECASE)
_POSSESSIVE = re.compile(r"\b((?:[345]|16)c|er\d\d|r8)'?s\b", re.IGNORECASE)  # "nine 5C's"
_TWICE = re.compile(  # "TWO (2)"
    rf"\b(?:{either(TWELVE)}) \((\d{{1,2}})\)", re.IGNORECASE
)
_AND_A_PART = re.compile(
    rf"\b(?P<whole>{either(TWELVE)}) and a (?P<part>half|quarter)\b",
    re.IGNORECASE,
)
_SPELT_NUMBER = re.compile(
    rf"\b(?:(?P<tens>{either(TENS)})[- ](?P<ones>{either(ONES)})"
    r"|(?P<half>half(?: a |-| )doz(?:en)?)|(?P<dozens>two|three|four) dozen)\b",
    re.IGNORECASE,
)


def _spelt(match: re.Match[str]) -> str:
    if match["half"]:
        return "6"
    if match["dozens"]:
        return str(12 * ONES[match["dozens"].lower()])
    return str(TENS[match["tens"].lower()] + ONES[match["ones"].lower()])


def _mixed(match: re.Match[str]) -> str:
    part = "1/2" if match["part"].lower() == "half" else "1/4"
    return f"{_SPELLED[match['whole'].lower()]} {part}"


_FRACTION = r"(?:\d{1,3}[- ])?\d{1,3}/\d{1,3}(?!\d)"
_NUMBER = rf"(?:{_FRACTION}|\d{{0,5}}\.\d{{1,5}}|\d{{1,5}})"
# "in" that is a place, not an inch: "11 in box"
_NOT_INCH = (
    "a|an|the|my|its|it|box|good|very|great|total|all|this|use|set|"
    "working|case|boxes|index|drawer|wooden|roll|stand|rack|pack|tin|bag|one|two|stock"
)
_INCH_WORD = rf"in\b\.?(?!\s+(?:{_NOT_INCH})\b)"
_SPELLED = {"half": "1/2", "quarter": "1/4"} | {word: str(n) for word, n in TWELVE.items()}
_SPELT = "|".join(_SPELLED)
_UNIT = (
    rf"(?:\"|''|inch(?:es)?\b|ins\b|inc\b|{_INCH_WORD}|mm\b|mm(?=x)|cms?\b|"
    r"ft\b|feet\b|foot\b|'(?![a-z])|m\b|met(?:er|re)s?\b)"
)
_MIXED = rf"\d{{1,3}}-\d{{1,2}}/\d{{1,3}}(?!\s?{_UNIT}?\s?(?:-|to\b|thru))"
_TO = r"(?:-|\bto\b|\bthru\b|\bthrough\b)"
_TOKEN = re.compile(
    rf"""
      (?P<money>[$£€]\s?\d+(?:,\d{{3}})*(?:\.\d+)?k?|\d+(?:,\d{{3}})*\s?(?:dollars|quid|bucks|pounds|euros?|usd|gbp)\b)
    | (?P<times>(?<![\d/])(?<![a-z])x\s?\d{{1,3}}\b(?!\s?[/x*.\"']|-\d|\s?mm|\s?in)
      |\b\d{{1,3}}\s?(?:x|off|nos|no\.?)(?![a-z0-9])(?!\s?\d)
      |\b\d{{1,3}}\s?off(?=\s?\d)|\b\d{{1,3}}\s?x(?=\s?[2346]\s?-?\s?j(?:aw|\b)))
    | (?P<power>(?:\d+\s)?(?:\d/\d|\d+(?:\.\d+)?)\s?-?
      (?:v(?!\s?-?\s?blocks?)|volts?|hp|kw|w|watts?|amps?|hz|rpm|lbs?|kgs?|tpi|gal|gallons?|litres?|liters?|oz|tons?)\b)
    | (?P<blocks>(?<!\d)(?:1\s?-\s?2\s?-\s?3|2\s?-\s?4\s?-\s?6
      |1\s?x\s?2\s?x\s?3|2\s?x\s?4\s?x\s?6)(?![\d/"]))
    | (?P<dims>(?<![a-z]){_NUMBER}\s?{_UNIT}?(?:\s?(?:[x*]|\bby\b)\s?{_NUMBER}\s?{_UNIT}?){{1,2}}
      (?![a-z\d])(?!\s?-?\s?j(?:aw|\b)))
    | (?P<range>(?!{_MIXED}){_NUMBER}\s?{_UNIT}?\s?{_TO}\s?{_NUMBER}\s?{_UNIT}
      |{_FRACTION}\s?{_UNIT}?\s?{_TO}\s?{_NUMBER}(?!\d|\s?(?:nos?|off|pcs?|ea)\b))
    | (?P<style>\b(?:[2-9]|1\d)c\b|\bw(?:12|20|25)\b|\b\d{{1,2}}[jk](?=\s*collet)
      |\b(?:tg|da)\s?-?\d{{2,3}}\b)
    | (?P<setof>(?:\d{{1,4}}|\b(?:five|six|seven|eight|nine|ten|eleven|twelve))\s?-?\s?
      (?:pcs?|pces?|pieces?|pce)\b\.?)
    | (?P<jaws>(?<![\d/.])(?:[2346]|two|three|four|six)(?:\s?-\s?|\s?)
      j(?:aws?|awed|w)\b(?!\s*collet)|(?<![\d/.])[2346]\s?-?\s?j\b(?!\s*(?:collet|head|hd\b|mill|vari)))
    | (?P<length>{_NUMBER}[\s-]?{_UNIT}|(?:{_SPELT})[\s-]inch(?:es)?\b)
    | (?P<fraction>{_FRACTION})
    | (?P<hash>\#\s?\d+[a-z]?)
    | (?P<span>\d{{1,3}}\s?-\s?\d{{1,3}}(?![\d/]))
    | (?P<decimal>\d*\.\d+)
    | (?P<number>\d+)
    | (?P<word>[^\W\d_]+(?:'[^\W\d_]+)?)
    | (?P<mark>[,;:.()\[\]{{}}&+/*!?"-])
    """,
    re.VERBOSE,
)
_SIZE_SLASH = re.compile(r"(\d{2,3})/(?=d1|a[12]-|l0)")  # "250/D1-8"
_MORSE_SLASH = re.compile(r"(mt\s?\d|\d\s?mt)/(?=[a-z])")  # "mt3/b16" is no fraction
# A cheap look before the full search for designations.
_MAYBE_DESIGNATION = re.compile(
    r"mt|morse|\bnt|\bsk|m\.t|mk|jt|jacobs|r[ -]?8|[1-6][ -]?c\b|er[ -]?\d|d[ .-]?1|a[12][ -]|"
    r"\bl[ .-]?[0-3]|iso|int|nmtb|"
    r"cat|cam ?lock|\bbt|b[ -]?1\d|b[ -]?2[24]|\bbs|jarno|[abcox0]xa|[1-4]00|\bm\s?\d|"
    r"\d\"?[ x\"-]\d|tpi|thread|0[ -]taper"
)
_LISTED = re.compile(
    rf"(?<![\w/.]){_NUMBER}[\s-]?{_UNIT}?(?:(?:\s?,\s?(?:and\s)?|\s?(?:and|&)\s){_NUMBER}[\s-]?{_UNIT}?)+"
    r"(?![\w/])"
)
_UNITS = {"mm": ("mm", 1), "cm": ("mm", 10), "m": ("mm", 1000), "ft": ("in", 12), "in": ("in", 1)}


@dataclass(slots=True)
class Token:
    """One token: what it is, its small letters, where it stands, and its value if it has one."""

    kind: str
    text: str
    start: int
    end: int
    value: object = None


@dataclass(frozen=True, slots=True)
class Code:
    """A stock code: the kind it stands for, whether words may overrule it, its size in mm."""

    kind: str
    weak: bool
    size_mm: int | None


def fold(text: str) -> str:
    """Return text with one spelling of quotes, dashes, fractions and underscores.

    >>> fold("3½” chuck_key")
    '3 1/2" chuck key'
    """
    if not text.isascii():
        text = _VULGAR_FORM.sub(lambda m: " " + _VULGAR[m[0]], text)
    text = _AND_A_PART.sub(_mixed, text)
    text = _SPELT_NUMBER.sub(_spelt, text)
    text = _TWICE.sub(r"\1", _POSSESSIVE.sub(r"\1", text))
    if "/" in text:
        text = _SLASHED_FORM.sub(lambda m: _SLASHED[m[0].lower().rstrip(".")], text)
    return _SHORT.sub(lambda m: _SHORT_FORMS[m[0].lower().rstrip()], text.translate(_FOLDS))


def scan(low: str, coded: Sequence[Token] = ()) -> list[Token]:
    """Cut folded small-letter text into tokens; ``coded`` are the stock codes found in it."""
    taken = _designations(low)
    if coded:
        taken = _with_codes(taken, coded)
    tokens: list[Token] = []
    at = 0
    for special in taken:
        _plain(low, at, special.start, tokens)
        tokens.append(special)
        at = special.end
    _plain(low, at, len(low), tokens)
    return tokens


def _designations(low: str) -> list[Token]:
    if not _MAYBE_DESIGNATION.search(low):
        return []
    return [
        Token("mount", low[d.start : d.end], d.start, d.end, d.name)
        for d in find_designations(_SIZE_SLASH.sub(r"\1,", _MORSE_SLASH.sub(r"\1,", low)))
    ]


def _with_codes(taken: list[Token], coded: Sequence[Token]) -> list[Token]:
    kept = [
        token
        for token in taken
        if not any(token.start < code.end and code.start < token.end for code in coded)
    ]
    return sorted([*kept, *coded], key=lambda token: token.start)


def _plain(low: str, start: int, end: int, into: list[Token]) -> None:
    for match in _TOKEN.finditer(low, start, end):
        into.append(Token(str(match.lastgroup), match[0], match.start(), match.end()))


_LENGTH = re.compile(rf"(?P<number>{_NUMBER})[\s-]?(?P<unit>{_UNIT})?", re.ASCII)


def lengths_in(text: str) -> list[Length]:
    """Return the lengths in a length, range or list of dimensions, with one unit for all.

    A unit given once serves them all; a fraction without any is of an inch.

    >>> [length.mm for length in lengths_in('1/32-1/2')], lengths_in("0-300 mm")[-1].mm
    ([0.79375, 12.7], 300.0)
    """
    first = re.match(_SPELT, text)
    if first is not None:
        return [Length(_amount(_SPELLED[first[0]]) or Fraction(0), "in", text.strip())]
    found = [(m["number"], _unit(m["unit"]), m[0]) for m in _LENGTH.finditer(text)]
    shared = next((unit for _, unit, _ in reversed(found) if unit), None)
    lengths = []
    for number, unit, typed in found:
        unit = unit or shared or ("in" if "/" in number else None)
        amount = _amount(number)
        if amount is None:
            continue
        if unit is None:
            lengths.append(Length(amount, None, typed.strip()))
        else:
            base, times = _UNITS[unit]
            lengths.append(Length(amount * times, "mm" if base == "mm" else "in", typed.strip()))
    return lengths


def listed_lengths(text: str) -> list[Length]:
    """Return the lengths of a list with a unit, or of fractions: "5, 6 and 8 in".

    >>> [length.mm for length in listed_lengths("of 1/2 and 3/4")], listed_lengths("3 and 4 jaw")
    ([12.7, 19.05], [])
    """
    for match in _LISTED.finditer(text):
        lengths = lengths_in(match[0])
        if all(length.unit is not None for length in lengths):
            return lengths
    return []


def _unit(text: str | None) -> str | None:
    if not text:
        return None
    if text in {'"', "''"} or text.startswith("in"):
        return "in"
    if text in {"'", "ft", "feet", "foot"}:
        return "ft"
    return "m" if text.startswith("met") else text.rstrip("s")


def _amount(number: str) -> Fraction | None:
    whole, _, part = number.replace("-", " ").rpartition(" ")
    try:
        return Fraction(part) + (Fraction(whole) if whole.strip() else 0)
    except (ValueError, ZeroDivisionError):
        return None
