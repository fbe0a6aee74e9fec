"""What an advert says of the machine itself: swing, nose, tapers, bore, and only where it is plain.

A fact is taken where a figure and its name stand together in one clause ("13in swing", "spindle
bore 1-1/2in") and nothing there names a piece or a doubt. Two figures for one fact are none.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from kitreckon.catalogue.model import Sort
from kitreckon.quantities import Length, find_designations, read_designation, read_length

FACTS = ("swing", "between_centres", "nose", "spindle_socket", "tailstock_socket", "bore")
Value = Length | str
_NEAR = 0.01  # lengths this share apart are one length, rounded in another unit


@dataclass(frozen=True, slots=True)
class MachineFacts:
    """Facts of a machine plainly said; None is what was not. Swing is the diameter over the bed."""

    swing: Length | None = None
    between_centres: Length | None = None
    nose: str | None = None
    spindle_socket: str | None = None
    tailstock_socket: str | None = None
    bore: Length | None = None

    def said(self) -> dict[str, Value]:
        """Return the facts that were said, by their field of a Machine."""
        named = {name: getattr(self, name) for name in FACTS}
        return {name: value for name, value in named.items() if value is not None}


def facts_for(sort: Sort | None, facts: MachineFacts) -> dict[str, Value]:
    """Return what is said that a sort of machine has; all of it where the sort is not known.

    Swing, centres and nose are a lathe's: said of a mill they belong to something else.
    """
    of_any = sort in {None, "lathe"}
    return {n: value for n, value in facts.said().items() if of_any or n == "spindle_socket"}


def same_fact(known: object, said: object) -> bool:
    """Return whether what is said is what is known: 305mm is 12in to who writes an advert."""
    if isinstance(known, Length) and isinstance(said, Length) and known.unit and said.unit:
        return abs(known.mm - said.mm) <= _NEAR * known.mm
    return known == said


@dataclass(frozen=True, slots=True)
class _Token:
    start: int
    fact: str  # of a name; "" for a value
    value: Value | None = None


def machine_facts(text: str) -> MachineFacts:
    """Return the facts of the machine that a text plainly says.

    >>> facts = machine_facts("12x36 lathe, D1-4 camlock, No. 3 Morse tailstock, 6in 3 jaw chuck")
    >>> str(facts.swing), str(facts.between_centres), facts.nose, facts.tailstock_socket
    ('12in', '36in', 'D1-4', 'MT3')
    >>> machine_facts("6in centre height").swing is None
    True
    """
    found: dict[str, set[Value]] = {name: set() for name in FACTS}
    centre_heights = bool(_HALVED.search(text))
    for clause in _CLAUSES.split(text):
        for name, value in _clause_facts(clause, centre_heights=centre_heights):
            found[name].add(value)
    plain = {name: values.pop() for name, values in found.items() if len(values) == 1}
    return MachineFacts(**plain)  # type: ignore[arg-type]  # _suits lets no other type through


def machine_called(text: str) -> str:
    """Return the size and sort of machine an advert is about, "" where it names none.

    >>> machine_called("Fine old 12 inch Engine Lathe from a school, 3 jaw chuck")
    '12in engine lathe'
    >>> machine_called("13x40 gap bed lathe"), machine_called("boxes of tooling")
    ('13in gap bed lathe', '')
    """
    sort = _SORT.search(text)
    if sort is None:
        return ""
    size, swing = "", machine_facts(text).swing
    if swing is not None:
        size = str(swing)
    elif sort["number"]:
        size = f"{sort['number']}{_UNITS.get(sort['unit'][0].lower(), 'in')}"
    return f"{size} {' '.join(sort['sort'].lower().split())}".strip()


# A full stop ends a clause before a capital or at the end of a line, never in "No. 3" or "1.5".
_CLAUSES = re.compile(
    r"[;\n()|•]|,(?!\d{3})|\.(?=\s+[A-Z]|\s*$)|\s[-–—]+\s|\s(?:with|and|plus|has|have|&)\s",
    re.IGNORECASE | re.MULTILINE,
)
# Whoever names a centre height, or asks for pounds, may well write centre height x centres.
_HALVED = re.compile(r"£|\bGBP\b|\bcent(?:re|er)[\s-]*height|\bswings? over", re.IGNORECASE)
_DOUBT = re.compile(
    r"\?|\b(?:or|maybe|perhaps|about|approx\w*|around|roughly|think|guess|not|no(?![.\s]*\d)|"
    r"unsure|believe|was|need\w*|missing|wanted|like)\b|~",
    re.IGNORECASE,
)
_PIECES = re.compile(
    r"\b(?:chucks?|jaws?|\w*plates?|collets?|adapt[eo]rs?|sleeves?|arbou?rs?|drills?|cent(?:er|re)s?|"
    r"rests?|dogs?|keys?|wrench\w*|turrets?|dies?|posts?|holders?|attachments?|protectors?|"
    r"caps?|guards?|drawbars?|tools?|for|fits?|taps?|reamers?|boring|bars?|vises?|vices?|"
    r"stops?)\b",
    re.IGNORECASE,
)
_LENGTH = re.compile(
    r"(?<![\d./$£€x×-])(?P<number>\d{1,4}(?:(?:\s*-\s*|\s)\d{1,2}/\d{1,2}|/\d{1,2}|\.\d{1,4})?"
    r"|\d{0,3}[½¼¾⅛⅜⅝⅞]|\.\d{1,4})[\s-]{0,2}"
    r"(?P<unit>\"|″|”|''|(?:inch(?:es)?|ins?|mm|cm|ft|feet|foot)\b\.?)",
    re.IGNORECASE,
)
_SORT = re.compile(
    rf"(?:{_LENGTH.pattern}[\s-]+)?\b(?P<sort>(?:(?:engine|gap[\s-]bed|bench|mini|screw\W?cutting|"
    r"cent(?:er|re)|tool\W?room|wood)\s+)?lathe|(?:(?:knee|bench|turret|vertical|horizontal)\s+)?"
    r"mill(?:ing\s+machine)?|drill\s+press|pillar\s+drill|surface\s+grinder|shaper)\b",
    re.IGNORECASE,
)
_UNITS = {"m": "mm", "c": "cm", "f": "ft"}
# What a value is called; the longer name first. "" is a name whose value is no fact of ours.
_NAMES = tuple(
    (fact, re.compile(rf"\b(?:{words})\b", re.IGNORECASE))
    for fact, words in (
        (
            "",
            r"swing\s+(?:over|above|in|across)\s+(?:the\s+)?(?:cross\W?slide|carriage|saddle|"
            r"compound|gap|top\W?slide)|gap\s+swing|cent(?:er|re)\W+height|height\s+of\s+cent\w+",
        ),
        ("swing", r"swings?(?:\s+(?:over|above)\s+(?:the\s+)?(?:bed|ways))?"),
        ("between_centres", r"(?:between|betw\.?|btwn\.?|b/w|bet\.?)\s+(?:the\s+)?cent(?:er|re)s"),
        (
            "bore",
            r"(?:spindle|headstock)\s+(?:through\W?)?(?:bore|hole)|(?:bore\s+|hole\s+)?"
            r"through\s+(?:the\s+)?(?:spindle|headstock)",
        ),
        ("nose", r"(?:cam\W?lock\s+)?(?:spindle\s+)?nose|cam\W?lock(?:\s+(?:spindle|mount))?"),
        ("tailstock_socket", r"tail\W?stock(?:\s+(?:taper|quill|socket|barrel))?"),
        ("spindle", r"(?:spindle|headstock)(?:\s+(?:taper|socket))?"),
    )
)
_NOSES = re.compile(r"D1-|L0|L\d|A[12]-|DIN55027-|\d+(?:-\d+/\d+)?-\d+$|\d*\.\d+-\d+$|M\d+x")
_SOCKETS = re.compile(r"MT|R8|ISO|BS|JN|ME")
_NOSE_TWICE = (["nose", "spindle"], ["spindle", "nose"])  # "camlock D1-4 spindle"
_PAIR = re.compile(
    r"(?<![\d./$£€-])(?P<swing>\d{1,2})\s*(?:\"|″|”|in\b\.?|inch)?\s*[x×]\s*(?P<centres>\d{2,3})"
    r"(?!\d|\.|/|-\d|\s*mm|\s*[x×])\s*(?:\"|″|”|in\b\.?|inch)?(?P<between>(?:\s+[\w-]+){0,4}?)\s+lathe\b",
    re.IGNORECASE,
)
_SMALLEST_PAIR = 9  # in inch; below it, centre height x centres is written as often
_SMALL_PAIRS = {(7, 10), (7, 12), (7, 14), (7, 16), (8, 14), (8, 16)}  # bench lathes, by swing
_LIMITS_MM = {"swing": (70, 2000), "between_centres": (100, 12_000), "bore": (5, 320)}


def _clause_facts(clause: str, *, centre_heights: bool) -> Iterator[tuple[str, Value]]:
    """Yield the facts one clause says."""
    alone = read_designation(clause)
    if alone is not None and alone[0] in "DLA" and _NOSES.match(alone):
        yield "nose", alone  # "13x40 lathe, D1-4, single phase": nothing else is called so
        return
    pair = _PAIR.search(clause)
    tokens, rest = _tokens(_blanked(clause, *pair.span()) if pair else clause)
    rest += pair["between"] if pair else ""
    if _DOUBT.search(rest) or _PIECES.search(rest):
        return
    if pair and not centre_heights and _by_swing(int(pair["swing"]), int(pair["centres"])):
        yield "swing", read_length(f"{pair['swing']}in")
        yield "between_centres", read_length(f"{pair['centres']}in")
    for name, value in _paired(tokens):
        fact = _suits(name, value)
        if fact:
            yield fact, value


def _by_swing(swing: int, centres: int) -> bool:
    """Return whether the trade writes such a pair as swing x centres in inch."""
    return (swing, centres) in _SMALL_PAIRS or _SMALLEST_PAIR <= swing < centres


def _tokens(clause: str) -> tuple[list[_Token], str]:
    """Return the values and names of a clause in order, and the clause without them."""
    tokens: list[_Token] = []
    rest = clause
    for named in find_designations(clause):
        typed = clause[named.start : named.end].lower()
        if typed.startswith("a "):
            continue  # "a 1.5in bore" is no A1-5 nose
        if "lock" in typed:  # "camlock D1-4" names its own fact
            tokens.append(_Token(named.start, "nose"))
        tokens.append(_Token(named.start, "", named.name))
        rest = _blanked(rest, named.start, named.end)
    for match in _LENGTH.finditer(rest):
        unit = _UNITS.get(match["unit"][0].lower(), "in")
        number = re.sub(r"\s*-\s*|\s+", "-", match["number"].strip())
        tokens.append(_Token(match.start(), "", read_length(f"{number}{unit}")))
        rest = _blanked(rest, *match.span())
    for fact, pattern in _NAMES:
        for match in pattern.finditer(rest):
            tokens.append(_Token(match.start(), fact or "none"))
            rest = _blanked(rest, *match.span())
    return sorted(tokens, key=lambda token: (token.start, token.fact == "")), rest


def _blanked(text: str, start: int, end: int) -> str:
    return text[:start] + " " * (end - start) + text[end:]


def _paired(tokens: list[_Token]) -> Iterator[tuple[str, Value]]:
    """Yield name and value where they take turns: all names before their values, or all after."""
    values = [token.value for token in tokens if token.value is not None]
    if len(values) == 1 and [t.fact for t in tokens if t.fact] in _NOSE_TWICE:
        yield "nose", values[0]
        return
    turns = [token.value is None for token in tokens]
    if len(tokens) % 2 or any(a == b for a, b in pairwise(turns)):
        return
    for first, second in zip(tokens[::2], tokens[1::2], strict=True):
        name, value = (first, second) if first.value is None else (second, first)
        assert value.value is not None
        yield name.fact, value.value


def _suits(name: str, value: Value) -> str | None:
    """Return the fact that a name and its value make, None where they do not go together."""
    if isinstance(value, Length):
        low, high = _LIMITS_MM.get(name, (1, 0))
        return name if low <= value.mm <= high else None
    if name in {"nose", "spindle"} and _NOSES.match(value):
        return "nose"
    if name in {"tailstock_socket", "spindle"} and _SOCKETS.match(value):
        return "tailstock_socket" if name == "tailstock_socket" else "spindle_socket"
    return None
