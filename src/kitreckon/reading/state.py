"""What state a thing is said to be in: condition, danger, missing parts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from kitreckon.catalogue.model import Kind
from kitreckon.reading.phrases import Either, Followed, Phrases, Search, Tail, past_spaces

_UNSAID = re.compile(r"(?:\bnot|\bnever|n't|\bnor|\bhardly|\bbarely)\s+(?:too\s|very\s|at all\s)?$")
_NO_LONGER_NEW = re.compile(r"(?<=never used) (?:hard|much|heavily|daily|often|for|since)\b")
_SPACE = re.compile(r"[\s-]+")
_WORDS_OF_DENIAL = 3  # between what denies a danger and the danger


@dataclass(frozen=True, slots=True)
class States:
    """The phrases of the rules that tell a state."""

    conditions: Phrases
    condition_of: Mapping[str, str]
    unsafe: Phrases
    wheels: Phrases  # what a grinding wheel is called
    unsafe_wheel: Phrases  # what makes one a danger
    no_danger: Search  # "no visible cracks"
    missing: Phrases
    part_gone: Phrases
    backs: Mapping[str, Phrases]

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> States:
        """Make them from the rules."""
        table = {
            _plain(word): condition
            for condition, words in (rules.get("conditions") or {}).items()
            for word in words
        }
        return cls(
            Phrases(table),
            table,
            Phrases(rules.get("unsafe", ())),
            Phrases(rules.get("wheels", ())),
            Phrases(rules.get("unsafe_wheel", ())),
            _denied_danger(rules),
            Phrases(rules.get("missing_parts", ())),
            Phrases(rules.get("parts_gone", ())),
            {str(name): Phrases(words) for name, words in (rules.get("backs") or {}).items()},
        )

    def condition(self, text: str) -> str | None:
        """Return the condition a text tells, the worst where it tells several."""
        order = ("new", "excellent", "very-good", "good", "fair", "poor", "scrap")
        said = [
            self.condition_of[_plain(text[m.start() : m.end()])]
            for m in self.conditions.finditer(text)
            if not _UNSAID.search(text, 0, m.start()) and not _NO_LONGER_NEW.match(text, m.end())
        ]
        return max(said, key=order.index) if said else None

    def tells(self, before: str, after: str) -> bool:
        """Whether a state is said right before or right after a name: "worn", "jaws", "missing"."""
        nexts = after.lstrip()
        behind = any(
            next(form.starting(nexts, 0), None) is not None
            for form in (self.conditions, self.part_gone)
        )
        ahead = [m for m in self.conditions.finditer(before) if m.end() == len(before.rstrip())]
        return behind or bool(ahead)

    def back(self, text: str) -> Literal["plain", "backplate", "direct"] | None:
        """Return how a chuck is said to be held, None where nothing is said."""
        if "mount" not in text and "back" not in text:
            return None
        names: tuple[Literal["plain", "backplate", "direct"], ...] = (
            "plain",
            "backplate",
            "direct",
        )
        for name in names:
            if name in self.backs and self.backs[name].search(text):
                return name
        return None

    def danger(self, text: str) -> str:
        """Return the word of danger in a text ("cracked"), or ""."""
        text = self.no_danger.masked(text)
        match = self.unsafe.search(text)
        if match is None and self.wheels.search(text):
            match = self.unsafe_wheel.search(text)
        return text[match.start() : match.end()] if match else ""

    def part_missing(self, kind: Kind, text: str) -> str | None:
        """Return the id of the kind's part that a text says is missing, None where none is."""
        return missing_part(kind, text, self.missing, self.part_gone)


def _denied_danger(rules: Mapping[str, Any]) -> Search:
    """Return the form of a danger that is denied, and of nothing beside it.

    Only words that belong to the denial may stand between, so that "no wear, body cracked" and
    "no play body cracked" stay dangers.
    """
    denials, safe = Phrases(rules.get("no_danger", ())), Phrases(rules.get("sound", ()))
    between, dangers = Phrases(rules.get("no_danger_of", ())), Phrases(rules.get("unsafe", ()))
    return Either(Followed(denials, _danger_after(between, dangers)), safe)


def _danger_after(between: Phrases, dangers: Phrases) -> Tail:
    """Return a tail of a danger with at most a few words of denial before it."""

    def tail(text: str, at: int) -> int | None:
        place = past_spaces(text, at)
        for _ in range(_WORDS_OF_DENIAL + 1):
            if place is None:
                return None
            danger = next(dangers.starting(text, place), None)
            if danger is not None:
                return danger
            word = next(between.starting(text, place), None)
            place = past_spaces(text, word) if word is not None else None
        return None

    return tail


def _plain(text: str) -> str:
    return _SPACE.sub(" ", text.strip().lower())


def missing_part(kind: Kind, text: str, missing: Search, gone: Search) -> str | None:
    """Return the id of the kind's part that a text says is missing: the longest name wins.

    ``missing`` are the words before a part, ``gone`` those after it: "outside jaws missing".
    """
    said = missing.search(text)
    if said is None or re.match(r"\s*(?:an?\s+)?\d", text[said.end() :]):
        said = None  # "no 4-jaw" is another thing, no part
    after = gone.search(text)
    if said is not None:
        part = _part_in(kind, " ".join(re.findall(r"[a-z]+", text[said.end() :])[:4]))
        if part is not None:
            return part
    if after is None:
        return None
    before = re.split(r"[,;.(]", text[: after.start()].rstrip(" ,"))[-1]
    words = re.findall(r"[a-z-]+", before)
    return _part_in(kind, " ".join(words[-3:]), last=True)


def _part_in(kind: Kind, words: str, *, last: bool = False) -> str | None:
    ends = r"(?: is| are| was| were)?$" if last else r"\b"
    named = [
        (len(name), part.id)
        for part in kind.parts
        for name in part.names
        if re.search(rf"\b{re.escape(name.lower())}s?{ends}", words)
    ]
    return max(named)[1] if named else None
