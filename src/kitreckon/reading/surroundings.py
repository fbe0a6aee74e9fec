"""Whether the words round a thing say that it is not there, where no phrase of the rules speaks.

People tell what is gone in more ways than phrases can foresee ("where the key went is anybody's
guess"). Each word before and after a thing speaks a little for or against its being there, by a
weight fitted on labelled texts.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from kitreckon.reading.presence_forms import Forms

THING = "THING"
_WORD = re.compile(r"[a-z]+(?:'[a-z]+)*|\d+|[.,;:()?!-]")
_BEFORE = 9  # words before a thing that count as such
_AFTER = 12
_NEAR = 3  # of which so many count by their place as well
_ABOUT = 14  # words on either side that count wherever they stand
_THEN = 6  # words of the next sentence
_SHORT = 4  # words of one that may be the answer to this
_FAR = (1, 4, 9)  # words between a thing and a phrase; what is farther off is not heard
_BEYOND = "-beyond"


@dataclass(frozen=True, slots=True)
class Place:
    """A thing in its sentence, in small letters: where it and the other things stand."""

    text: str
    start: int
    end: int
    others: tuple[tuple[int, int], ...] = ()
    then: str = ""  # the next sentence


class Surroundings:
    """Adds up what the words round a thing say."""

    def __init__(self, rules: Mapping[str, Any], forms: Forms) -> None:
        table = rules.get("absence") or {}
        self._given, self._here = forms.given, forms.here
        self._before = {
            "none_of": forms.none_of, "wants": forms.wants, "denied": forms.denied,
            "taken": forms.taken, "parted_with": forms.parted_with, "lists": forms.lists,
        }  # fmt: skip
        self._after = {
            "gone": forms.gone, "by_it": forms.by_it, "never": forms.never,
            "moved": forms.moved, "may_come": forms.may_come,
        }  # fmt: skip
        self._alike = {
            str(word): str(name)
            for name, words in (table.get("alike") or {}).items()
            for word in words
        }
        self._bias = float(table.get("bias", 0.0))
        self._bar = float(table.get("bar", 0.0))
        self._weights: dict[str, float] = {}
        for sign, weight in _weighed(table.get("weights") or {}):
            self._weights.setdefault(sign, weight)  # what a user gives stands before ours
        # a thing of an advert is asked after several times
        self.deny = functools.lru_cache(maxsize=256)(self._deny)

    def _deny(self, place: Place) -> bool:
        """Whether the words round a thing alone say clearly enough that it is not there.

        Never where a phrase of the rules stands near it: those have been judged already.
        """
        odds = self._bias + sum(self._weights.get(sign, 0.0) for sign in self.signs(place))
        return odds > self._bar and self.silent(place)

    def telling(self, place: Place, most: int = 4) -> tuple[str, ...]:
        """Return the words that speak most for the thing's not being there, the strongest first."""
        weights: dict[str, float] = {}
        for sign in self.signs(place):
            word = sign.partition(" ")[2]
            if word.isalpha() and word.islower():
                weights[word] = weights.get(word, 0.0) + self._weights.get(sign, 0.0)
        ranked = sorted(weights, key=lambda word: (-weights[word], word))
        return tuple(word for word in ranked[:most] if weights[word] > 0.0)

    def silent(self, place: Place) -> bool:
        """Whether no phrase of the rules speaks of the thing, of whether it is there or not."""
        given = self._given.search(place.text[: place.start])
        here = given or self._here.search(place.text)
        return not (here or any(map(_settled, self._phrases(place))))

    def signs(self, place: Place) -> set[str]:
        """Return the signs of a place: each a word and where it stands."""
        before, after = self._sides(place)
        near = before[::-1]
        found = {f"before {word}" for word in near[:_BEFORE]}
        found |= {f"after {word}" for word in after[:_AFTER]}
        found |= {f"before{i} {word}" for i, word in enumerate(near[:_NEAR], 1)}
        found |= {f"after{i} {word}" for i, word in enumerate(after[:_NEAR], 1)}
        found |= {f"about {word}" for word in (*near[:_ABOUT], *after[:_ABOUT])}
        then = self._words(place.then)
        found |= {f"then {word}" for word in then[:_THEN]}
        if 0 < len(then) <= _SHORT:
            found.add("then SHORT")
        found.update(self._phrases(place))
        return found

    def _sides(self, place: Place) -> tuple[list[str], list[str]]:
        sides: tuple[list[str], list[str]] = ([], [])
        at = 0
        for start, end in sorted((*place.others, (place.start, place.end))):
            if start < at:
                continue
            side = sides[0] if start <= place.start else sides[1]
            side.extend(self._words(place.text[at:start]))
            if start != place.start:
                side.append(THING)
            at = max(end, at)
        sides[1].extend(self._words(place.text[at:]))
        return sides

    def _words(self, text: str) -> list[str]:
        return [self._alike.get(word, _plain(word)) for word in _WORD.findall(text)]

    def _phrases(self, place: Place) -> Iterator[str]:
        """Yield the phrases of the rules round a thing, and how far off they stand."""
        before, after = place.text[: place.start], place.text[place.end :]
        for name, form in self._before.items():
            found = list(form.finditer(before))
            if found:
                end = found[-1].end()
                between = any(s >= end and e <= place.start for s, e in place.others)
                yield from _phrase(name, before[end:], beyond=between)
        for name, form in self._after.items():
            first = form.search(after)
            if first is not None:
                end = place.end + first.start()
                between = any(s >= place.end and e <= end for s, e in place.others)
                yield from _phrase(name, after[: first.start()], beyond=between)


def _phrase(name: str, between: str, *, beyond: bool) -> Iterator[str]:
    """Yield the sign of a phrase: which, how far off, and whether other things stand between."""
    words = len(between.split())
    if words <= _FAR[-1]:
        far = sum(words > most for most in _FAR)
        yield f"phrase {name}-{far}{_BEYOND if beyond else ''}"


def _settled(sign: str) -> bool:
    """Whether a sign is a phrase with no other thing between: the rules decide there."""
    return sign.startswith("phrase ") and not sign.endswith(_BEYOND)


def _plain(word: str) -> str:
    return "#" if word.isdigit() else word.replace("'", "")


def _weighed(table: Mapping[str, Any]) -> Iterator[tuple[str, float]]:
    """Yield the weights from their lines: "no 1.4 without 1.1" under "before"."""
    for where, lines in table.items():
        pairs = " ".join(lines).split()
        for word, weight in zip(pairs[::2], pairs[1::2], strict=True):
            yield f"{where} {word}", float(weight)
