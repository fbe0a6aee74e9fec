"""Published examples of straight-line depreciation.

Engineering Economic Analysis, page 343: cost 900, salvage 70, 5 years.
Principles of Engineering Economic Analysis, example 9.2: 500,000, salvage 50,000, 10 years.
A copied text on book values (conscienceinquiry.uk): 60,000, salvage 10,000, 20 % a year.
"""

from __future__ import annotations

import pytest

from kitreckon.errors import KitreckonError
from kitreckon.reckoning.depreciation import book_value, yearly_charge


def test_900_down_to_70_in_5_years() -> None:
    assert yearly_charge(900, 70, 5) == 166
    assert [book_value(900, 70, 5, age) for age in range(1, 6)] == [734, 568, 402, 236, 70]


def test_500000_down_to_50000_in_10_years() -> None:
    assert yearly_charge(500_000, 50_000, 10) == 45_000
    assert book_value(500_000, 50_000, 10, 5) == 275_000


def test_60000_down_to_10000_at_20_percent_a_year() -> None:
    assert yearly_charge(60_000, 10_000, 5) == 10_000
    assert 5 * yearly_charge(60_000, 10_000, 5) == 50_000


@pytest.mark.parametrize("wrong", [(100, 200, 5), (100, -1, 5), (100, 10, 0)])
def test_what_cannot_be_is_refused(wrong: tuple[float, float, int]) -> None:
    with pytest.raises(KitreckonError, match="years"):
        yearly_charge(*wrong)
