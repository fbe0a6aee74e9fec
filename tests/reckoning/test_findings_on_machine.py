"""What findings take off a bare machine."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import a_finding, a_lathe, a_visit, dollars, length, the_catalogue
from kitreckon.catalogue.model import Catalogue, FindingRule, Shares
from kitreckon.count import Finding, Machine, Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reckoning import reckon
from kitreckon.reckoning.findings import Judged, finding_reasons, judge_findings


def a_rule(
    rule_id: str, cause: str, effect: str, value: float = 0.0, **more: object
) -> FindingRule:
    return FindingRule(rule_id, rule_id, rule_id, cause, effect, value, **more)  # type: ignore[arg-type]


RULES = {
    rule.id: rule
    for rule in (
        a_rule("dead", "running", "factor", 0.5),
        a_rule("unseen", "running", "factor", 0.85),
        a_rule("noisy", "gears", "factor", 0.8),
        a_rule("shaft", "countershaft", "amount", 100.0),
        a_rule("pulley", "countershaft", "amount", 60.0),
        a_rule("tooth", "gears", "walk-away"),
        a_rule("play", "bearings", "amount", 150.0, reading="play", limit_mm=0.05),
        a_rule("paint", "looks", "note"),
    )
}
CATALOGUE = Catalogue({"findings": RULES, "shares": Shares({}, {})}.__getitem__)
USD = Preferences()


def judged(*findings: Finding, machine: Machine | None = None) -> Judged:
    return judge_findings(machine or a_lathe(), findings, CATALOGUE, USD)


def left(amount: float, *kinds: str) -> Money:
    return judged(*(a_finding(kind) for kind in kinds)).left_of(dollars(amount))


def test_a_factor_leaves_its_share_and_an_amount_comes_off() -> None:
    assert left(1000, "dead") == dollars(500)
    assert left(1000, "shaft") == dollars(900)


def test_factors_come_before_amounts_whatever_was_found_first() -> None:
    assert left(1000, "shaft", "dead") == left(1000, "dead", "shaft") == dollars(400)


def test_one_cause_counts_once_at_its_largest() -> None:
    assert left(1000, "dead", "unseen") == dollars(500)
    assert left(1000, "pulley", "shaft") == dollars(900)


def test_two_causes_count_both() -> None:
    assert left(1000, "dead", "noisy") == dollars(400)


def test_what_is_left_is_never_below_what_the_parts_would_fetch() -> None:
    machine = a_lathe(parts_value=dollars(450))
    found = judged(a_finding("dead"), a_finding("noisy"), machine=machine)
    assert found.left_of(dollars(1000)) == dollars(450)


def test_parts_worth_more_than_the_price_do_not_raise_it() -> None:
    found = judged(a_finding("shaft"), machine=a_lathe(parts_value=dollars(5000)))
    assert found.left_of(dollars(1000)) == dollars(1000)


def test_without_a_parts_value_nothing_goes_below_nothing() -> None:
    assert left(50, "shaft") == dollars(0)


def test_his_own_amount_stands_in_place_of_the_rule() -> None:
    own = a_finding("shaft", amount=dollars(30))
    assert judged(own).left_of(dollars(1000)) == dollars(970)
    signed = a_finding("shaft", amount=dollars(-30))
    assert judged(signed).left_of(dollars(1000)) == dollars(970)


def test_a_broken_gear_ends_the_deal_unless_he_priced_it_himself() -> None:
    assert [reason.id for reason in judged(a_finding("tooth")).stop] == ["finding-walk-away"]
    priced = judged(a_finding("tooth", amount=dollars(250)))
    assert priced.stop == ()
    assert priced.left_of(dollars(1000)) == dollars(750)


@pytest.mark.parametrize(("play", "expected"), [("0.05mm", 1000), ("0.06mm", 850), (None, 850)])
def test_a_reading_within_the_limit_takes_nothing_off(play: str | None, expected: int) -> None:
    value = length(play) if play else None
    found = judged(a_finding("play", value=value))
    assert found.left_of(dollars(1000)) == dollars(expected)


def test_a_note_and_an_unknown_finding_take_nothing_off_and_the_unknown_is_said() -> None:
    found = judged(a_finding("paint"), a_finding("gremlins"))
    assert found.left_of(dollars(1000)) == dollars(1000)
    assert [reason.id for reason in found.reasons] == ["finding-unknown"]


def test_reasons_name_what_counted_and_what_had_the_same_cause() -> None:
    found = judged(a_finding("dead"), a_finding("unseen"))
    said = [reason.id for reason in finding_reasons(found, dollars(1000), dollars(800))]
    assert said == ["finding-takes-share", "finding-same-cause"]


def test_what_is_said_to_come_off_adds_up_to_what_is_left() -> None:
    found = judged(a_finding("shaft"), a_finding("dead"), a_finding("play"))
    for price in (dollars(1000), dollars(750)):
        off = sum((amount for _, amount in found.taken(price)), dollars(0))
        assert found.left_of(price) == price - off
    said = finding_reasons(found, dollars(1000), dollars(750))
    dead, shaft, _ = (dict(reason.values) for reason in said)
    assert (dead["amount"], dead["opening"]) == (dollars(500), dollars(375))
    assert shaft["amount"] == dollars(100) and "opening" not in shaft  # the same off either


def test_a_rule_in_the_tables_money_is_converted_at_the_users_rate() -> None:
    pounds = Preferences(currency="GBP", rate=0.8)
    found = judge_findings(a_lathe(), [a_finding("shaft")], CATALOGUE, pounds)
    assert found.left_of(Money.of(1000, "GBP")) == Money.of(920, "GBP")


def test_an_amount_in_a_third_currency_is_refused() -> None:
    pounds = Preferences(currency="GBP", rate=0.8)
    own = a_finding("shaft", amount=Money.of(30, "EUR"))
    with pytest.raises(KitreckonError, match="EUR"):
        judge_findings(a_lathe(), [own], CATALOGUE, pounds)


@given(
    kinds=st.lists(st.sampled_from(sorted(RULES)), max_size=6),
    low=st.integers(0, 300_000),
    more=st.integers(0, 300_000),
    parts=st.none() | st.integers(0, 100_000),
)
def test_what_is_left_rises_with_the_price_and_stays_between_nothing_and_it(
    kinds: list[str], low: int, more: int, parts: int | None
) -> None:
    machine = a_lathe(parts_value=None if parts is None else Money(parts, "USD"))
    found = judged(*(a_finding(kind) for kind in kinds), machine=machine)
    small, large = Money(low, "USD"), Money(low + more, "USD")
    assert Money(0, "USD") <= found.left_of(small) <= found.left_of(large) <= large
    assert found.left_of(small) <= small


@given(
    kinds=st.lists(st.sampled_from(sorted(RULES)), max_size=5),
    one_more=st.sampled_from(sorted(RULES)),
    price=st.integers(0, 300_000),
)
def test_one_finding_more_never_raises_what_is_left(
    kinds: list[str], one_more: str, price: int
) -> None:
    before = left(price / 100, *kinds)
    assert left(price / 100, *kinds, one_more) <= before


@pytest.mark.parametrize(
    ("features", "findings", "told"),
    [
        ((("three-phase", True),), (), True),
        ((("three-phase", False),), (), False),
        ((), (), False),
        ((), (a_finding("motor-three-phase"),), True),
        ((("three-phase", True),), (a_finding("motor-three-phase", amount=dollars(90)),), False),
    ],
)
def test_the_offer_tells_of_a_supply_the_buyer_may_not_have(
    features: tuple[tuple[str, bool], ...], findings: tuple[Finding, ...], told: bool
) -> None:
    made = reckon(
        a_lathe(features=features), a_visit(findings=findings), the_catalogue(), Preferences()
    ).offer
    said = [reason for reason in made.reasons if reason.id == "finding-costs-apart"]
    assert len(said) == told


def test_what_a_supply_costs_comes_off_once_it_is_an_amount_of_the_buyers_own() -> None:
    asked = a_lathe(features=(("three-phase", True),), asking=None)
    own = a_finding("motor-three-phase", amount=dollars(90))
    bare, less = (
        reckon(asked, a_visit(findings=findings), the_catalogue(), Preferences()).offer.limit
        for findings in ((), (own,))
    )
    assert bare is not None
    assert less == bare - dollars(90)
