"""What people type for a price, and sums that are right to the cent."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitreckon.quantities import Money, QuantityError, in_other_money, read_money, show_money


@pytest.mark.parametrize(
    ("typed", "major"),
    [
        ("$1.2k", "1200"),
        ("1.2k", "1200"),
        ("2k", "2000"),
        ("US$ 1,200", "1200"),
        ("1,200 dollars", "1200"),
        ("$5 USD", "5"),
        ("1 200", "1200"),
        ("1'200", "1200"),
        ("1.200,50", "1200.50"),
        ("1,200.50", "1200.50"),
        ("12,5", "12.50"),
        ("12.50", "12.50"),
        ("1900", "1900"),
        ("1.234.567", "1234567"),
        ("5 USD", "5"),
        (".50", "0.50"),
        ("0", "0"),
    ],
)
def test_a_price_is_read_to_the_cent(typed: str, major: str) -> None:
    assert read_money(typed, "USD").major == Decimal(major)


NO_PRICES = [
    "1.200",
    "12.345",
    "0.005",
    "-5",
    "+5",
    "1e3",
    "nan",
    "inf",
    "1_000",
    "٣",
    "",
    "1.2.3",
    "10,000,001",
    "1/2",
    "1,2,3",
    "cheap",
    "1,20,000",
    "99999999999999999999999999999999999999999",
]


@pytest.mark.parametrize("typed", NO_PRICES)
def test_what_is_no_price_is_refused_with_the_remedy(typed: str) -> None:
    with pytest.raises(QuantityError) as refused:
        read_money(typed, "USD")
    assert refused.value.want


@pytest.mark.parametrize(
    "typed",
    [
        "900-1500",
        "900 to 1500",
        "$900 - $1,500",
        "1.2k–1.5k",
        "900/1500",
        "900..1500",
        "900 1200 1500",
        "1,200 1,350 1,500",
    ],
)
def test_several_prices_in_place_of_one_are_told_how_to_be_written(typed: str) -> None:
    with pytest.raises(QuantityError, match="more than one price") as refused:
        read_money(typed, "USD")
    assert "900 1200 1500" in refused.value.want


def test_a_point_before_three_digits_is_asked_about() -> None:
    with pytest.raises(QuantityError, match="two ways"):
        read_money("1.200", "EUR")


def test_two_currencies_never_meet() -> None:
    with pytest.raises(QuantityError):
        _ = Money.of(1, "USD") + Money.of(1, "GBP")
    with pytest.raises(QuantityError):
        _ = Money.of(1, "USD") < Money.of(1, "GBP")


def test_an_unknown_currency_is_refused() -> None:
    with pytest.raises(QuantityError, match="not a currency"):
        read_money("5", "dollars")


def test_half_a_cent_rounds_up() -> None:
    assert Money(1, "USD") * 0.5 == Money(1, "USD")
    assert Money.of("19.99", "USD") * 0.5 == Money(1000, "USD")
    assert Money.of("0.125", "USD").minor == 13


def test_a_currency_without_cents_has_none() -> None:
    assert read_money("1,200", "JPY").minor == 1200
    assert show_money(Money(1200, "JPY")) == "1,200"


@settings(max_examples=300)
@given(st.integers(0, 1_000_000_00))
def test_what_is_shown_reads_back(minor: int) -> None:
    money = Money(minor, "USD")
    assert read_money(show_money(money, sign=True), "USD") == money


@pytest.mark.parametrize(
    ("typed", "currency"),
    [
        ("€500", "USD"),
        ("£1,900", "USD"),
        ("1,900 £", "USD"),
        ("$500", "GBP"),
        ("$500", "CHF"),
        ("A$500", "USD"),
        ("¥500", "EUR"),
        ("500 EUR", "USD"),
        ("gbp 500", "USD"),
        ("900 quid", "EUR"),
    ],
)
def test_another_currencys_price_is_refused_not_taken_for_ones_own(
    typed: str, currency: str
) -> None:
    with pytest.raises(QuantityError, match=f"is not in {currency}"):
        read_money(typed, currency)


@pytest.mark.parametrize(
    ("typed", "currency"),
    [("$500", "CAD"), ("C$500", "CAD"), ("NZ$500", "NZD"), ("¥500", "JPY"), ("500 kwd", "KWD"),
     ("£500", "GBP"), ("500 pounds", "GBP"), ("500€", "EUR")],
)  # fmt: skip
def test_a_price_with_the_sign_of_its_currency_is_read(typed: str, currency: str) -> None:
    assert read_money(typed, currency) == Money.of(500, currency)


@given(st.sampled_from(["USD", "GBP", "EUR", "JPY", "CHF", "AUD"]))
def test_a_shown_sign_is_never_refused_by_its_own_currency(currency: str) -> None:
    money = Money.of(1234, currency)
    assert read_money(show_money(money, sign=True), currency) == money


@pytest.mark.parametrize(
    ("price", "around", "currency", "other"),
    [
        ("£900", "£900", "USD", True),
        ("£900", "£900", "GBP", False),
        ("€900", "€900", "USD", True),
        ("$900", "$900", "USD", False),
        ("$900", "$900", "GBP", True),
        ("$900", "A$900", "USD", True),
        ("$900", "A$900", "AUD", False),
        ("$900", "US$900", "CAD", True),
        ("900 quid", "900 quid", "USD", True),
        ("900", "900", "USD", False),
        ("900 obo", "900 obo", "USD", False),
    ],
)
def test_a_price_in_other_money_is_told_from_ones_own(
    price: str, around: str, currency: str, other: bool
) -> None:
    assert in_other_money(price, currency, around) is other


@settings(max_examples=600)
@given(st.text(max_size=60) | st.text(alphabet="0123456789.,' k$£", max_size=20))
def test_any_text_is_a_price_or_a_refusal(typed: str) -> None:
    try:
        assert read_money(typed, "USD").minor >= 0
    except QuantityError as refused:
        assert refused.what
