"""One counted line by itself, and what one unit of it is worth where it is used.

Figures are minor units of the user's money for one unit of the line, as three points for each
grade the line may have; a judged line has one grade.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from kitreckon.catalogue.model import Kind, PriceTable, Want
from kitreckon.count import Condition, Piece
from kitreckon.fitting.model import Fit
from kitreckon.reasons import Reason
from kitreckon.reckoning.condition import Grades
from kitreckon.reckoning.figures import Triple, added


@dataclass(frozen=True, slots=True)
class Line:
    """A counted line as it stands by itself.

    units: how many wanted units it could cover. part: for each grade its chance, the grade and
    the part-out net of one unit, sold as it is. repair: what putting all of the line right
    costs; each unit bears its share. blocked: why it covers nothing, None when it may.
    """

    piece: Piece
    fit: Fit | None
    kind: Kind
    table: PriceTable | None
    grades: Grades
    units: int
    per_unit: float  # price of one unit as sold, times this
    fit_chance: float
    size_mm: float | None  # as priced; the usual one where it is not known
    own_mm: float | None  # of the piece itself, None when not known
    used: Triple | None  # good condition, one unit of the line
    singles: float  # mean gross price of the whole line, sold singly
    part: tuple[tuple[float, Condition, Triple], ...]
    part_mean: int
    adapters: tuple[tuple[str, Triple], ...]  # to buy for the line: its units take turns
    beside: Triple  # what a bought one would need besides; none where that is counted by itself
    repair: int
    blocked: Reason | None
    reasons: tuple[Reason, ...]

    @property
    def own(self) -> frozenset[str]:
        """The kinds of adapters that are in it already."""
        return frozenset(self.fit.own) if self.fit is not None else frozenset()

    def repair_share(self, units: int, before: int = 0) -> int:
        """Return what putting some units right costs, when so many are put right already."""
        count = max(self.units, 1)
        return self.repair * (before + units) // count - self.repair * before // count


@dataclass(frozen=True, slots=True)
class UnitWorth:
    """What one unit is worth on one want: a mixture of three points, and its mean."""

    parts: tuple[tuple[float, float, float, float], ...]
    mean: int

    def less(self, amount: int) -> UnitWorth:
        """Return the worth less a certain cost."""
        return UnitWorth(
            tuple((w, *added((a, m, b), (amount,) * 3, -1.0)) for w, a, m, b in self.parts),
            self.mean - amount,
        )


def is_meant(line: Line, want: Want) -> bool:
    """Return False for a thing without a kind whose words share none with the want's label."""
    if line.kind.id != "other":
        return True
    said = _words(f"{line.piece.text} {line.piece.note}")
    return bool(said & _words(want.label or want.id))


def _words(text: str) -> frozenset[str]:
    return frozenset(word.rstrip("s") for word in re.findall(r"[a-z]{3,}", text.lower()))
