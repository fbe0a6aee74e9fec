"""Published costs of selling through a marketplace.

Commission: 400 at 10 % is 40, which leaves 360; postage counts in the base, so 7,800 with 30
postage at 10 % would be 783 and is capped at 750 (a large marketplace's page of fee examples).
"""

from __future__ import annotations

import pytest

from kitreckon.reckoning.selling import Sale, commission_on


def test_commission_of_10_percent_on_400_leaves_360() -> None:
    assert commission_on(400.0, 0.0, 0.10) == pytest.approx(40.0)
    free = Sale(0.10, None, 0.0, 0.0, 0.0, 0.0, ())
    assert free.net(400.0, None) == pytest.approx(360.0)


def test_postage_counts_in_the_base_and_the_cap_holds() -> None:
    assert commission_on(7_800.0, 30.0, 0.10) == pytest.approx(783.0)
    assert commission_on(7_800.0, 30.0, 0.10, 750.0) == pytest.approx(750.0)
