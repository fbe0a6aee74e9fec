"""Prices the catalogue carries against the pages they come from.

Options of a 13 in lathe, 1960 and brought to 2017 money: practicalmachinist.com, thread 345869.
"""

from __future__ import annotations

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import PricePoint

BARE_LATHE_1960 = 1835.0
BARE_LATHE_2017 = 15195.0


def points(kind: str, source: str) -> list[PricePoint]:
    return [p for p in open_catalogue().prices[kind].points if source in p.source]


def only(kind: str, source: str, year: int) -> PricePoint:
    (point,) = [p for p in points(kind, source) if p.year == year]
    return point


@pytest.mark.parametrize(
    ("kind", "price_1960", "price_2017", "percent_of_lathe"),
    [
        ("taper-attachment", 245.00, 2028, 13.4),
        ("milling-attachment", 86.50, 716, 4.7),
        ("collet-adapter", 68.75, 569, 3.7),
        ("steady-rest", 25.20, 208, 1.4),
        ("follow-rest", 12.60, 104, 0.7),
    ],
)
def test_options_of_1960_are_carried_as_the_list_prints_them(
    kind: str, price_1960: float, price_2017: float, percent_of_lathe: float
) -> None:
    then = only(kind, "1960 factory price list", 1960)
    now = only(kind, "1960 factory price list", 2017)
    assert (then.low, then.typical, then.high) == (price_1960,) * 3
    assert now.typical == price_2017
    # the page cuts its figures off to whole dollars
    assert 0 <= then.typical * BARE_LATHE_2017 / BARE_LATHE_1960 - now.typical < 1.5
    assert round(100 * then.typical / BARE_LATHE_1960, 1) == percent_of_lathe


def test_flatness_limits_of_a_surface_plate_are_those_of_din_876() -> None:
    """Grades II and III at 600 mm: 20 + L/50 and 40 + L/25 micrometres, so 32 and 64."""
    (check,) = open_catalogue().kinds["surface-plate"].checks
    assert check.fair_over_mm == pytest.approx((20 + 600 / 50) / 1000)
    assert check.poor_over_mm == pytest.approx((40 + 600 / 25) / 1000)
