"""The Beta-PERT law and its mixtures, against scipy."""

from __future__ import annotations

import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta

from kitreckon.errors import KitreckonError
from kitreckon.reckoning import pert
from kitreckon.reckoning.spread import Spread
from price_draws import CHANCES, a_bundle, draw_sums

SHAPES = [k / 20 for k in range(21)]


@pytest.mark.parametrize("shape", SHAPES)
def test_shares_and_quantiles_agree_with_an_exact_beta_law(shape: float) -> None:
    law = beta(1.0 + 4.0 * shape, 5.0 - 4.0 * shape)
    for x in np.linspace(0.002, 0.998, 84):
        assert pert.share_below(float(x), shape) == pytest.approx(law.cdf(x), abs=0.001)
    for share in np.linspace(0.002, 0.998, 84):
        assert pert.quantile(float(share), shape) == pytest.approx(law.ppf(share), abs=0.001)
    assert pert.bands(0.0, shape, 1.0) == pytest.approx(law.ppf((0.1, 0.5, 0.9)), abs=0.0005)


@settings(deadline=None)
@given(st.floats(0.0, 1e6), st.floats(0.0, 1e6), st.floats(0.0, 1e6))
def test_mean_and_deviation_are_the_laws_own(a: float, b: float, c: float) -> None:
    low, typical, high = sorted((a, b, c))
    spread = Spread.pert(low, typical, high)
    assert spread.mean == pytest.approx((low + 4 * typical + high) / 6)
    if high > low:
        shape = (typical - low) / (high - low)
        law = beta(1.0 + 4.0 * shape, 5.0 - 4.0 * shape)
        assert spread.sd == pytest.approx((high - low) * law.std(), rel=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_a_mixture_over_grades_agrees_with_drawn_ones(seed: int) -> None:
    (spread,) = a_bundle(random.Random(seed), 1, 1.0)
    drawn = draw_sums([spread], 0.5, 200_000, seed)
    assert len(spread.parts) == len(CHANCES)
    assert spread.mean == pytest.approx(drawn.mean(), rel=0.01)
    assert spread.sd == pytest.approx(drawn.std(), rel=0.01)
    for share, amount in zip((0.1, 0.5, 0.9), spread.bands(), strict=True):
        assert float((drawn <= amount).mean()) == pytest.approx(share, abs=0.006)


@given(st.integers(0, 10_000), st.floats(0.02, 0.98))
@settings(max_examples=60, deadline=None)
def test_the_quantile_of_a_share_has_that_share_below_it(seed: int, share: float) -> None:
    (spread,) = a_bundle(random.Random(seed), 1, 0.7)
    amount = spread.quantile(share)
    assert spread.share_below(amount * 1.0001 + 1e-6) >= share - 0.002
    assert spread.share_below(amount * 0.999 - 1e-6) <= share + 0.002


@given(st.integers(0, 10_000))
@settings(max_examples=40, deadline=None)
def test_what_is_taken_off_is_the_mirror_of_what_is_added(seed: int) -> None:
    (spread,) = a_bundle(random.Random(seed), 1, 0.5)
    less = spread.scaled(-1.0)
    p10, p50, p90 = spread.bands()
    assert less.mean == pytest.approx(-spread.mean)
    assert less.bands() == pytest.approx((-p90, -p50, -p10), rel=0.002)


def test_a_certain_amount_has_no_width() -> None:
    assert Spread.certain(12.0).bands() == (12.0, 12.0, 12.0)
    assert Spread.certain(12.0).sd == 0.0


@pytest.mark.parametrize(
    "figures",
    [
        (-1.0, 2.0, 3.0),
        (3.0, 2.0, 4.0),
        (1.0, 5.0, 4.0),
        (1.0, float("nan"), 4.0),
        (1.0, 2.0, float("inf")),
    ],
)
def test_prices_that_cannot_be_are_refused(figures: tuple[float, float, float]) -> None:
    with pytest.raises(KitreckonError):
        Spread.pert(*figures)
