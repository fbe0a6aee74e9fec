"""One rule for price levels and currencies over every amount of the catalogue and the user."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from builders import a_finding, a_lathe, dollars, the_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.count import OwnPrice, Preferences, Purchase
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, Range
from kitreckon.reckoning.findings import judge_findings
from kitreckon.reckoning.prices import Prices
from kitreckon.reckoning.selling import sale_costs

CATALOGUE = the_catalogue()
NOW = Preferences()
LEVELS = ((2000, 50.0), (2024, 100.0), (2026, 110.0))
BELTS = a_finding("belts-perished")


def off(preferences: Preferences, **facts: Any) -> Money:
    judged = judge_findings(a_lathe(), [replace(BELTS, **facts)], CATALOGUE, preferences)
    (row,) = judged.deductions
    assert row.amount is not None
    return row.amount


def amounts(preferences: Preferences) -> dict[str, float]:
    """Every sort of amount the catalogue gives, in minor units."""
    sale, prices = sale_costs(CATALOGUE, preferences), Prices(CATALOGUE, preferences)
    priced = prices.of("caliper", None, "used")
    assert priced is not None
    return {
        "finding": off(preferences).minor,
        "postage": sale.post(3.0),
        "packing": sale.packing,
        "work": sale.work,
        "hourly": prices.hourly(),
        "price": priced.typical,
    }


@pytest.mark.parametrize(
    ("levels", "times"),
    [
        ({"index": 1.2}, 1.2),
        ({"year_indexes": LEVELS}, 1.1),
        ({"index": 3.0, "year_indexes": LEVELS}, 1.1),
        ({"currency": "GBP", "rate": 0.8, "year_indexes": LEVELS}, 0.88),
    ],
)
def test_all_that_the_catalogue_says_is_brought_to_today(
    levels: dict[str, Any], times: float
) -> None:
    then = amounts(NOW)
    today = amounts(replace(NOW, **levels))
    assert today == {name: pytest.approx(amount * times) for name, amount in then.items()}


def test_a_rule_of_another_year_follows_the_level_of_its_year() -> None:
    rule = replace(CATALOGUE.findings["belts-perished"], year=2000)
    old = Catalogue(
        lambda subject: (
            {"belts-perished": rule} if subject == "findings" else getattr(CATALOGUE, subject)
        )
    )
    judged = judge_findings(a_lathe(), [BELTS], old, Preferences(year_indexes=LEVELS))
    assert judged.deductions[0].amount == dollars(20) * 2.2


def test_what_the_user_types_is_of_today() -> None:
    own = replace(NOW, packing=dollars(5), hourly=dollars(30), freight=dollars(9))
    later = replace(own, index=1.5, year_indexes=LEVELS)
    for preferences in (own, later):
        assert sale_costs(CATALOGUE, preferences).packing == 500
        assert Prices(CATALOGUE, preferences).hourly() == 3000
        assert off(preferences, amount=dollars(70)) == dollars(70)


def test_what_the_user_gives_a_year_with_follows_his_levels_and_not_the_index() -> None:
    own = OwnPrice("o", "caliper", "used", Range(*[dollars(50)] * 3), 2000)
    bought = Purchase("b", "caliper", "used", dollars(60), "2000-05-01")

    def typical(preferences: Preferences, **given: Any) -> float:
        priced = Prices(CATALOGUE, preferences, **given).of("caliper", None, "used")
        assert priced is not None
        return priced.typical

    levels = replace(NOW, year_indexes=LEVELS)
    assert typical(replace(NOW, index=1.5), own_prices=(own,)) == 5000
    assert typical(levels, own_prices=(own,)) == pytest.approx(11_000)
    later = replace(bought, price=dollars(132), on_date="2026-05-01")
    pulled = typical(levels, purchases=(bought,))
    assert pulled == pytest.approx(typical(levels, purchases=(later,)))
    assert pulled > typical(levels)


@pytest.mark.parametrize(
    "setting", ["hourly", "freight", "packing", "postage_paid", "postage_charged", "commission_cap"]
)
def test_a_setting_in_the_catalogues_money_is_exchanged_and_in_a_third_refused(
    setting: str,
) -> None:
    pounds = Preferences(currency="GBP", rate=0.8)

    def reckoned(money: Money) -> tuple[Any, ...]:
        preferences = replace(pounds, **{setting: money})
        prices = Prices(CATALOGUE, preferences)
        new = prices.fitted("caliper", None, "new-import")
        return sale_costs(CATALOGUE, preferences), prices.hourly(), new

    assert reckoned(dollars(10)) == reckoned(Money.of(8, "GBP"))
    with pytest.raises(KitreckonError, match=f"{setting}: no rate from SEK to GBP"):
        reckoned(Money.of(10, "SEK"))
