"""Phrases of the rules with a verb in all its forms."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Mapping
from typing import Any

_VOWELS = "aeiou"


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
