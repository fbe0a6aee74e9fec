"""Opening, target and limit, and the rules that hold whatever is counted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.model import Catalogue, FindingRule, Shares
from kitreckon.count import ExtraCost, Machine, Piece, Preferences, Visit
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, Range
from kitreckon.reckoning.model import Adds, Offer, Reckoning
from kitreckon.reckoning.offer import offer, split

WALK = FindingRule("tooth", "tooth", "tooth", "gears", "walk-away")
SUBJECTS = {
    "findings": {"tooth": WALK},
    "shares": Shares({}, {}),
    "judgement": the_catalogue().judgement,
}
CATALOGUE = Catalogue(SUBJECTS.__getitem__)


@dataclass(frozen=True)
class Line:
    """The values of one counted line."""

    worth_mean: Money
    part_out_mean: Money
    floor: Money


def a_line(worth: float, part_out: float, floor: float) -> Line:
    return Line(dollars(worth), dollars(part_out), dollars(floor))


def offered(
    machine: Machine, lines: Mapping[str, Line] = {}, visit: Visit | None = None, **more: Any
) -> tuple[Offer, Adds]:
    pieces = [a_piece("thing", id=name) for name in lines]
    preferences = more.pop("preferences", Preferences())
    return offer(machine, visit or a_visit(*pieces), lines, CATALOGUE, preferences, **more)


def figures(made: Offer) -> tuple[Money | None, Money | None, Money | None]:
    return made.opening, made.target, made.limit


def ids(reasons: tuple[Any, ...]) -> list[str]:
    return [reason.id for reason in reasons]


# bare 1,000 / 1,400 / 1,800, asking 1,900


def test_opening_takes_the_low_price_and_floors_limit_the_typical_and_worth() -> None:
    lines = {"chuck": a_line(120, 60, 20), "rest": a_line(200, 150, 60)}
    made, adds = offered(a_lathe(), lines)
    assert figures(made) == (dollars(1080), dollars(1400), dollars(1720))
    assert adds == Adds(dollars(80), dollars(200), dollars(320))
    assert made.stop == ()


@pytest.mark.parametrize(("power", "target"), [(0, 1400), (0.25, 1300), (0.5, 1200), (1, 1000)])
def test_target_lies_between_by_bargaining_power(power: float, target: int) -> None:
    made, _ = offered(a_lathe(), preferences=Preferences(power=power))
    assert made.target == dollars(target)


def test_every_piece_absent_still_leaves_room_between_opening_and_limit() -> None:
    one_price = Range(dollars(1400), dollars(1400), dollars(1400))
    made, adds = offered(a_lathe(bare_price=one_price))
    assert figures(made) == (dollars(1330), dollars(1365), dollars(1400))
    assert adds == Adds(dollars(0), dollars(0), dollars(0))


def test_asking_price_is_a_cap_and_never_a_base() -> None:
    low, _ = offered(a_lathe(asking=dollars(1200)))
    high, _ = offered(a_lathe(asking=dollars(9000)))
    unknown, _ = offered(a_lathe(asking=None))
    assert figures(low) == (dollars(1000), dollars(1100), dollars(1200))
    assert figures(high) == figures(unknown) == (dollars(1000), dollars(1200), dollars(1400))
    assert low.worth_to_you == dollars(1400)
    assert "offer-asking-caps" in ids(low.reasons)
    assert "offer-asking-unknown" in ids(unknown.reasons)


def test_who_asks_less_than_the_opening_is_opened_under_his_price() -> None:
    made, _ = offered(a_lathe(asking=dollars(800)))
    assert figures(made) == (dollars(760), dollars(780), dollars(800))


def test_a_machine_given_away_is_taken_for_nothing() -> None:
    made, _ = offered(a_lathe(asking=dollars(0)))
    assert figures(made) == (dollars(0), dollars(0), dollars(0))


def test_extra_costs_come_off_and_are_shown_apart() -> None:
    rigging = ExtraCost("rigging", dollars(300))
    made, _ = offered(a_lathe(extra_costs=(rigging,)))
    assert figures(made) == (dollars(700), dollars(900), dollars(1100))
    assert "offer-extra-cost" in ids(made.reasons)


def test_extra_costs_above_the_machine_leave_no_offer() -> None:
    rigging = ExtraCost("rigging", dollars(1500))
    made, _ = offered(a_lathe(extra_costs=(rigging,)))
    assert figures(made) == (None, None, None)
    assert ids(made.stop) == ["offer-nothing-left"]


def test_a_finding_that_says_walk_away_leaves_no_offer_but_says_what_the_bundle_adds() -> None:
    visit = a_visit(a_piece("thing", id="chuck"), findings=(a_finding("tooth"),))
    made, adds = offered(a_lathe(parts_value=dollars(300)), {"chuck": a_line(90, 50, 10)}, visit)
    assert figures(made) == (None, None, None)
    assert ids(made.stop) == ["finding-walk-away"]
    assert adds.limit == dollars(90)
    assert made.worth_to_you == dollars(390)


def test_without_a_bare_price_the_bundle_is_still_priced_and_the_reason_says_what_to_enter() -> (
    None
):
    made, adds = offered(a_lathe(bare_price=None), {"chuck": a_line(90, 50, 10)})
    assert figures(made) == (None, None, None)
    assert ids(made.stop) == ["offer-no-bare-price"]
    assert adds == Adds(dollars(10), dollars(50), dollars(90))


def test_a_bare_price_in_a_currency_without_a_rate_is_refused() -> None:
    price = Range(*(Money.of(amount, "EUR") for amount in (1, 2, 3)))
    with pytest.raises(KitreckonError, match="EUR"):
        offered(a_lathe(bare_price=price), preferences=Preferences(currency="GBP", rate=0.8))


@pytest.mark.parametrize("power", [-0.1, 1.5, float("nan")])
def test_a_bargaining_power_that_is_none_is_refused(power: float) -> None:
    with pytest.raises(KitreckonError, match="bargaining power"):
        offered(a_lathe(), preferences=Preferences(power=power))


def test_prices_below_nothing_are_refused() -> None:
    with pytest.raises(KitreckonError, match="asking price: -5 is below nothing"):
        offered(a_lathe(asking=dollars(-5)))
    price = Range(dollars(-1), dollars(2), dollars(3))
    with pytest.raises(KitreckonError, match="bare price: -1 is below nothing"):
        offered(a_lathe(bare_price=price))


# let him keep it


def test_a_piece_he_wants_more_for_than_it_is_worth_is_left_with_him() -> None:
    piece = a_piece("thing", id="dear", floor=dollars(150))
    made, adds = offered(a_lathe(), {"dear": a_line(100, 40, 150)}, a_visit(piece))
    assert made.let_him_keep == ("dear",)
    assert adds == Adds(dollars(0), dollars(0), dollars(0))
    assert "offer-let-him-keep" in ids(made.reasons)


def test_a_floor_nobody_stated_is_no_more_than_he_would_net() -> None:
    _, adds = offered(a_lathe(), {"heavy": a_line(0, 0, 15)})
    assert adds.opening == dollars(0)


def test_a_dear_duplicate_left_with_him_gives_its_place_back() -> None:
    """The dear one covers the want while it is there; without it the plain one does."""
    pieces = (
        a_piece("thing", id="dear", floor=dollars(400)),
        a_piece("thing", id="plain", floor=dollars(60)),
    )
    both = {"dear": a_line(120, 50, 400), "plain": a_line(20, 20, 60)}

    def revalue(kept: frozenset[str]) -> dict[str, Line]:
        left = {name: line for name, line in both.items() if name not in kept}
        return left | ({"plain": a_line(100, 20, 60)} if kept == {"dear"} else {})

    made, adds = offered(a_lathe(), both, a_visit(*pieces), revalue=revalue)
    assert made.let_him_keep == ("dear",)
    assert adds == Adds(dollars(60), dollars(80), dollars(100))


def test_a_floor_is_set_against_what_the_deal_would_lose_without_the_piece() -> None:
    """Two that do the same work: without the dear one the cheap one takes over most of it."""
    pieces = (a_piece("thing", id="dear", floor=dollars(90)), a_piece("thing", id="cheap"))
    both = {"dear": a_line(100, 20, 90), "cheap": a_line(5, 5, 1)}

    def revalue(kept: frozenset[str]) -> dict[str, Line]:
        return {"cheap": a_line(50, 5, 1)} if kept == {"dear"} else {"dear": both["dear"]}

    made, adds = offered(a_lathe(), both, a_visit(*pieces), revalue=revalue)
    assert made.let_him_keep == ("dear",)
    assert adds.limit == dollars(50)


def test_what_he_keeps_himself_is_no_part_of_the_offer() -> None:
    visit = a_visit(a_piece("thing", id="chuck", his=True))
    _, adds = offered(a_lathe(), {"chuck": a_line(90, 50, 10)}, visit)
    assert adds.limit == dollars(0)


# the next best machine


def another(target: float, worth: float, **facts: Any) -> Reckoning:
    """Another machine of the book, with no more of its reckoning than an offer looks at."""
    made = Offer(dollars(target), dollars(target), dollars(target), dollars(worth))
    machine = a_lathe(**({"id": "m9", "name": "the other lathe"} | facts))
    blank: Any = None
    return Reckoning(machine, a_visit(), Preferences(), {}, blank, {}, (), (), blank, made)


def test_no_price_here_may_leave_him_worse_off_than_the_next_best_machine() -> None:
    made, _ = offered(a_lathe(), others=[another(target=1100, worth=1300)])
    assert made.limit == dollars(1200)
    assert "offer-next-best" in ids(made.reasons)


def test_a_next_best_better_than_anything_here_leaves_no_offer() -> None:
    made, _ = offered(a_lathe(), others=[another(target=500, worth=1300)])
    assert figures(made) == (None, None, None)
    assert ids(made.stop)[0] == "offer-floors-over-ceilings"


@pytest.mark.parametrize(
    "facts", [{"id": "m1"}, {"status": "sold"}, {"status": "owned"}, {"machine_class": "shaper"}]
)
def test_only_another_comparable_machine_for_sale_is_a_next_best(facts: dict[str, str]) -> None:
    made, _ = offered(a_lathe(), others=[another(500, 1300, **facts)])
    assert made.limit == dollars(1400)


# whatever is counted

MONEY = st.integers(0, 500_000).map(lambda minor: Money(minor, "USD"))
BARE = st.lists(st.integers(1, 500_000), min_size=3, max_size=3).map(
    lambda three: Range(*(Money(minor, "USD") for minor in sorted(three)))
)


@st.composite
def lines_of_any_sort(draw: st.DrawFn) -> dict[str, Line]:
    lines = {}
    for n in range(draw(st.integers(0, 5))):
        part_out, more, floor = (draw(st.integers(0, 60_000)) for _ in range(3))
        lines[f"p{n}"] = Line(
            Money(part_out + more, "USD"), Money(part_out, "USD"), Money(floor, "USD")
        )
    return lines


def stated(lines: Mapping[str, Line], some: bool) -> Visit:
    """A visit of these lines; with ``some``, every second floor is the seller's own word."""
    pieces: list[Piece] = []
    for n, (name, line) in enumerate(lines.items()):
        piece = a_piece("thing", id=name)
        pieces.append(replace(piece, floor=line.floor) if some and n % 2 else piece)
    return a_visit(*pieces)


@given(
    bare=BARE,
    asking=st.none() | MONEY,
    lines=lines_of_any_sort(),
    power=st.floats(0, 1),
    extra=st.integers(0, 100_000),
    some=st.booleans(),
)
@settings(max_examples=300)
def test_figures_are_in_order_and_under_the_asking_price(
    bare: Range[Money],
    asking: Money | None,
    lines: dict[str, Line],
    power: float,
    extra: int,
    some: bool,
) -> None:
    machine = a_lathe(
        bare_price=bare,
        asking=asking,
        extra_costs=(ExtraCost("rigging", Money(extra, "USD")),),
    )
    made, adds = offered(machine, lines, stated(lines, some), preferences=Preferences(power=power))
    assert adds.opening <= adds.target <= adds.limit
    if made.opening is None or made.target is None or made.limit is None:
        assert made.stop
        return
    assert dollars(0) <= made.opening <= made.target <= made.limit <= made.worth_to_you
    assert asking is None or made.limit <= asking
    assert made.limit.minor < 10 or made.opening < made.limit


@given(bare=BARE, asking=MONEY, less=st.integers(0, 500_000), lines=lines_of_any_sort())
def test_a_lower_asking_price_raises_nothing(
    bare: Range[Money], asking: Money, less: int, lines: dict[str, Line]
) -> None:
    lower = Money(max(asking.minor - less, 0), "USD")
    before, _ = offered(a_lathe(bare_price=bare, asking=asking), lines)
    after, _ = offered(a_lathe(bare_price=bare, asking=lower), lines)
    for now, then in zip(figures(before), figures(after), strict=True):
        assert now is not None
        assert then is not None
        assert then <= now


@given(bare=BARE, asking=st.none() | MONEY, lines=lines_of_any_sort(), data=st.data())
def test_one_piece_more_lowers_neither_opening_nor_limit(
    bare: Range[Money], asking: Money | None, lines: dict[str, Line], data: st.DataObject
) -> None:
    part_out, more, floor = (data.draw(st.integers(0, 60_000)) for _ in range(3))
    extra = Line(Money(part_out + more, "USD"), Money(part_out, "USD"), Money(floor, "USD"))
    machine = a_lathe(bare_price=bare, asking=asking)
    before, _ = offered(machine, lines)
    after, _ = offered(machine, {**lines, "extra": extra})
    for now, then in zip(figures(before), figures(after), strict=True):
        assert now is not None
        assert then is not None
        assert now <= then


@given(floor=MONEY, room=st.integers(0, 500_000), power=st.floats(0, 1))
def test_a_split_lies_between_floor_and_ceiling(floor: Money, room: int, power: float) -> None:
    ceiling = Money(floor.minor + room, "USD")
    assert floor <= split(floor, ceiling, power) <= ceiling
