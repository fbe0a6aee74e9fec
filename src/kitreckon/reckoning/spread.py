"""A price that is not known exactly: a Beta-PERT law, or a mixture of several."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from kitreckon.errors import KitreckonError
from kitreckon.reckoning import pert

Part = tuple[float, float, float, float]  # weight, low, typical, high
MOST_MAJOR = 1e7  # a price above this many major units is taken for a slip


@dataclass(frozen=True, slots=True)
class Spread:
    """A mixture of three-point parts whose weights sum to 1.

    Within a part the amount rises from low to high with the price level; a part whose low is
    above its high falls with it, as a cost does that is taken off. low == high is certain.
    """

    parts: tuple[Part, ...]

    @classmethod
    def certain(cls, amount: float) -> Spread:
        """Return an amount that is known."""
        return cls(((1.0, amount, amount, amount),))

    @classmethod
    def pert(cls, low: float, typical: float, high: float) -> Spread:
        """Return a three-point price; raises KitreckonError unless low <= typical <= high."""
        check_three_points(low, typical, high, "price", most=1000.0 * MOST_MAJOR)
        return cls(((1.0, low, typical, high),))

    @classmethod
    def mixture(cls, parts: tuple[Part, ...]) -> Spread:
        """Return a mixture, with equal parts put together and weightless ones left out."""
        weights: dict[tuple[float, float, float], float] = {}
        for weight, low, typical, high in parts:
            if weight > 0.0:
                key = (low, typical, high)
                weights[key] = weights.get(key, 0.0) + weight
        return cls(tuple((weight, *key) for key, weight in weights.items()))

    @property
    def mean(self) -> float:
        """The expected amount: each part's (low + 4 typical + high) / 6, by weight."""
        return sum(w * pert.mean_of(low, typical, high) for w, low, typical, high in self.parts)

    @property
    def sd(self) -> float:
        """The standard deviation of the law itself, between the parts and within them."""
        mean, square = self.mean, 0.0
        for weight, low, typical, high in self.parts:
            centre = pert.mean_of(low, typical, high)
            square += weight * ((centre - mean) ** 2 + pert.deviation(low, typical, high) ** 2)
        return math.sqrt(square)

    def scaled(self, factor: float) -> Spread:
        """Return the spread of ``factor`` times the amount; the factor may be negative."""
        return Spread(tuple((w, a * factor, m * factor, b * factor) for w, a, m, b in self.parts))

    def share_below(self, amount: float) -> float:
        """Return the chance that it is at most ``amount``."""
        return sum(part[0] * _share_below(part, amount) for part in self.parts)

    def quantile(self, share: float) -> float:
        """Return the amount that is not exceeded with this chance, 0 < share < 1."""
        if len(self.parts) == 1:
            _, low, typical, high = self.parts[0]
            turned = share if high >= low else 1.0 - share
            return low + (high - low) * pert.quantile(turned, pert.shape_of(low, typical, high))
        return _mixture_quantiles(self.parts, (share,))[0]

    def bands(self) -> tuple[float, float, float]:
        """Return P10, P50 and P90."""
        if len(self.parts) == 1:
            return pert.bands(*self.parts[0][1:])
        return _mixture_bands(self.parts)


def check_three_points(
    low: float, typical: float, high: float, where: str, most: float = MOST_MAJOR
) -> None:
    """Raise KitreckonError unless 0 <= low <= typical <= high and none is absurd."""
    want = "three prices, low, typical and high, from 0 to 10,000,000"
    for figure in (low, typical, high):
        if not 0.0 <= figure <= most:  # NaN fails too
            raise KitreckonError(f"{figure:g} is not a price", where=where, want=want)
    if not low <= typical <= high:
        found = f"{low:g}, {typical:g}, {high:g} is not in order"
        raise KitreckonError(found, where=where, want=want)


def _share_below(part: Part, amount: float) -> float:
    _, low, typical, high = part
    if high == low:
        return 1.0 if amount >= low else 0.0
    share = pert.share_below((amount - low) / (high - low), pert.shape_of(low, typical, high))
    return share if high > low else 1.0 - share


@lru_cache(maxsize=8192)
def _mixture_bands(parts: tuple[Part, ...]) -> tuple[float, float, float]:
    low, middle, high = _mixture_quantiles(parts, pert.BANDS)
    return low, middle, high


def _mixture_quantiles(parts: tuple[Part, ...], shares: tuple[float, ...]) -> tuple[float, ...]:
    """Return quantiles of a mixture: bracketed between its parts' ends, then by regula falsi."""
    marks = sorted({figure for part in parts for figure in part[1:]})
    return tuple(_solve(parts, share, marks) for share in shares)


def _solve(parts: tuple[Part, ...], share: float, marks: list[float]) -> float:
    """Return the least amount whose chance of not being exceeded reaches ``share``."""

    def reached(amount: float) -> float:
        return sum(part[0] * _share_below(part, amount) for part in parts) - share

    first, last = 0, len(marks) - 1
    while last > first:
        middle = (first + last) // 2
        if reached(marks[middle]) >= 0.0:
            last = middle
        else:
            first = middle + 1
    high = marks[last]
    if last == 0:
        return high
    low = marks[last - 1]
    return _between(reached, low, high)


def _between(reached: Callable[[float], float], low: float, high: float) -> float:
    below, above = reached(low), reached(high)
    width = 1e-5 * max(abs(low), abs(high))
    for _ in range(40):
        if high - low <= width or above <= below:
            break
        guess = low + (high - low) * min(max(-below / (above - below), 0.05), 0.95)
        here = reached(guess)
        if here >= 0.0:
            high, above = guess, here
        else:
            low, below = guess, here
        if abs(here) < 1e-6:
            return guess
    return high
