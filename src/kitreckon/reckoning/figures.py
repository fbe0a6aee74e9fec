"""Three figures at a time: the low, typical and high of an amount, in minor units."""

from __future__ import annotations

from kitreckon.quantities import Money, Range

Triple = tuple[float, float, float]
ZERO: Triple = (0.0, 0.0, 0.0)


def scaled(figures: Triple, factor: float) -> Triple:
    """Return three figures times a factor."""
    return figures[0] * factor, figures[1] * factor, figures[2] * factor


def added(first: Triple, second: Triple, sign: float = 1.0) -> Triple:
    """Return the sum of three figures and three more; with sign -1 what is left, 0 at least."""
    low = max(first[0] + sign * second[0], 0.0)
    typical = max(first[1] + sign * second[1], low)
    return low, typical, max(first[2] + sign * second[2], typical)


def highest(first: Triple, second: Triple) -> Triple:
    """Return the greater of two, figure by figure."""
    return max(first[0], second[0]), max(first[1], second[1]), max(first[2], second[2])


def summed(*triples: Triple) -> Triple:
    """Return the sum of any number of three figures."""
    low, typical, high = (sum(figures) for figures in zip(*triples, strict=True))
    return low, typical, high


def range_of(figures: Triple, currency: str) -> Range[Money]:
    """Return three figures as money, in order after rounding."""
    low, typical, high = (Money.rounded(figure, currency) for figure in figures)
    return Range(low, typical, high)
