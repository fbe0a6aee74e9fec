"""What state a thing is said to be in: condition, danger, missing parts."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from kitreckon.catalogue.model import Kind
from kitreckon.reading.phrases import pattern_of, phrase_form

_UNSAID = re.compile(r"(?:\bnot|\bnever|n't|\bnor|\bhardly|\bbarely)\s+(?:too\s|very\s|at all\s)?$")
_NO_LONGER_NEW = re.compile(r"(?<=never used) (?:hard|much|heavily|daily|often|for|since)\b")
_SPACE = re.compile(r"[\s-]+")


@dataclass(frozen=True, slots=True)
class States:
    """The patterns of the rules that tell a state."""

    conditions: re.Pattern[str]
    condition_of: Mapping[str, str]
    unsafe: re.Pattern[str]
    wheels: re.Pattern[str]  # what a grinding wheel is called
    unsafe_wheel: re.Pattern[str]  # what makes one a danger
    no_danger: re.Pattern[str]  # "no visible cracks"
    missing: re.Pattern[str]
    part_gone: re.Pattern[str]
    backs: Mapping[str, re.Pattern[str]]

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> States:
        """Make the patterns from the rules."""
        table = {
            _plain(word): condition
            for condition, words in (rules.get("conditions") or {}).items()
            for word in words
        }
        return cls(
            phrase_form(table),
            table,
            phrase_form(rules.get("unsafe", ())),
            phrase_form(rules.get("wheels", ())),
            phrase_form(rules.get("unsafe_wheel", ())),
            _denied_danger(rules),
            phrase_form(rules.get("missing_parts", ())),
            phrase_form(rules.get("parts_gone", ())),
            {str(name): phrase_form(words) for name, words in (rules.get("backs") or {}).items()},
        )

    def condition(self, text: str) -> str | None:
        """Return the condition a text tells, the worst where it tells several."""
        order = ("new", "excellent", "very-good", "good", "fair", "poor", "scrap")
        said = [
            self.condition_of[_plain(m[0])]
            for m in self.conditions.finditer(text)
            if not _UNSAID.search(text, 0, m.start()) and not _NO_LONGER_NEW.match(text, m.end())
        ]
        return max(said, key=order.index) if said else None

    def tells(self, before: str, after: str) -> bool:
        """Whether a state is said right before or right after a name: "worn", "jaws", "missing"."""
        behind = self.conditions.match(after.lstrip()) or self.part_gone.match(after.lstrip())
        ahead = [m for m in self.conditions.finditer(before) if m.end() == len(before.rstrip())]
        return bool(behind or ahead)

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
        text = self.no_danger.sub(lambda denied: "." * len(denied[0]), text)
        match = self.unsafe.search(text)
        if match is None and self.wheels.search(text):
            match = self.unsafe_wheel.search(text)
        return match[0] if match else ""

    def part_missing(self, kind: Kind, text: str) -> str | None:
        """Return the id of the kind's part that a text says is missing, None where none is."""
        return missing_part(kind, text, self.missing, self.part_gone)


def _denied_danger(rules: Mapping[str, Any]) -> re.Pattern[str]:
    """Return the pattern of a danger that is denied, and of nothing beside it.

    Only words that belong to the denial may stand between, so that "no wear, body cracked" and
    "no play body cracked" stay dangers.
    """
    denials = pattern_of(rules.get("no_danger", ()))
    between = pattern_of(rules.get("no_danger_of", ()))
    dangers = pattern_of(rules.get("unsafe", ()))
    safe = pattern_of(rules.get("sound", ()))
    return re.compile(rf"{denials}\s+(?:{between}\s+){{0,3}}{dangers}|{safe}")


def _plain(text: str) -> str:
    return _SPACE.sub(" ", text.strip().lower())


def missing_part(
    kind: Kind, text: str, missing: re.Pattern[str], gone: re.Pattern[str]
) -> str | None:
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
