"""What one unit costs: size, year, currency, own prices, purchases, tax and freight."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import dollars, length, the_catalogue
from kitreckon.catalogue.model import Catalogue, PricePoint, PriceTable, Shares
from kitreckon.count import OwnPrice, Preferences, Purchase
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, Range
from kitreckon.reckoning.prices import Prices, to_user_money


def a_point(supply: Any = "used", size: float | None = 160.0, **facts: Any) -> PricePoint:
    usual: dict[str, Any] = {
        "low": 40.0, "typical": 70.0, "high": 120.0, "year": 2024, "basis": "estimate",
        "source": "estimate", "size_mm": size,
    }  # fmt: skip
    return PricePoint(supply, **(usual | facts))


def a_table(*points: PricePoint, kind: str = "chuck", **facts: Any) -> PriceTable:
    usual: dict[str, Any] = {
        "currency": "USD", "unit": "each", "unit_count": 1, "includes": "", "size_mm": 160.0,
        "exponents": (("used", 1.5), ("new-import", 1.5)),
    }  # fmt: skip
    return PriceTable(kind, points=points or (a_point(),), **(usual | facts))


def prices(
    *tables: PriceTable,
    own: tuple[OwnPrice, ...] = (),
    bought: tuple[Purchase, ...] = (),
    **settings: Any,
) -> Prices:
    by_kind = {table.kind: table for table in tables or (a_table(),)}
    subjects = {
        "prices": by_kind,
        "shares": Shares({}, {}, hourly=20.0),
        "judgement": the_catalogue().judgement,
    }
    catalogue = Catalogue(subjects.__getitem__)
    return Prices(catalogue, Preferences(**settings), own, bought)


def an_own_price(low: float, typical: float, high: float, **facts: Any) -> OwnPrice:
    usual: dict[str, Any] = {"id": "o", "kind": "chuck", "supply": "used", "year": 2026}
    amounts = Range(dollars(low), dollars(typical), dollars(high))
    return OwnPrice(price=amounts, **(usual | facts))


def a_purchase(price: float, **facts: Any) -> Purchase:
    usual: dict[str, Any] = {"id": "b", "kind": "chuck", "supply": "used", "on_date": "2026-01-01"}
    return Purchase(price=dollars(price), **(usual | facts))


def typical(priced: Any) -> float:
    assert priced is not None
    return float(priced.typical) / 100


def test_a_price_at_its_own_size_is_the_tables() -> None:
    priced = prices().of("chuck", 160.0, "used")
    assert priced is not None
    assert (priced.low, priced.typical, priced.high) == (4000.0, 7000.0, 12000.0)
    assert (priced.basis, priced.year, priced.source) == ("estimate", 2024, "estimate")
    assert priced.reasons[0].id == "price-estimate"


def test_no_size_means_the_main_size() -> None:
    assert typical(prices().of("chuck", None, "used")) == 70.0


def test_another_size_follows_the_power_law() -> None:
    assert typical(prices().of("chuck", 200.0, "used")) == pytest.approx(70 * 1.25**1.5)


@pytest.mark.parametrize(
    ("size", "known"), [(79.0, False), (81.0, True), (319, True), (321, False)]
)
def test_a_size_beyond_half_to_double_is_refused(size: float, known: bool) -> None:
    assert (prices().of("chuck", size, "used") is not None) is known


def test_between_two_points_the_law_goes_through_both() -> None:
    table = a_table(a_point(size=100.0, typical=50.0), a_point(size=200.0, typical=100.0))
    assert typical(prices(table).of("chuck", 100 * 2**0.5, "used")) == pytest.approx(50 * 2**0.5)


@settings(deadline=None)
@given(st.floats(51.0, 599.0))
def test_low_typical_and_high_stay_in_order_at_any_size(size: float) -> None:
    table = a_table(
        a_point(size=100.0, low=10, typical=50, high=51),
        a_point(size=200.0, low=79, typical=80, high=400),
        a_point(size=300.0, low=100, typical=300, high=310),
    )
    priced = prices(table).of("chuck", size, "used")
    assert priced is not None
    assert 0 < priced.low <= priced.typical <= priced.high


def test_one_supply_never_answers_for_another() -> None:
    assert prices().of("chuck", 160.0, "new-import") is None
    assert prices().of("chuck", 160.0, "new-name-brand") is None


def test_the_newest_point_counts_and_one_for_comparison_never() -> None:
    table = a_table(
        a_point(year=2005, typical=45.0),
        a_point(year=2025, typical=60.0, basis="published"),
        a_point(year=2026, typical=90.0, compare_only=True),
    )
    priced = prices(table).of("chuck", 160.0, "used")
    assert typical(priced) == 60.0
    assert priced is not None
    assert priced.basis == "published"


def test_the_index_brings_prices_to_today() -> None:
    assert typical(prices(index=1.1).of("chuck", 160.0, "used")) == pytest.approx(77.0)


def test_yearly_levels_overrule_the_index_and_reach_between_years() -> None:
    levels = ((2020, 100.0), (2024, 121.0), (2026, 133.1))
    assert typical(prices(year_indexes=levels).of("chuck", None, "used")) == pytest.approx(77.0)
    older = a_table(a_point(year=2022))
    assert typical(prices(older, year_indexes=levels).of("chuck", None, "used")) == pytest.approx(
        70 * 133.1 / 110
    )


def test_the_users_currency_comes_by_his_rate() -> None:
    assert typical(prices(currency="GBP", rate=0.8).of("chuck", None, "used")) == 56.0
    yen = prices(currency="JPY", rate=150.0).of("chuck", None, "used")
    assert yen is not None
    assert yen.typical == 10_500.0


def test_own_prices_win() -> None:
    priced = prices(own=(an_own_price(50, 90, 130),), index=1.3).of("chuck", 160.0, "used")
    assert typical(priced) == 90.0
    assert priced is not None
    assert priced.basis is None
    assert priced.reasons[0].id == "price-own"


def test_the_own_price_nearest_in_size_counts_and_is_scaled() -> None:
    own = (
        an_own_price(50, 90, 130, size=length("160mm")),
        an_own_price(500, 900, 1300, size=length("500mm")),
    )
    assert typical(prices(own=own).of("chuck", 200.0, "used")) == pytest.approx(90 * 1.25**1.5)


def test_an_own_price_is_for_its_own_supply() -> None:
    table = a_table(a_point(), a_point("new-import", typical=100.0))
    own = (an_own_price(1, 2, 3),)
    assert typical(prices(table, own=own).of("chuck", None, "new-import")) == 100.0


def test_purchases_pull_their_own_kind_and_supply_part_of_the_way() -> None:
    table = a_table(a_point(), a_point("new-import", typical=100.0))
    other = a_table(kind="vise")
    one = prices(table, other, bought=(a_purchase(140),))
    many = prices(table, other, bought=tuple(a_purchase(140) for _ in range(40)))
    assert 70 < typical(one.of("chuck", None, "used")) < typical(many.of("chuck", None, "used"))
    assert typical(many.of("chuck", None, "used")) == pytest.approx(140, rel=0.05)
    assert typical(many.of("chuck", None, "new-import")) == 100.0
    assert typical(many.of("vise", None, "used")) == 70.0


def test_a_purchase_of_several_counts_by_the_piece_and_at_its_size() -> None:
    several = prices(bought=(a_purchase(280, qty=4),)).of("chuck", None, "used")
    assert typical(several) == pytest.approx(70.0)
    sized = a_purchase(70 * 1.25**1.5, size=length("200mm"))
    assert typical(prices(bought=(sized,)).of("chuck", None, "used")) == pytest.approx(
        70.0, abs=0.01
    )


def test_new_things_pay_tax_and_freight_and_used_ones_do_not() -> None:
    table = a_table(a_point(), a_point("new-import", typical=100.0, low=90.0))
    known = prices(table, tax=0.2, freight=dollars(15))
    new, used = known.fitted("chuck", None, "new-import"), known.fitted("chuck", None, "used")
    assert typical(new) == pytest.approx(135.0)
    assert typical(used) == 70.0


def test_what_is_bought_beside_it_is_part_of_fitting_it() -> None:
    plate = a_table(a_point("new-import", typical=60.0, low=50.0), kind="plate")
    table = a_table(a_point("new-import", typical=100.0, low=90.0), bought_with="plate")
    fitted = prices(table, plate).new_fitted("chuck", 160.0)
    assert typical(fitted) == 160.0
    assert fitted is not None
    assert "price-with" in {reason.id for reason in fitted.reasons}


def test_work_of_fitting_is_counted_for_what_no_shop_stocks() -> None:
    table = a_table(a_point("new-import", typical=100.0), fitting_hours=(4.0, 6.0, 10.0))
    assert typical(prices(table).new_fitted("chuck", None)) == pytest.approx(100 + 6 * 20)


def test_a_missing_supply_is_replaced_by_the_next_and_said() -> None:
    fitted = prices().new_fitted("chuck", None)
    assert fitted is not None
    assert fitted.supply == "used"
    assert fitted.reasons[-1].id == "price-other-supply"


def test_an_unknown_kind_has_no_price() -> None:
    assert prices().of("other", None, "used") is None
    assert prices().new_fitted("other", None) is None


@pytest.mark.parametrize(
    "wrong",
    [
        {"low": -5.0},
        {"low": 80.0},
        {"high": 60.0},
        {"typical": float("nan")},
        {"high": 1e13},
    ],
)
def test_a_table_price_that_cannot_be_is_one_clear_error(wrong: dict[str, float]) -> None:
    with pytest.raises(KitreckonError, match="chuck"):
        prices(a_table(a_point(**wrong))).of("chuck", None, "used")


def test_a_negative_own_price_is_one_clear_error() -> None:
    with pytest.raises(KitreckonError, match="own price of chuck"):
        prices(own=(an_own_price(-5, 10, 20),)).of("chuck", None, "used")


def test_a_currency_without_a_rate_is_one_clear_error() -> None:
    own = replace(an_own_price(1, 2, 3), price=Range(*(Money(x, "SEK") for x in (1, 2, 3))))
    with pytest.raises(KitreckonError, match="no rate from SEK"):
        prices(own=(own,)).of("chuck", None, "used")
    with pytest.raises(KitreckonError, match="rate"):
        prices(currency="GBP", rate=0.0).of("chuck", None, "used")
    assert to_user_money(dollars(10), "USD", Preferences(currency="GBP", rate=0.8)) == Money(
        800, "GBP"
    )


@pytest.mark.parametrize("wrong", [{"index": 0.0}, {"year_indexes": ((2024, -1.0),)}])
def test_a_price_level_at_or_below_0_is_one_clear_error(wrong: dict[str, Any]) -> None:
    with pytest.raises(KitreckonError, match="price level"):
        prices(**wrong).of("chuck", None, "used")


def test_a_tax_that_cannot_be_is_one_clear_error() -> None:
    table = a_table(a_point("new-import"))
    with pytest.raises(KitreckonError, match="tax"):
        prices(table, tax=-0.5).new_fitted("chuck", None)


@pytest.mark.parametrize(("minor", "rate", "made"), [(1, 2.5, 3), (1, 0.5, 1), (3, 0.5, 2)])
def test_half_a_minor_unit_is_rounded_up_when_money_is_exchanged(
    minor: int, rate: float, made: int
) -> None:
    user = Preferences(currency="GBP", rate=rate)
    assert to_user_money(Money(minor, "USD"), "USD", user) == Money(made, "GBP")


@given(st.integers(-1000, 1000), st.sampled_from(["USD", "JPY"]))
def test_what_is_reckoned_is_rounded_as_a_price_times_a_factor_is(halves: int, code: str) -> None:
    assert Money.rounded(halves / 2, code) == Money(halves, code) * 0.5
