"""Sums of prices: against draws, and what must hold without any."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, norm, spearmanr

from kitreckon.errors import KitreckonError
from kitreckon.reckoning.spread import Spread
from kitreckon.reckoning.sums import factor_correlation, sum_quantiles, sum_share_below
from price_draws import a_bundle, draw_sums, worst_error

DRAWS = 100_000


@pytest.mark.parametrize("rank_correlation", [0.0, 0.3, 0.7, 1.0])
@pytest.mark.parametrize(
    ("count", "not_judged"),
    [(1, 0.0), (1, 1.0), (2, 0.0), (2, 1.0), (3, 0.6), (5, 0.0), (9, 0.6), (20, 0.4), (80, 0.3)],
)
def test_the_three_quantiles_are_within_one_percent_of_drawn_ones(
    count: int, rank_correlation: float, not_judged: float
) -> None:
    seed = count * 100 + round(10 * rank_correlation) + round(1000 * not_judged)
    spreads = a_bundle(random.Random(seed), count, not_judged)
    sums = draw_sums(spreads, rank_correlation, DRAWS, seed)
    found = sum_quantiles(spreads, rank_correlation)
    assert worst_error(found, sums) < 0.01


@pytest.mark.parametrize("rank_correlation", [0.0, 0.3, 0.5, 0.7, 1.0])
def test_two_prices_have_the_rank_correlation_set_and_keep_their_laws(
    rank_correlation: float,
) -> None:
    r = factor_correlation(rank_correlation)
    rng = np.random.default_rng(3)
    level = rng.standard_normal(DRAWS)
    z = [math.sqrt(r) * level + math.sqrt(1 - r) * rng.standard_normal(DRAWS) for _ in range(2)]
    prices = [beta.ppf(norm.cdf(z[k]), 2.0 + k, 4.0 - k) for k in range(2)]
    assert spearmanr(*prices).statistic == pytest.approx(rank_correlation, abs=0.01)
    for k in range(2):
        assert np.quantile(prices[k], 0.9) == pytest.approx(
            beta.ppf(0.9, 2.0 + k, 4.0 - k), abs=0.005
        )


@pytest.mark.parametrize("rank_correlation", [0.0, 0.5, 1.0])
def test_the_chance_of_one_sum_below_another_is_within_two_percent_of_a_drawn_one(
    rank_correlation: float,
) -> None:
    source = random.Random(11)
    first, second = a_bundle(source, 12, 0.4), a_bundle(source, 9, 0.4)
    shift = sum(s.mean for s in second) - sum(s.mean for s in first)
    difference = [*first, *(spread.scaled(-1.0) for spread in second)]
    sums = draw_sums(difference, rank_correlation, DRAWS, 5)
    for amount in (-shift - 40.0, -shift, -shift + 60.0):
        drawn = float((sums <= amount).mean())
        assert sum_share_below(difference, rank_correlation)(amount) == pytest.approx(
            drawn, abs=0.02
        )


@given(st.integers(0, 10_000), st.sampled_from([0.0, 0.3, 0.5, 0.7, 1.0]), st.floats(0.01, 1_000.0))
@settings(max_examples=60, deadline=None)
def test_one_price_alone_keeps_its_own_quantiles(seed: int, rho: float, extra: float) -> None:
    (spread,) = a_bundle(random.Random(seed), 1, 0.5)
    alone = sum_quantiles([spread, Spread.certain(extra)], rho)
    assert alone == pytest.approx([figure + extra for figure in spread.bands()])


@given(st.integers(0, 10_000), st.integers(2, 30))
@settings(max_examples=40, deadline=None)
def test_a_common_price_level_widens_the_sum(seed: int, count: int) -> None:
    spreads = a_bundle(random.Random(seed), count, 0.0)
    apart, together = sum_quantiles(spreads, 0.0), sum_quantiles(spreads, 1.0)
    assert together[2] - together[0] > apart[2] - apart[0]


@given(st.integers(0, 10_000), st.integers(2, 12))
@settings(max_examples=30, deadline=None)
def test_with_one_level_for_all_the_quantiles_add_up(seed: int, count: int) -> None:
    spreads = a_bundle(random.Random(seed), count, 0.0)
    added = [sum(figures) for figures in zip(*(s.bands() for s in spreads), strict=True)]
    found = sum_quantiles(spreads, 1.0)
    for one, other in zip(found, added, strict=True):
        assert abs(one - other) < 0.01 * added[1]


@given(st.integers(0, 10_000), st.integers(1, 40), st.floats(0.1, 100.0))
@settings(max_examples=40, deadline=None)
def test_a_sum_scales_with_its_prices_and_keeps_its_order(
    seed: int, count: int, factor: float
) -> None:
    spreads = a_bundle(random.Random(seed), count, 0.5)
    found = sum_quantiles(spreads, 0.5)
    scaled = sum_quantiles([spread.scaled(factor) for spread in spreads], 0.5)
    assert found[0] <= found[1] <= found[2]
    assert scaled == pytest.approx([factor * figure for figure in found], rel=0.003)


def test_the_sum_of_nothing_is_nothing() -> None:
    assert sum_quantiles([], 0.5) == (0.0, 0.0, 0.0)
    assert sum_share_below([], 0.5)(-1.0) == 0.0
    assert sum_share_below([], 0.5)(0.0) == 1.0


@pytest.mark.parametrize("wrong", [-0.1, 1.1, float("nan")])
def test_a_correlation_outside_0_to_1_is_refused(wrong: float) -> None:
    with pytest.raises(KitreckonError, match="correlation"):
        factor_correlation(wrong)
