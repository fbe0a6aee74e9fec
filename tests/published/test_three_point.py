"""Published examples of three-point estimates.

schematex.js.org, three-point example: (5, 8, 14) has mean 8.5 and deviation 1.5 by the rule
(b - a) / 6; the tasks' sum by the same page and office-forums.com 56623.
paprika.graq.co.uk: (2, 3, 5) by thirds 3.333, by the weighted rule 3.167. The variance of the
triangle is common knowledge, no source.
"""

from __future__ import annotations

import math

import pytest
from scipy.stats import beta, triang

from kitreckon.reckoning.pert import deviation, three_point, triangle
from kitreckon.reckoning.spread import Spread


def test_5_8_14_has_mean_8_5_and_deviation_1_5() -> None:
    mean, sd = three_point(5, 8, 14)
    assert (mean, sd, sd**2) == (8.5, 1.5, 2.25)


def test_the_law_itself_is_a_little_wider_than_the_rule() -> None:
    law = beta(1 + 4 / 3, 5 - 4 / 3)
    assert deviation(5, 8, 14) == pytest.approx(9 * law.std())
    assert round(deviation(5, 8, 14), 3) == 1.658
    assert Spread.pert(5, 8, 14).mean == 8.5


def test_sums_of_tasks_add_means_and_variances() -> None:
    means, deviations = (3.17, 8.5, 4.17, 2.0), (0.5, 1.5, 0.5, 0.33)
    assert sum(means) == pytest.approx(17.83, abs=0.011)
    assert math.sqrt(sum(sd**2 for sd in deviations)) == pytest.approx(1.69, abs=0.005)


def test_2_3_5_by_thirds_and_by_weights() -> None:
    mean, variance = triangle(2, 3, 5)
    assert round(mean, 3) == 3.333
    assert round(three_point(2, 3, 5)[0], 3) == 3.167
    assert variance == pytest.approx(triang(1 / 3, loc=2, scale=3).var())
    assert round(variance, 4) == 0.3889
