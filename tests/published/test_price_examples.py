"""Published examples of prices at another size and another year.

Engineering Economic Analysis, page 47: 50,000 for 1,000 ft2, exponent 0.55, to 2,500 ft2; then
the index from 1306 to 1487 (the page rounds before it goes on).
A study question (askfilo.com 3332343635393330): 3,000 at 100 ft2, exponent 0.60 up to 400 ft2,
then 0.81.
A worked problem on a diesel set (answer.v4k.life 24839): 160,000 at 80 kW, index 187 to 194,
exponent 0.6, an addition of 18,000.
practicalmachinist.com, thread 345869: options of a 13 in lathe in 1960, brought to 2017 money by
1,835 = 15,195 (the page's parts are cut, not rounded: it may stand 1 lower).
curioustab.com 78688: the exponent as the slope of two points on logarithms.
"""

from __future__ import annotations

import pytest

from kitreckon.reckoning.scaling import scale_by_index, scale_by_size, size_exponent


def test_a_floor_area_2_5_times_as_large_costs_82763() -> None:
    amount = scale_by_size(50_000, 1_000, 2_500, 0.55)
    assert round(amount) == 82_763
    assert abs(amount - 82_800) < 50  # as the page prints it


def test_then_the_index_brings_it_to_94233() -> None:
    amount = scale_by_index(scale_by_size(50_000, 1_000, 2_500, 0.55), 1306, 1487)
    assert round(amount) == 94_233
    assert abs(scale_by_index(82_800, 1306, 1487) - 94_300) < 50


@pytest.mark.parametrize(("area", "price"), [(200, 4_547), (400, 6_892), (1_000, 14_477)])
def test_two_exponents_follow_one_another(area: float, price: int) -> None:
    amount = scale_by_size(3_000, 100, min(area, 400), 0.60)
    if area > 400:
        amount = scale_by_size(amount, 400, area, 0.81)
    assert round(amount) == price


def test_index_then_size_then_an_addition() -> None:
    today = scale_by_index(160_000, 187, 194)
    assert round(today) == 165_989
    larger, smaller = scale_by_size(today, 80, 120, 0.6), scale_by_size(today, 80, 40, 0.6)
    assert (round(larger), round(larger + 18_000)) == (211_707, 229_707)
    assert (round(smaller), round(smaller + 18_000)) == (109_512, 127_512)


OPTIONS = {245.0: 2_028, 86.50: 716, 227.0: 1_879, 25.20: 208, 12.60: 104, 68.75: 569}


@pytest.mark.parametrize(("then", "printed"), OPTIONS.items())
def test_options_of_1960_in_2017_money(then: float, printed: int) -> None:
    amount = scale_by_index(then, 1_835, 15_195)
    assert printed - 0.5 <= amount < printed + 1


def test_the_lathe_and_its_options_add_up() -> None:
    assert 1_835 + sum(OPTIONS) == pytest.approx(2_500.05)
    assert round(scale_by_index(2_500.05, 1_835, 15_195)) == 20_702
    assert 15_195 + sum(OPTIONS.values()) == pytest.approx(20_701, abs=2)


def test_the_exponent_is_the_slope_on_logarithms() -> None:
    points = [(size, 700 * size**0.6) for size in (3.0, 8.0, 40.0)]
    assert size_exponent(points) == pytest.approx(0.6)
    assert size_exponent(points[:2]) == pytest.approx(0.6)
