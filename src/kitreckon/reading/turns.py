"""Words that turn the meaning: a chuck, and the key that follows it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitreckon.reading.lexicon import NOTHING, THING, Lexicon


@dataclass(frozen=True, slots=True)
class Turn:
    """A rule: a word right after a kind makes another kind of it."""

    after: frozenset[str]
    words: tuple[tuple[str, ...], ...]
    gives: str


class Turns:
    """The words that turn the meaning."""

    def __init__(self, rules: Mapping[str, Any], lexicon: Lexicon) -> None:
        self.damage = frozenset(map(str, rules.get("damage", ())))
        self._by_word: dict[str, list[Turn]] = {}
        for rule in rules.get("turns", ()):
            words = tuple(lexicon.words_of(str(word)) for word in rule["word"])
            gives = THING if rule["gives"] == "none" else str(rule["gives"])
            turn = Turn(frozenset(rule["after"]), words, gives)
            for word in {words[0] for words in turn.words if words}:
                self._by_word.setdefault(word, []).append(turn)

    def turned(
        self, kind: str, forms: Sequence[str], *, particular: bool = False
    ) -> tuple[str, int] | None:
        """Return what the kind becomes before those words, and how many of them did it.

        ``particular`` leaves out the rules that hold after any kind.
        """
        if not forms or kind in NOTHING:
            return None
        for turn in self._by_word.get(forms[0], ()):
            if kind not in turn.after and (particular or "any" not in turn.after):
                continue
            longest = max(
                (len(words) for words in turn.words if tuple(forms[: len(words)]) == words),
                default=0,
            )
            if longest:
                return turn.gives, longest
        return None
