"""Phrases of the rules made into patterns: whole words, a verb in all its forms."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

_SPACE = re.compile(r"[\s-]+")
_VOWELS = "aeiou"
WORD_ENDS = r"(?![\w'])"


@dataclass(slots=True)
class _Branch:
    """A place in the tree of letters: what may follow, and whether a phrase may end here."""

    then: dict[str, _Branch] = field(default_factory=dict)
    ends: bool = False

    def pattern(self) -> str:
        """Return the pattern of all that may follow, the longest first."""
        ways = [
            (r"[\s-]+" if letter == " " else re.escape(letter)) + branch.pattern()
            for letter, branch in sorted(self.then.items())
        ]
        if not ways:
            return ""
        body = ways[0] if len(ways) == 1 and not self.ends else f"(?:{'|'.join(ways)})"
        return body + "?" if self.ends else body


class Verbs:
    """The forms of verbs: regular ones by rule, the others from a table."""

    def __init__(self, rules: Mapping[str, Any]) -> None:
        self._table = {
            str(verb): tuple(map(str, forms)) for verb, forms in (rules.get("verbs") or {}).items()
        }

    def forms(self, verb: str) -> tuple[str, ...]:
        """Return a verb in its forms.

        >>> Verbs({"verbs": {"keep": ["kept"]}}).forms("keep")
        ('keep', 'keeps', 'keeping', 'kept')
        >>> Verbs({}).forms("swap")
        ('swap', 'swaps', 'swapping', 'swapped')
        """
        own = self._table.get(verb, ())
        if own[:1] == ("only",):
            return own[1:]
        last = verb[-1]
        sibilant = verb.endswith(("s", "sh", "ch", "x", "z", "o"))
        hard_y = last == "y" and verb[-2] not in _VOWELS
        stem = verb[:-1] if last == "e" else verb
        if re.fullmatch(r"[^aeiou]*[aeiou][^aeiouwxy]", verb):
            stem = verb + last
        third = verb[:-1] + "ies" if hard_y else verb + ("es" if sibilant else "s")
        past = own or (verb[:-1] + "ied" if hard_y else stem + "ed",)
        return (verb, third, stem + "ing", *past)

    def spread(self, phrases: Iterable[str]) -> list[str]:
        """Return the phrases with a verb after ~ in all its forms, after ^ in those of the past.

        >>> Verbs({"verbs": {"sell": ["sold"]}}).spread(["~sell the", "^bin", "nil"])
        ['sell the', 'sells the', 'selling the', 'sold the', 'binned', 'nil']
        """
        out: list[str] = []
        for phrase in phrases:
            words = [self._meant(word) for word in str(phrase).split()]
            out.extend(" ".join(choice) for choice in itertools.product(*words))
        return out

    def _meant(self, word: str) -> tuple[str, ...]:
        if word.startswith("~"):
            return self.forms(word[1:])
        return self.forms(word[1:])[3:] if word.startswith("^") else (word,)


def pattern_of(phrases: Iterable[str]) -> str:
    r"""Return the text of a pattern that finds any of the phrases as whole words.

    >>> print(pattern_of(["go on", "gone"]))
    (?<![\w'])go(?:[\s-]+on|ne)(?![\w'])
    """
    root = _Branch()
    for phrase in phrases:
        place = root
        for letter in _SPACE.sub(" ", str(phrase).strip().lower()):
            place = place.then.setdefault(letter, _Branch())
        place.ends = place is not root
    return rf"(?<![\w']){root.pattern()}{WORD_ENDS}" if root.then else r"(?!)"


def phrase_form(phrases: Iterable[str]) -> re.Pattern[str]:
    """Return a pattern that finds any of the phrases as whole words, the longest first."""
    return re.compile(pattern_of(phrases))
