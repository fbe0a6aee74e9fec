"""Published examples of three-point estimates.

schematex.js.org, three-point example: (5, 8, 14) has mean 8.5 and deviation 1.5 by the rule
(b - a) / 6. paprika.graq.co.uk: (2, 3, 5) by the weighted rule 3.167.
"""

from __future__ import annotations

import pytest
from scipy.stats import beta

from kitreckon.reckoning.pert import deviation, mean_of
from kitreckon.reckoning.spread import Spread


def test_5_8_14_has_mean_8_5() -> None:
    assert mean_of(5, 8, 14) == Spread.pert(5, 8, 14).mean == 8.5


def test_the_law_itself_is_a_little_wider_than_the_rule() -> None:
    law = beta(1 + 4 / 3, 5 - 4 / 3)
    assert deviation(5, 8, 14) == pytest.approx(9 * law.std())
    assert round(deviation(5, 8, 14), 3) == 1.658
    assert deviation(5, 8, 14) > (14 - 5) / 6 == 1.5  # the page's rule


def test_2_3_5_by_weights() -> None:
    assert round(mean_of(2, 3, 5), 3) == 3.167
