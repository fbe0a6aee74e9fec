"""Published bargains: the price at which the product of both gains is greatest.

One: seller's floor 2,000, buyer's ceiling 3,000 (mathsisfun.com, bargaining).
Two: floor 40, ceiling 100: an exercise of the usual kind, from memory.
Three: a pie of 1 where A gets 0.4 if talks fail (blockchain-academy.hs-mittweida.de, game
theory); the line for other bargaining powers is common practice, no source.
"""

from __future__ import annotations

import pytest

from kitreckon.quantities import Money
from kitreckon.reckoning.offer import split


def usd(amount: float) -> Money:
    return Money.of(amount, "USD")


def test_floor_2000_and_ceiling_3000_settle_at_2500_with_gains_of_500_each() -> None:
    price = split(usd(2000), usd(3000), 0.5)
    assert price == usd(2500)
    assert (price - usd(2000), usd(3000) - price) == (usd(500), usd(500))


def product_of_gains(price: int) -> int:
    return (price - 2000) * (3000 - price)


def test_the_product_of_gains_is_greatest_there() -> None:
    settled = split(usd(2000), usd(3000), 0.5).minor // 100
    assert product_of_gains(settled) == 250_000
    assert product_of_gains(2250) == product_of_gains(2750) == 187_500
    assert settled == max(range(2000, 3001), key=product_of_gains)


def test_floor_40_and_ceiling_100_settle_at_70() -> None:
    assert split(usd(40), usd(100), 0.5) == usd(70)


@pytest.mark.parametrize(("power", "share_of_a"), [(0.5, 0.7), (0.0, 0.4), (1.0, 1.0)])
def test_with_an_outside_option_of_0_4_a_gets_0_4_and_his_power_of_the_rest(
    power: float, share_of_a: float
) -> None:
    """B's price for the pie is what A leaves: between nothing and 0.6 of it."""
    pie = usd(1)
    left_to_b = split(usd(0), pie - usd(0.4), power)
    assert pie - left_to_b == usd(share_of_a)
    assert share_of_a == pytest.approx(0.4 + 0.6 * power)
