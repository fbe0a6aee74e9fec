"""Words that leave the kind open, weighed by what else stands on the line."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import MEASURES, Clause
from kitreckon.reading.lexicon import ASIDE, MACHINE, Lexicon
from kitreckon.reading.tokens import lengths_in

_NOSE = re.compile(r"D1-|A\d-|L0|L\d|\d.*-\d")
_TAPER = re.compile(r"MT|JT|B\d")
_SMALL_MM = 20.0
_LARGE_MM = 70.0


@dataclass(frozen=True, slots=True)
class Openings:
    """Rules: a sign on the line makes some of the open kinds likelier."""

    rules: tuple[tuple[str, frozenset[str], float], ...]  # sign, kinds, factor
    mounted: Mapping[str, tuple[tuple[str, ...], str]]  # kind: with those mounts it is another

    @classmethod
    def of(cls, rules: Mapping[str, Any], lexicon: Lexicon) -> Openings:
        """Read the signs from the rules: a word, or one of @nose @taper @series @small @large."""
        out = []
        for rule in rules.get("signs", ()):
            for sign in rule["sign"]:
                name = str(sign)
                form = name if name.startswith("@") else " ".join(lexicon.words_of(name))
                kinds = frozenset(str(kind) for kind in rule["favours"])
                out.append((form, kinds, float(rule.get("factor", 6.0))))
        mounted = {
            str(rule["kind"]): (tuple(map(str, rule["mounts"])), str(rule["gives"]))
            for rule in rules.get("with_mount", ())
        }
        return cls(tuple(out), mounted)

    def _mounted(self, mention: Mention, clause: Clause) -> Mention:
        mounts, gives = self.mounted.get(mention.target, ((), ""))
        joints = [slot.start for slot in clause.slots if slot.form == "&"]
        named = [
            str(token.value)
            for token in clause.facts
            if token.kind == "mount"
            and not any(
                min(token.start, mention.start) < at < max(token.start, mention.start)
                for at in joints
            )
        ]
        if any(name.startswith(mounts) for name in named) and mounts:
            return replace(mention, targets=((gives, 1.0),), open=False)
        return mention

    def weighed(
        self, mention: Mention, clauses: Sequence[Clause], mentions: Sequence[Mention]
    ) -> Mention:
        """Return the mention with its shares weighed anew."""
        if not mention.open:
            return self._mounted(mention, clauses[mention.clause])
        signs = _signs(mention, clauses, mentions)
        shares = dict(mention.targets)
        left = max(0.0, 1.0 - sum(shares.values()))
        for sign, kinds, factor in self.rules:
            if sign in signs and any(kind in kinds for kind in shares):
                shares = {k: s * factor if k in kinds else s for k, s in shares.items()}
        total = sum(shares.values()) + left
        ranked = sorted(((k, s / total) for k, s in shares.items()), key=lambda p: (-p[1], p[0]))
        return self._mounted(replace(mention, targets=tuple(ranked)), clauses[mention.clause])


def _signs(
    mention: Mention, clauses: Sequence[Clause], mentions: Sequence[Mention]
) -> frozenset[str]:
    signs: set[str] = set()
    if clauses[mention.clause].link == "with":  # "ER32 chuck with 9 collets"
        for token in clauses[mention.clause - 1].facts if mention.clause else ():
            if token.kind == "mount":
                signs.update(_of_mount(str(token.value)))
    for number in range(mention.clause, min(mention.clause + 3, len(clauses))):
        clause = clauses[number]
        others = (m for m in mentions if m.clause == number and not m.open)
        if number > mention.clause and any(m.target not in {MACHINE, ASIDE} for m in others):
            break
        forms = [slot.form for slot in clause.slots]
        signs.update(forms)
        signs.update(" ".join(pair) for pair in itertools.pairwise(forms))
        for token in clause.facts:
            if token.kind == "mount":
                signs.update(_of_mount(str(token.value)))
            elif token.kind in MEASURES and clause.link != "for":
                signs.update(_of_size(token.text))
    return frozenset(signs)


def _of_mount(name: str) -> list[str]:
    if _TAPER.match(name):
        return ["@taper"]
    if _NOSE.match(name):
        return ["@nose"]
    return ["@series"] if name.endswith("XA") else ["@" + name.rstrip("0123456789").lower()]


def _of_size(text: str) -> list[str]:
    sizes = [length.mm for length in lengths_in(text) if length.unit is not None]
    if not sizes:
        return []
    return ["@small"] if max(sizes) <= _SMALL_MM else ["@large"] if max(sizes) >= _LARGE_MM else []
