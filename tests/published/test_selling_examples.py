"""Published costs of buying at auction and of selling through a marketplace.

Landed cost: (130,000 + 18,000) with a 12 % premium; the page prints 165,750, its own figures
give 165,760 (todaysmachiningworld.com, on the auction blog).
Commission: 400 at 10 % is 40, which leaves 360; postage counts in the base, so 7,800 with 30
postage at 10 % would be 783 and is capped at 750 (a large marketplace's page of fee examples).
"""

from __future__ import annotations

import pytest

from kitreckon.reckoning.selling import Sale, commission_on, landed_cost


def test_landed_cost_with_a_premium_of_12_percent() -> None:
    assert landed_cost(130_000, 18_000, 0.12) == pytest.approx(165_760)
    assert abs(round(landed_cost(130_000, 18_000, 0.12)) - 165_750) <= 10


def test_commission_of_10_percent_on_400_leaves_360() -> None:
    assert commission_on(400.0, 0.0, 0.10) == pytest.approx(40.0)
    free = Sale(0.10, None, 0.0, 0.0, 0.0, 0.0, ())
    assert free.net(400.0, None) == pytest.approx(360.0)


def test_postage_counts_in_the_base_and_the_cap_holds() -> None:
    assert commission_on(7_800.0, 30.0, 0.10) == pytest.approx(783.0)
    assert commission_on(7_800.0, 30.0, 0.10, 750.0) == pytest.approx(750.0)
