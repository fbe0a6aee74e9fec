"""Stock codes: the shapes of dealers' and standards' part numbers, and what they say."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import Clause, mount_form
from kitreckon.reading.lexicon import NOTHING
from kitreckon.reading.tokens import Code, Token


@dataclass(frozen=True, slots=True)
class Codes:
    """All shapes in one pattern; group ``c3`` is the fourth shape."""

    form: re.Pattern[str] | None
    known: tuple[tuple[str, bool], ...]  # kind, weak: words on the line overrule it
    generic: frozenset[str]  # kinds that a strong code goes before
    mounts: tuple[tuple[re.Pattern[str], str], ...]  # "/d4" after a code, and its mount
    joined: Mapping[tuple[str, str], str]  # two sorts of mounts, and what joins them

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> Codes:
        """Read the shapes from the rules."""
        table = rules.get("codes", ())
        shapes = [
            rf"(?P<c{index}>(?<![a-z0-9]){rule['shape']})(?![a-z0-9])"
            for index, rule in enumerate(table)
        ]
        known = tuple((str(rule["kind"]), str(rule.get("weak", "no")) == "yes") for rule in table)
        mounts = tuple(
            (re.compile(str(rule["shape"])), str(rule["gives"]))
            for rule in rules.get("mount_codes", ())
        )
        generic = frozenset(str(kind) for kind in rules.get("generic", ()))
        joined = {
            (str(rule["mounts"][0]), str(rule["mounts"][1])): str(rule["gives"])
            for rule in rules.get("mount_pairs", ())
        }
        return cls(re.compile("|".join(shapes)) if shapes else None, known, generic, mounts, joined)

    def find(self, low: str) -> list[Token]:
        """Return the stock codes in a small-letter text."""
        if self.form is None:
            return []
        found = []
        for match in self.form.finditer(low):
            index = int(str(match.lastgroup)[1:])
            kind, weak = self.known[index]
            place = match.re.groupindex[f"c{index}"]
            digits = match.group(place + 1) if place < match.re.groups else None
            inner = match.re.groupindex.get(f"c{index + 1}", match.re.groups + 1)
            size = int(digits) if inner > place + 1 and digits and digits.isdigit() else None
            code = Code(kind, weak, size if size and 3 <= size <= 999 else None)
            found.append(Token("code", match[0], match.start(), match.end(), code))
        if found:
            found.extend(self._mounts(low, found))
        return sorted(found, key=lambda token: token.start)

    def _mounts(self, low: str, codes: Sequence[Token]) -> list[Token]:
        out = []
        for form, gives in self.mounts:
            for match in form.finditer(low):
                if not any(c.start < match.end() and match.start() < c.end for c in codes):
                    name = gives.format(*match.groups())
                    out.append(Token("mount", match[0], match.start(), match.end(), name))
        return out

    def pairs(self, clauses: Sequence[Clause]) -> list[Mention]:
        """Return what two mounts alone name: "MT3 to JT33" is an arbor."""
        found = [
            (token, number)
            for number, clause in enumerate(clauses)
            for token in clause.facts
            if token.kind == "mount" and mount_form(str(token.value))
        ]
        for (one, number), (other, _) in itertools.pairwise(found):
            pair = (mount_form(str(one.value)), mount_form(str(other.value)))
            kind = self.joined.get(pair) or self.joined.get(pair[::-1])
            if kind is not None:
                return [
                    Mention(
                        ((kind, 0.7),), [], number, one.start, other.end, 0, 0,
                        open=True, strength=4.0, words=2,
                    )
                ]  # fmt: skip
        return []

    def mentions(self, clauses: Sequence[Clause], mentions: list[Mention]) -> list[Mention]:
        """Return what the codes name, where words do not already say it.

        A word for just any tool yields to a code that tells which.
        """
        out: list[Mention] = []
        for number, clause in enumerate(clauses):
            for token in clause.facts:
                code = token.value
                if not isinstance(code, Code):
                    continue
                rivals = [m for m in mentions if m.target not in NOTHING and not m.open]
                if not code.weak:
                    vague = [m for m in rivals if m.target in self.generic]
                    for mention in vague:
                        mentions.remove(mention)
                if (code.weak and rivals) or any(m.target == code.kind for m in mentions):
                    continue
                out.append(
                    Mention(
                        ((code.kind, 1.0),), [], number, token.start, token.end, 0, 0,
                        strength=6.0, words=2,
                    )
                )  # fmt: skip
        return out
