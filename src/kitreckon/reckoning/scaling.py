"""Prices at another size and another year: power laws through the points, and price levels."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from kitreckon.catalogue.model import PricePoint, PriceTable, SupplyName
from kitreckon.count import Preferences
from kitreckon.errors import KitreckonError
from kitreckon.reckoning.spread import check_three_points


def scale_by_size(amount: float, size: float, to_size: float, exponent: float) -> float:
    """Return a price at another size: amount x (to_size / size) ^ exponent.

    Sizes in one unit, both above 0. Published: 50,000 at 1,000 ft2, exponent 0.55, to 2,500 ft2.

    >>> round(scale_by_size(50_000, 1_000, 2_500, 0.55))
    82763
    """
    if not (size > 0.0 and to_size > 0.0):
        raise KitreckonError("a size must be above 0", where="size", want="a length such as 8in")
    return amount * math.exp(exponent * math.log(to_size / size))


def scale_by_index(amount: float, index: float, to_index: float) -> float:
    """Return a price at another year's price level: amount x to_index / index.

    >>> round(scale_by_index(160_000, 187, 194))
    165989
    """
    if not (index > 0.0 and to_index > 0.0):
        raise KitreckonError("a price level must be above 0", where="index", want="such as 1.08")
    return amount * to_index / index


def size_exponent(points: Sequence[tuple[float, float]]) -> float | None:
    """Return the slope of log price over log size by least squares; None for one size alone.

    points: (size, price), all above 0. Two points give ln(c2 / c1) / ln(s2 / s1).

    >>> round(size_exponent([(1.0, 100.0), (2.0, 100.0 * 2**0.6)]), 6)
    0.6
    """
    logs = [(math.log(size), math.log(price)) for size, price in points]
    centre = sum(x for x, _ in logs) / len(logs) if logs else 0.0
    spread = sum((x - centre) ** 2 for x, _ in logs)
    if spread < 1e-12:
        return None
    return sum((x - centre) * y for x, y in logs) / spread


def year_factor(year: int, preferences: Preferences) -> float:
    """Return what brings a price of a year to today's level.

    With a list of yearly levels: the newest level over that year's, between years by equal
    ratios, before the first year its level. Without one: the single index, which stands for the
    catalogue's year whatever the year of the price.
    """
    levels = sorted(preferences.year_indexes)
    if any(not level > 0.0 for _, level in levels) or not preferences.index > 0.0:
        raise KitreckonError("a price level must be above 0", where="index", want="such as 1.08")
    if not levels:
        return preferences.index
    return scale_by_index(1.0, _level(year, levels), levels[-1][1])


def _level(year: int, levels: list[tuple[int, float]]) -> float:
    if year <= levels[0][0]:
        return levels[0][1]
    for (before, low), (after, high) in pairwise(levels):
        if before <= year <= after:
            across = (year - before) / (after - before)
            return math.exp(math.log(low) + across * math.log(high / low))
    return levels[-1][1]


def points_of(table: PriceTable, supply: SupplyName) -> list[PricePoint]:
    """Return the newest point of each size from one supply, published before estimated."""
    best: dict[float | None, PricePoint] = {}
    for point in table.points:
        if point.supply != supply or point.compare_only:
            continue
        check_three_points(point.low, point.typical, point.high, f"price of {table.kind}")
        other = best.get(point.size_mm)
        if other is None or _rank(point) > _rank(other):
            best[point.size_mm] = point
    return sorted(best.values(), key=lambda point: point.size_mm or 0.0)


def _rank(point: PricePoint) -> tuple[int, bool]:
    return point.year, point.basis == "published"


def exponent_of(
    table: PriceTable, supply: SupplyName, points: Sequence[PricePoint]
) -> float | None:
    """Return the exponent the table states for a supply, else the one its points give."""
    stated = dict(table.exponents)
    if supply in stated:
        return stated[supply]
    sized = [(p.size_mm, p.typical) for p in points if p.size_mm and p.typical > 0.0]
    fitted = size_exponent(sized)
    if fitted is not None:
        return fitted
    return next(iter(stated.values()), None)


def price_at_size(
    table: PriceTable,
    supply: SupplyName,
    points: list[PricePoint],
    size: float | None,
    reach: float,
) -> tuple[PricePoint, tuple[float, float, float] | None]:
    """Return the point nearest in size, and three prices at the size; None when refused.

    Refused are sizes more than ``reach`` times beyond those of the points, either way.
    """
    sized = [point for point in points if point.size_mm is not None]
    if size is None or not sized:
        plain = [point for point in points if point.size_mm is None] or points
        point = plain[len(plain) // 2]
        return point, (point.low, point.typical, point.high)
    sizes = [point.size_mm or 0.0 for point in sized]
    if not sizes[0] / reach * 0.999 <= size <= sizes[-1] * reach * 1.001:
        return sized[0], None
    if len(sized) > 1 and sizes[0] < size < sizes[-1]:
        return _between_sizes(sized, size)
    end = sized[0] if size <= sizes[0] else sized[-1]
    at = end.size_mm or size
    if math.isclose(at, size, rel_tol=1e-3):
        return end, (end.low, end.typical, end.high)
    exponent = exponent_of(table, supply, sized)
    if exponent is None:
        return end, None
    factor = scale_by_size(1.0, at, size, exponent)
    return end, (end.low * factor, end.typical * factor, end.high * factor)


def _between_sizes(
    sized: list[PricePoint], size: float
) -> tuple[PricePoint, tuple[float, float, float]]:
    """Go by a power law from point to point; low and high keep their ratio to typical."""
    above = next(k for k, point in enumerate(sized) if (point.size_mm or 0.0) >= size)
    first, second = sized[above - 1], sized[above]
    a, b = first.size_mm or size, second.size_mm or size
    across = math.log(size / a) / math.log(b / a)
    nearest = second if across >= 0.5 else first
    if min(first.typical, second.typical) <= 0.0:
        return nearest, (nearest.low, nearest.typical, nearest.high)
    typical = first.typical * (second.typical / first.typical) ** across
    low, high = (
        (1.0 - across) * p / first.typical + across * q / second.typical
        for p, q in ((first.low, second.low), (first.high, second.high))
    )
    return nearest, (typical * low, typical, typical * high)
