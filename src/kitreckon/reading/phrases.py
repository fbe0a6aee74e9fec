"""Phrases sought word by word: thousands of them at the price of one look-up for each word.

A pattern of as many phrases takes a tenth of a second to make; these are made by splitting.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

_ATOM = re.compile(r"[\w']+|[^\w'\s-]")
_APART = re.compile(r"[\s-]+")
Tail = Callable[[str, int], "int | None"]


@dataclass(frozen=True, slots=True)
class Span:
    """A place in a text."""

    begin: int
    stop: int

    def start(self) -> int:
        """Return where it begins."""
        return self.begin

    def end(self) -> int:
        """Return where it ends."""
        return self.stop


@dataclass(frozen=True, slots=True)
class _Atoms:
    """The words and marks of a text, where each begins and ends."""

    words: tuple[str, ...]
    starts: tuple[int, ...]
    ends: tuple[int, ...]


@functools.lru_cache(maxsize=256)
def _atoms(text: str) -> _Atoms:
    found = list(_ATOM.finditer(text))
    return _Atoms(
        tuple(match[0] for match in found),
        tuple(match.start() for match in found),
        tuple(match.end() for match in found),
    )


class Search:
    """Finds places: every way in which each can end, longest first."""

    def every(self, text: str) -> Iterator[tuple[int, Iterator[int]]]:
        """Yield where something begins, and all the ends it may have."""
        raise NotImplementedError

    def finditer(self, text: str) -> Iterator[Span]:
        """Yield the places, the longest at each beginning, none of which overlap."""
        reached = 0
        for start, ends in self.every(text):
            end = next(ends, None) if start >= reached else None
            if end is not None:
                reached = end
                yield Span(start, end)

    def search(self, text: str) -> Span | None:
        """Return the first place."""
        return next(self.finditer(text), None)

    def masked(self, text: str) -> str:
        """Return the text with dots, as many, for what is found."""
        for span in self.finditer(text):
            text = text[: span.begin] + "." * (span.stop - span.begin) + text[span.stop :]
        return text


class Phrases(Search):
    """Finds any of some phrases as whole words, apart by spaces or hyphens."""

    def __init__(self, phrases: Iterable[str]) -> None:
        self._after: dict[str, list[tuple[tuple[str, bool], ...]]] = {}
        for phrase in dict.fromkeys(_APART.sub(" ", str(one).strip().lower()) for one in phrases):
            atoms = [
                (atom, place > 0)
                for part in phrase.split(" ")
                for place, atom in enumerate(_ATOM.findall(part))
            ]
            if atoms:
                self._after.setdefault(atoms[0][0], []).append(tuple(atoms[1:]))
        for rests in self._after.values():
            rests.sort(key=lambda rest: -sum(len(word) + 1 for word, _ in rest))

    def every(self, text: str) -> Iterator[tuple[int, Iterator[int]]]:
        """Yield where a phrase begins, and the ends of all that begin there."""
        atoms = _atoms(text)
        for place, word in enumerate(atoms.words):
            if word in self._after:
                yield atoms.starts[place], self._ends(text, atoms, place)

    def starting(self, text: str, at: int) -> Iterator[int]:
        """Yield the ends of the phrases that begin right there."""
        atoms = _atoms(text)
        if at in atoms.starts:
            place = atoms.starts.index(at)
            yield from self._ends(text, atoms, place)

    def _ends(self, text: str, atoms: _Atoms, place: int) -> Iterator[int]:
        for rest in self._after.get(atoms.words[place], ()):
            last = place + len(rest)
            if last < len(atoms.words) and all(
                atoms.words[place + step] == word
                and (atoms.starts[place + step] == atoms.ends[place + step - 1]) == glued
                for step, (word, glued) in enumerate(rest, 1)
            ):
                yield atoms.ends[last]


class Followed(Search):
    """Finds a phrase that something follows: a tail tells where that ends, None where it fails."""

    def __init__(self, first: Search, tail: Tail) -> None:
        self._first = first
        self._tail = tail

    def every(self, text: str) -> Iterator[tuple[int, Iterator[int]]]:
        """Yield where such a phrase begins, and where its tails end."""
        for start, ends in self._first.every(text):
            yield start, (stop for end in ends if (stop := self._tail(text, end)) is not None)


class Either(Search):
    """Finds whatever any of some forms finds."""

    def __init__(self, *forms: Search | re.Pattern[str]) -> None:
        self._forms = forms

    def every(self, text: str) -> Iterator[tuple[int, Iterator[int]]]:
        """Yield the places of all the forms in order, the longest first where they begin alike."""
        spans = {(m.start(), m.end()) for form in self._forms for m in form.finditer(text)}
        for start, end in sorted(spans, key=lambda span: (span[0], -span[1])):
            yield start, iter((end,))


def by(pattern: str) -> Tail:
    """Return a tail that is a pattern."""
    form = re.compile(pattern)

    def tail(text: str, at: int) -> int | None:
        match = form.match(text, at)
        return match.end() if match is not None else None

    return tail


def within(most: int, few: re.Pattern[str], then: Phrases, joint: re.Pattern[str]) -> Tail:
    """Return a tail of some spaces, a few words, a joint, and one of the phrases."""

    def tail(text: str, at: int) -> int | None:
        place = past_spaces(text, at)
        for _ in range(most + 1):
            if place is None:
                return None
            joined = joint.match(text, place)
            end = next(then.starting(text, joined.end()), None) if joined is not None else None
            if end is not None:
                return end
            word = few.match(text, place)
            place = word.end() if word is not None else None
        return None

    return tail


def past_spaces(text: str, at: int) -> int | None:
    """Return where the spaces there end, None where there are none."""
    place = at
    while place < len(text) and text[place].isspace():
        place += 1
    return place if place > at else None
