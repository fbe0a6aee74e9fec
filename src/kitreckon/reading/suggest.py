"""Kinds suggested while a name is typed: words in any order, the last one unfinished."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitreckon.catalogue.model import Kind
from kitreckon.quantities import clean_text
from kitreckon.reading.lexicon import Lexicon
from kitreckon.reading.model import Likely
from kitreckon.reading.number_words import JAWS
from kitreckon.reading.tokens import fold

TEXT_LIMIT = 80
_WORDS = re.compile(r"\d+|[^\W\d_]+")
_STEM = 3  # letters of a word's beginning that are indexed
_MOST = 400  # names looked at for one text


@dataclass(frozen=True, slots=True)
class _Name:
    kind: str
    words: tuple[str, ...]
    text: str
    rank: float  # first name before other names before further words
    first: bool = False


class Suggestions:
    """Every name and word of every kind, by the beginnings of its words."""

    def __init__(
        self, kinds: Mapping[str, Kind], rules: Mapping[str, Any], lexicon: Lexicon
    ) -> None:
        self._lexicon = lexicon
        usual = [str(kind) for kind in rules.get("usual", ())]
        self._liking = {
            kind.id: 0.15 * kind.common
            + (0.5 * (1 - usual.index(kind.id) / len(usual)) if kind.id in usual else 0.0)
            for kind in kinds.values()
        }
        self._by_stem: dict[str, list[_Name]] = {}
        written = rules.get("written") or {}
        best: dict[tuple[str, tuple[str, ...]], _Name] = {}
        for kind in kinds.values():
            for name in _names(kind, written.get(kind.id, ())):
                known = best.get((name.kind, name.words))
                if known is None or known.rank < name.rank:
                    best[name.kind, name.words] = name
        for name in best.values():
            self._index(name)

    def _index(self, name: _Name) -> None:
        stems = {word[:size] for word in name.words for size in range(1, _STEM + 1)}
        for stem in stems:
            self._by_stem.setdefault(stem, []).append(name)

    def likely(self, text: str, limit: int, prefer: Sequence[str]) -> tuple[Likely, ...]:
        """Return the likeliest kinds first, at most ``limit``."""
        typed = _words(text)
        if not typed or limit <= 0:
            return ()
        scores = self._scores(typed, frozenset(prefer))
        if not scores:
            right = [self._put_right(word) for word in typed]
            scores = self._scores([part for word in right for part in word], frozenset(prefer))
        ranked = sorted(scores.items(), key=lambda pair: (-pair[1], pair[0]))[:limit]
        total = sum(4.0**score for _, score in scores.items()) or 1.0
        return tuple(Likely(kind, round(4.0**score / total, 4)) for kind, score in ranked)

    def _put_right(self, word: str) -> tuple[str, ...]:
        return self._lexicon.word(word).forms

    def _scores(self, typed: Sequence[str], prefer: frozenset[str]) -> dict[str, float]:
        longest = max(typed, key=len)
        scores: dict[str, float] = {}
        for name in self._by_stem.get(longest[:_STEM], ())[:_MOST]:
            score = _score(typed, name)
            if score is None:
                continue
            score += self._liking[name.kind] + 0.6 * (name.kind in prefer)
            if score > scores.get(name.kind, -1.0):
                scores[name.kind] = score
        return scores


def _score(typed: Sequence[str], name: _Name) -> float | None:
    """Return how well a name takes up what was typed, None where a word has no place in it."""
    left = list(name.words)
    score = name.rank
    for place, word in enumerate(typed):
        match = next((w for w in left if w == word), None) or next(
            (w for w in left if w.startswith(word)), None
        )
        if match is None:
            return None
        score += 0.3 if name.words.index(match) == place else 0.0
        score += 0.2 if match == word else 0.0
        left.remove(match)
    if name.first and name.text.startswith("".join(typed)):
        score += 0.35
    left_over = len(name.text) - sum(map(len, typed))
    return score + (0.6 if left_over <= 0 else 0.0)


def _names(kind: Kind, written: Iterable[str]) -> Iterable[_Name]:
    for names in (kind.british, kind.american):
        for place, name in enumerate(names):
            yield from _forms(kind.id, name, 0.6 if place == 0 else 0.45, first=place == 0)
    for word in kind.words:
        yield from _forms(kind.id, word, 0.2)
    for word in written:
        yield from _forms(kind.id, word, 0.1)
    for _, foreign in kind.foreign:
        for name in foreign:
            yield from _forms(kind.id, name, 0.3)


def _forms(kind: str, text: str, rank: float, *, first: bool = False) -> Iterable[_Name]:
    words = tuple(_words(text))
    if words:
        yield _Name(kind, words, "".join(words), rank, first)
        if len(words) > 1 and words[0].isalpha() and words[1].isalpha():
            joined = (words[0] + words[1], *words[2:])  # tool post, toolpost
            yield _Name(kind, joined, "".join(words), rank - 0.1)


def _words(text: str) -> list[str]:
    low = fold(clean_text(text, TEXT_LIMIT)).lower()
    return [JAWS.get(word, word) for word in _WORDS.findall(low)]
