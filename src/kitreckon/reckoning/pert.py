"""The Beta-PERT law on 0 to 1: its shares, quantiles and moments, tabulated once.

A three-point price low, typical, high is low + (high - low) x B, where B follows a beta law with
alpha = 1 + 4 lambda and beta = 5 - 4 lambda, lambda = (typical - low) / (high - low). The whole
family has the one shape parameter lambda, so tables over lambda serve every price. Nothing is
drawn at random.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from functools import cache
from statistics import NormalDist

SHAPES = 64  # rows of the tables: lambda = 0, 1/64, ... 1
_STEPS = 256  # of the angle theta, x = sin(theta)^2, which keeps the density finite at the ends
_LEVELS = 16  # rows per unit of z in the quantile table
_REACH = 6  # z runs from -6 to 6
_NORMAL = NormalDist()
BANDS = (0.1, 0.5, 0.9)


def mean_of(low: float, typical: float, high: float) -> float:
    """Return the mean of the law, by the planners' weights: (low + 4 typical + high) / 6.

    Published (schematex.js.org, three-point example):

    >>> mean_of(5, 8, 14)
    8.5
    """
    return (low + 4.0 * typical + high) / 6.0


def deviation(low: float, typical: float, high: float) -> float:
    """Return the standard deviation of the law itself, a little more than (high - low) / 6.

    >>> round(deviation(5, 8, 14), 3)
    1.658
    """
    if high == low:
        return 0.0
    alpha = 1.0 + 4.0 * (typical - low) / (high - low)
    return abs(high - low) * math.sqrt(alpha * (6.0 - alpha) / 252.0)


def shape_of(low: float, typical: float, high: float) -> float:
    """Return lambda, 0 to 1; a half where low and high agree."""
    return (typical - low) / (high - low) if high != low else 0.5


def density(x: float, shape: float) -> float:
    """Return the density of B at x, 0 to 1."""
    if not 0.0 < x < 1.0:
        return 0.0
    a, b = 4.0 * shape, 4.0 - 4.0 * shape
    return math.exp(a * math.log(x) + b * math.log1p(-x) + _log_scale(shape))


def _log_scale(shape: float) -> float:
    alpha = 1.0 + 4.0 * shape
    return math.lgamma(6.0) - math.lgamma(alpha) - math.lgamma(6.0 - alpha)


@cache
def _angles() -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Return logs of sine and cosine at the half steps of theta, sin^2 at the whole steps."""
    half = math.pi / 4.0 / _STEPS
    inner = range(1, 2 * _STEPS)
    sines = tuple(math.log(math.sin(k * half)) for k in inner)
    cosines = tuple(math.log(math.cos(k * half)) for k in inner)
    return sines, cosines, tuple(math.sin(2 * k * half) ** 2 for k in range(_STEPS + 1))


@cache
def _shares(row: int) -> tuple[float, ...]:
    """Return P(B <= sin(theta)^2) at the steps of theta, by Simpson's rule."""
    if 2 * row > SHAPES:
        return tuple(1.0 - share for share in reversed(_shares(SHAPES - row)))
    shape = row / SHAPES
    sines, cosines, _ = _angles()
    a, b = 1.0 + 8.0 * shape, 9.0 - 8.0 * shape
    scale = math.log(2.0) + _log_scale(shape)
    heights = [math.exp(a * s + b * c + scale) for s, c in zip(sines, cosines, strict=True)]
    heights = [0.0, *heights, 0.0]
    sixth = math.pi / 12.0 / _STEPS
    total, shares = 0.0, [0.0]
    for k in range(0, 2 * _STEPS, 2):
        total += sixth * (heights[k] + 4.0 * heights[k + 1] + heights[k + 2])
        shares.append(total)
    return tuple(share / total for share in shares)


def share_below(x: float, shape: float) -> float:
    """Return P(B <= x), within 0.001 (checked against an exact incomplete beta function).

    >>> round(share_below(0.5, 0.5), 3)
    0.5
    """
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    place = math.asin(math.sqrt(x)) * (2.0 * _STEPS / math.pi)
    step = min(int(place), _STEPS - 1)
    across = place - step
    at = shape * SHAPES
    row = min(int(at), SHAPES - 1)
    first, second = _shares(row), _shares(row + 1)
    below = first[step] + across * (first[step + 1] - first[step])
    above = second[step] + across * (second[step + 1] - second[step])
    return below + (at - row) * (above - below)


@cache
def quantile_row(row: int) -> tuple[float, ...]:
    """Return quantiles of B at the shares Phi(z), z from -6 to 6 in sixteenths, for a row."""
    shares, xs = _shares(row), _angles()[2]
    quantiles = []
    for k in range(2 * _REACH * _LEVELS + 1):
        share = _NORMAL.cdf(k / _LEVELS - _REACH)
        step = min(max(bisect_right(shares, share) - 1, 0), _STEPS - 1)
        width = shares[step + 1] - shares[step]
        across = (share - shares[step]) / width if width > 0.0 else 0.0
        x = xs[step] + across * (xs[step + 1] - xs[step])
        quantiles.append(_sharpen(x, share, row / SHAPES, xs[step], xs[step + 1]))
    return tuple(quantiles)


def _sharpen(x: float, share: float, shape: float, low: float, high: float) -> float:
    """Return x after one Newton step, kept within the step of theta the quantile lies in."""
    slope = density(x, shape)
    if slope <= 0.0:
        return x
    return min(max(x - (share_below(x, shape) - share) / slope, low), high)


def quantile_at(z: float, shape: float) -> float:
    """Return the quantile of B at the share Phi(z), z from -6 to 6, within 0.001."""
    place = min(max((z + _REACH) * _LEVELS, 0.0), 2.0 * _REACH * _LEVELS)
    step = min(int(place), 2 * _REACH * _LEVELS - 1)
    across = place - step
    at = shape * SHAPES
    row = min(int(at), SHAPES - 1)
    first, second = quantile_row(row), quantile_row(row + 1)
    below = first[step] + across * (first[step + 1] - first[step])
    above = second[step] + across * (second[step + 1] - second[step])
    return below + (at - row) * (above - below)


def quantile(share: float, shape: float) -> float:
    """Return the quantile of B at a share between 0 and 1."""
    if share <= 0.0:
        return 0.0
    if share >= 1.0:
        return 1.0
    return quantile_at(_NORMAL.inv_cdf(share), shape)


@cache
def _band_row(row: int) -> tuple[float, float, float]:
    low, middle, high = (quantile(share, row / SHAPES) for share in BANDS)
    return low, middle, high


def bands(low: float, typical: float, high: float) -> tuple[float, float, float]:
    """Return P10, P50 and P90 of a three-point price.

    >>> [round(figure, 2) for figure in bands(0.0, 0.5, 1.0)]
    [0.25, 0.5, 0.75]
    """
    at = shape_of(low, typical, high) * SHAPES
    row = min(int(at), SHAPES - 1)
    part, width = at - row, high - low
    first, second = _band_row(row), _band_row(row + 1)
    p10, p50, p90 = (low + width * (a + part * (b - a)) for a, b in zip(first, second, strict=True))
    return (p10, p50, p90) if width >= 0.0 else (p90, p50, p10)


@cache
def level_moments(row: int, correlation: float) -> tuple[tuple[float, float, float, float], ...]:
    """Return cumulants 1 to 4 of B given the common factor, at the nodes of ``level_nodes``.

    B is the quantile at Phi(sqrt(r) M + sqrt(1 - r) e); e is integrated by the trapezoid rule,
    which for a normal weight is as good as exact.
    """
    common, own = math.sqrt(correlation), math.sqrt(1.0 - correlation)
    return tuple(_cumulants(common * m, own, row / SHAPES) for m in level_nodes())


@cache
def level_nodes() -> tuple[float, ...]:
    """Return the nodes of the common factor: -3.6 to 3.6 in steps of 0.15."""
    return tuple(0.15 * k for k in range(-24, 25))


_INNER = tuple(0.6 * k for k in range(-7, 8))
_INNER_WEIGHTS = tuple(math.exp(-0.5 * e * e) for e in _INNER)
_INNER_TOTAL = sum(_INNER_WEIGHTS)


def _cumulants(centre: float, own: float, shape: float) -> tuple[float, float, float, float]:
    if own == 0.0:
        return quantile_at(centre, shape), 0.0, 0.0, 0.0
    values = [quantile_at(centre + own * e, shape) for e in _INNER]
    mean = sum(w * x for w, x in zip(_INNER_WEIGHTS, values, strict=True)) / _INNER_TOTAL
    second = third = fourth = 0.0
    for weight, x in zip(_INNER_WEIGHTS, values, strict=True):
        off = x - mean
        square = off * off
        second += weight * square
        third += weight * square * off
        fourth += weight * square * square
    second, third, fourth = (m / _INNER_TOTAL for m in (second, third, fourth))
    return mean, second, third, fourth - 3.0 * second * second
