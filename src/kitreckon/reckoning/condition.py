"""What state a piece is in: the grade said, the grade its readings allow, what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kitreckon.catalogue.model import Catalogue, Kind
from kitreckon.count import CONDITIONS, Condition, Piece
from kitreckon.errors import KitreckonError
from kitreckon.quantities import known_mm
from kitreckon.reasons import Reason, Term, because

WORN: frozenset[str] = frozenset({"poor", "scrap"})  # grades that cover nothing
# What is left of a piece that is not worth putting right: what others pay for one at this grade.
FOR_PARTS: Condition = "poor"
_WORST = {grade: place for place, grade in enumerate(CONDITIONS)}


@dataclass(frozen=True, slots=True)
class Grades:
    """Chances of each grade (one of 1 when judged), and what the piece has lost.

    complete: share of the value that is left with parts missing and a set short, 0 to 1.
    works: False when a part without which it does not work is missing.
    """

    chances: tuple[tuple[Condition, float], ...]
    complete: float
    works: bool
    reasons: tuple[Reason, ...] = ()

    @property
    def judged(self) -> bool:
        """Whether the grade is known."""
        return len(self.chances) == 1


def grades(piece: Piece, kind: Kind, catalogue: Catalogue) -> Grades:
    """Return the grades a piece may have. A reading never makes it better, only worse."""
    worst, reasons = grade_from_readings(piece, kind)
    chances = _chances(piece, kind, catalogue, worst)
    complete, works, missing = _parts(piece, kind)
    if piece.condition is None:
        reasons = (because("condition-not-judged"), *reasons)
    return Grades(chances, complete * _set_share(piece), works, (*reasons, *missing))


def known_grade(piece: Piece, kind: Kind) -> Condition | None:
    """Return the grade as judged, or the worse one its readings set; None: neither says."""
    worst, _ = grade_from_readings(piece, kind)
    return worst if piece.condition is None else _no_better(piece.condition, worst)


def _no_better(grade: Condition, bound: Condition | None) -> Condition:
    """Return a grade, or the bound that its readings set where that is worse."""
    return bound if bound is not None and _WORST[bound] > _WORST[grade] else grade


def grade_from_readings(piece: Piece, kind: Kind) -> tuple[Condition | None, tuple[Reason, ...]]:
    """Return the best grade the readings allow, None when they set no bound."""
    worst: Condition | None = None
    reasons: list[Reason] = []
    for reading in piece.readings:
        for check in kind.checks:
            if check.reading != reading.id:
                continue
            mm = known_mm(reading.value)
            if mm is None:
                reasons.append(because("condition-reading-no-unit", reading=reading.id))
                continue
            grade = _grade(mm, check.fair_over_mm, check.poor_over_mm)
            if grade is None:
                continue
            reasons.append(
                because(
                    "condition-reading",
                    reading=reading.id,
                    value=reading.value,
                    condition=Term("condition", grade),
                )
            )
            if worst is None or _WORST[grade] > _WORST[worst]:
                worst = grade
    return worst, tuple(reasons)


def _grade(mm: float, fair_over: float | None, poor_over: float | None) -> Condition | None:
    if poor_over is not None and mm > poor_over:
        return "poor"
    if fair_over is not None and mm > fair_over:
        return "fair"
    return None


def _chances(
    piece: Piece, kind: Kind, catalogue: Catalogue, best: Condition | None
) -> tuple[tuple[Condition, float], ...]:
    if piece.condition is not None:
        return ((_no_better(piece.condition, best), 1.0),)
    table = by_group(catalogue.chances.conditions, kind.price_group) or {"good": 1.0}
    total = sum(table.values())
    if not total > 0.0 or min(table.values()) < 0.0:
        raise KitreckonError(
            f"chances of {kind.price_group or 'any kind'} do not add up",
            where="chances",
            want="a chance from 0 to 1 for each condition",
        )
    merged: dict[Condition, float] = {}
    for grade in CONDITIONS:
        chance = table.get(grade, 0.0) / total
        if chance:
            held = _no_better(grade, best)
            merged[held] = merged.get(held, 0.0) + chance
    return tuple(merged.items())


def _parts(piece: Piece, kind: Kind) -> tuple[float, bool, tuple[Reason, ...]]:
    known = {part.id: part for part in kind.parts}
    complete, works, reasons = 1.0, True, []
    for missing in dict.fromkeys(piece.parts_missing):
        part = known.get(missing)
        if part is None:
            reasons.append(because("condition-part-not-known", part=missing))
            continue
        complete *= 1.0 - min(max(part.takes_off, 0.0), 1.0)
        works = works and part.works_without
        word = "condition-part-missing" if part.works_without else "condition-does-not-work"
        reasons.append(because(word, part=Term("part", part.id)))
    return complete, works, tuple(reasons)


def _set_share(piece: Piece) -> float:
    """Share of a set that is there."""
    if piece.set_of is None or piece.set_has is None or piece.set_of <= 0:
        return 1.0
    return min(max(piece.set_has / piece.set_of, 0.0), 1.0)


def by_group(table: Mapping[str, Mapping[str, float]], group: str) -> Mapping[str, float]:
    """Return the row of a price group, else the row for any group."""
    return table.get(group) or table.get("") or {}


def share(table: Mapping[str, Mapping[str, float]], group: str, grade: Condition) -> float:
    """Return the share of the used good price at a grade; 1 at good where no table says so."""
    row = by_group(table, group)
    value = row.get(grade)
    if value is not None:
        return max(value, 0.0)
    return 0.0 if grade in WORN else 1.0
