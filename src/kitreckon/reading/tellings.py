"""The phrases a catalogue tells findings in, and texts cut into the words they are found by.

Apart from phrases.py, which seeks words as they stand: here a word counts in its one form ("nuts"
is a nut, "doesn't" is do not), and small words may stand inside a phrase.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from kitreckon.catalogue.model import FindingRule, Telling
from kitreckon.reading.fault_words import OTHERS
from kitreckon.reading.spelling import singular


def words_of(phrase: str) -> tuple[str, ...]:
    """Return a phrase as the words it is compared by."""
    return tuple(word.text for word in tokens_of(phrase))


@dataclass(frozen=True, slots=True)
class Word:
    """A word in its one form, and where it stands in the text."""

    text: str
    start: int
    end: int


_WORD = re.compile(r"\d+/\d+|[a-z0-9]+(?:'[a-z]+)?|[,;:()&]|(?<=\s)-+(?=\s)|/|\.(?=\s|$)", re.I)
_AS = {
    "teeth": ("tooth",),
    "can't": ("can", "not"),
    "won't": ("will", "not"),
    "cannot": ("can", "not"),
    "it's": ("it", "is"),
    "there's": ("there", "is"),
    "lacking": ("lack",),
    "lacks": ("lack",),
    "needing": ("need",),
    "needed": ("need",),
    "does": ("do",),
    "shows": ("show",),
    "showing": ("show",),
    "seems": ("seem",),
    "appears": ("appear",),
    "/": ("or",),
    "--": ("-",),
}


def tokens_of(text: str) -> list[Word]:
    """Return a text as words in one form, each with its place; "doesn't" is "do not"."""
    words: list[Word] = []
    low = re.sub(r"\bno longer\b", lambda m: "not".ljust(len(m[0])), text.lower())
    for match in _WORD.finditer(low):
        word = match[0]
        if word == ":" and words and words[-1].text in {"missing", "lack"}:
            continue  # "Missing: motor and guards"
        if word == ":":
            word = ","
        forms: tuple[str, ...]
        if word in _AS:
            forms = _AS[word]
        elif word.endswith("n't"):
            forms = (singular(word[:-3]) if word != "doesn't" else "do", "not")
        else:
            forms = (singular(word.removesuffix("'s")),)
        words += [Word(form, match.start(), match.end()) for form in forms]
    return words


def _phrases_of(texts: tuple[str, ...]) -> frozenset[tuple[str, ...]]:
    return frozenset(words for text in texts if (words := words_of(text)))


@dataclass(frozen=True, slots=True)
class Told:
    """One telling of one rule, as words."""

    rule: FindingRule
    telling: Telling
    of: frozenset[tuple[str, ...]]
    faults: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Tellings:
    """All tellings, with faults and names found by their first word."""

    told: tuple[Told, ...]
    by_word: dict[str, tuple[tuple[Told, tuple[str, ...]], ...]]  # faults by their first word
    things: dict[str, tuple[tuple[str, ...], ...]]  # parts and other things by their first word


@lru_cache(maxsize=8)
def tellings_of(rules: tuple[FindingRule, ...]) -> Tellings:
    """Return the tellings of rules, made ready once."""
    told = tuple(
        Told(rule, each, _phrases_of(each.of), tuple(sorted(_phrases_of(each.fault))))
        for rule in rules
        for each in rule.told
    )
    by_word: dict[str, list[tuple[Told, tuple[str, ...]]]] = {}
    for each in told:
        for fault in sorted(each.faults, key=len, reverse=True):
            by_word.setdefault(fault[0], []).append((each, fault))
    names = {name for each in told for name in each.of} | {words_of(name) for name in OTHERS}
    things: dict[str, list[tuple[str, ...]]] = {}
    for name in sorted(names, key=len, reverse=True):
        things.setdefault(name[0], []).append(name)
    return Tellings(
        told,
        {word: tuple(some) for word, some in by_word.items()},
        {word: tuple(some) for word, some in things.items()},
    )
