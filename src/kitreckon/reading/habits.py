"""Which kinds are sized, counted and mounted how: the trade's habits, from the rules."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Habits:
    """Which kinds are sized how, from the rules."""

    upper_end: frozenset[str]  # a range means the largest it takes
    largest: frozenset[str]  # of several dimensions the largest
    sets: frozenset[str]  # sold in sets: a range of sizes is no size
    none: frozenset[str]  # a length beside these is no size of theirs
    chucks: frozenset[str]  # a bare number between hyphens is a size
    shanks: frozenset[str]  # "16 x 16" is a shank in millimetres
    metric_codes: frozenset[str]  # bare numbers in parentheses are millimetres
    threads: frozenset[str]  # a metric thread is their size
    diameters: frozenset[str]  # "D12" is their size
    morse: frozenset[str]  # a bare number of these is a Morse taper
    spanned: frozenset[str]  # "0-1" is the span they measure, inches if small
    counted: frozenset[str]  # "5/16 x 10" is ten of them
    outer: frozenset[str]  # the larger of two tapers goes into the machine
    jacobs: frozenset[str]  # 33 and 34 are the numbers of their tapers
    models: frozenset[str]  # "BS-2" is a model of these, no taper
    unmounted: frozenset[str]  # what looks like a mount beside these is none of theirs
    threaded: frozenset[str]  # a thread beside these is the nose they screw on
    number_nouns: frozenset[str]  # "4 position", "60 degree": no count

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> Habits:
        """Read the habits from the rules."""
        table = rules.get("sizes") or {}

        def kinds(name: str) -> frozenset[str]:
            return frozenset(str(kind) for kind in table.get(name, ()))

        return cls(
            kinds("upper_end"),
            kinds("largest"),
            kinds("sets"),
            kinds("none"),
            kinds("bare_numbers"),
            kinds("shanks"),
            kinds("bare_millimetres"),
            kinds("threads"),
            kinds("diameters"),
            kinds("morse"),
            kinds("spanned"),
            kinds("counted"),
            kinds("outer"),
            kinds("jacobs"),
            kinds("models"),
            kinds("unmounted"),
            kinds("threaded"),
            kinds("number_nouns"),
        )
