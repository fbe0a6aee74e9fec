"""Draw sums of uncertain prices at random, to check what is reckoned without drawing."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.stats import beta, norm

from kitreckon.reckoning.spread import Spread

GRADES = (1.5, 1.25, 1.1, 1.0, 0.5, 0.15, 0.0)
CHANCES = (0.02, 0.06, 0.15, 0.42, 0.22, 0.1, 0.03)
_LEVELS = np.linspace(-6.0, 6.0, 1201)
_SHARES = norm.cdf(_LEVELS)


def a_bundle(source: random.Random, count: int, not_judged: float) -> list[Spread]:
    """Return prices from a few to a few thousand, a share of them spread over seven grades."""
    spreads = []
    for _ in range(count):
        typical = math.exp(source.gauss(4.0, 1.1))
        low, high = typical * source.uniform(0.3, 0.95), typical * source.uniform(1.05, 3.0)
        if source.random() < not_judged:
            parts = zip(CHANCES, GRADES, strict=True)
            spreads.append(
                Spread.mixture(tuple((c, low * s, typical * s, high * s) for c, s in parts))
            )
        else:
            spreads.append(Spread.pert(low, typical, high))
    return spreads


def draw_sums(
    spreads: Sequence[Spread], rank_correlation: float, draws: int, seed: int
) -> NDArray[np.float64]:
    """Return sums drawn with one common normal factor, grades drawn apart for each price."""
    rng = np.random.default_rng(seed)
    r = 2.0 * math.sin(math.pi * rank_correlation / 6.0)
    level, total = rng.standard_normal(draws), np.zeros(draws)
    for spread in spreads:
        own = rng.standard_normal(draws)
        z = math.sqrt(r) * level + math.sqrt(max(1.0 - r, 0.0)) * own
        weights = np.array([part[0] for part in spread.parts])
        grade = rng.choice(len(weights), size=draws, p=weights / weights.sum())
        for place, (_, low, typical, high) in enumerate(spread.parts):
            mask = grade == place
            if high == low:
                total[mask] += low
            else:
                shape = (typical - low) / (high - low)
                total[mask] += low + (high - low) * np.interp(z[mask], _LEVELS, _quantiles(shape))
    return total


@cache
def _quantiles(shape: float) -> NDArray[np.float64]:
    return np.asarray(beta.ppf(_SHARES, 1.0 + 4.0 * shape, 5.0 - 4.0 * shape))


def worst_error(found: Sequence[float], sums: NDArray[np.float64]) -> float:
    """Return the greatest error of P10, P50 and P90, as a share of the drawn P50."""
    drawn = np.quantile(sums, (0.1, 0.5, 0.9))
    return float(max(abs(f - d) for f, d in zip(found, drawn, strict=True)) / drawn[1])
