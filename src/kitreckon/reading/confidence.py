"""How sure a reading is: a few signs weighed together, and the bar for taking it unasked."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any


@dataclass(slots=True)
class Signs:
    """What speaks for and against a reading; each a plain number."""

    share: float = 1.0  # of the likeliest kind among those its words may mean
    words: int = 1  # words of the phrase
    strength: float = 0.0  # how telling they are
    slips: int = 0  # letters put right
    loose: int = 0  # words out of order, or left out
    trailing: int = 0  # words not understood right after it
    strange: int = 0  # words not understood before it
    aside: int = 0  # stands after "with", "for", "from", not at the head of the line
    turned: int = 0  # a following word turned its meaning
    modified: int = 0  # another kind's name right before it
    thing: int = 0  # something that is no accessory is named too
    others: int = 0  # other kinds named on the line
    length: int = 0  # words of the line


DEFAULTS = {
    "bias": 1.6, "share": 0.0, "words": 0.45, "strength": 0.12, "slips": -0.5, "loose": -0.35,
    "trailing": -0.8, "strange": -0.1, "aside": -0.9, "turned": 0.3, "modified": -0.5,
    "thing": -1.0, "others": -0.1, "length": -0.03,
}  # fmt: skip
_CAPS = {"words": 4, "strength": 12, "trailing": 3, "strange": 3, "others": 3, "length": 20}
NAMES = tuple(field.name for field in fields(Signs))


@dataclass(frozen=True, slots=True)
class Scale:
    """The weights of the signs, and the bars: for a plain name, for a word that leaves it open."""

    weights: Mapping[str, float]
    bar: float = 0.8
    open_bar: float = 0.8

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> Scale:
        """Read the weights from the rules."""
        table = rules.get("confidence") or {}
        weights = DEFAULTS | {str(k): float(v) for k, v in (table.get("weights") or {}).items()}
        bar = float(table.get("bar", 0.8))
        return cls(weights, bar, float(table.get("open_bar", bar)))

    def takes(self, sure: float, *, is_open: bool) -> bool:
        """Whether a reading that sure is taken unasked; of an open word more is wanted."""
        return sure >= (self.open_bar if is_open else self.bar)

    def sure(self, signs: Signs) -> float:
        """Return the chance, 0 to 1, that the reading is right."""
        total = self.weights["bias"]
        for name in NAMES:
            total += self.weights[name] * min(getattr(signs, name), _CAPS.get(name, 99))
        # what stands first among open answers is right oftener than its share says
        return math.sqrt(signs.share) / (1.0 + math.exp(-total))
