"""What to buy first: exact, whatever it costs; nothing bought that is of no use by itself."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from builders import a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.model import SUPPLIES, TIERS
from kitreckon.catalogue.words import Style
from kitreckon.count import Machine, OwnPrice, Piece, Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, Range
from kitreckon.reckoning import again, reckon, shopping
from kitreckon.reckoning.buyable import lines_to_buy
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.packs import RANK
from kitreckon.reckoning.prerequisites import Group, Option, Problem, choose
from kitreckon.reckoning.shopping import ShoppingList

CATALOGUE = the_catalogue()
LATHE = [want.id for want in CATALOGUE.outfits["engine-lathe-small"].wants]


def bare(*pieces: Piece, machine: Machine | None = None, **settings: Any) -> Reckoning:
    """A lathe on which everything was looked for and only these pieces were found."""
    seen: dict[str, int] = dict.fromkeys(LATHE, 0)
    for piece in pieces:
        if piece.kind in seen:
            seen[piece.kind] += piece.qty
    visit = a_visit(*pieces, looks=seen)
    return reckon(machine or a_lathe(), visit, CATALOGUE, Preferences(**settings))


EMPTY = bare()


def kinds(made: ShoppingList) -> dict[str, int]:
    """What is on the list, without what is bought beside something."""
    bought: dict[str, int] = {}
    for row in made.buy:
        if not row.goes_with:
            bought[row.kind] = bought.get(row.kind, 0) + row.qty
    return bought


def tier_worth(made: ShoppingList, tier: str) -> int:
    worth, left = {}, made.worth
    for name in TIERS:
        worth[name], left = divmod(left, RANK[name])
    return worth[tier]


# exactness


def optimum_by_integer_solver(groups: list[Group], budget: int) -> float:
    """The greatest worth by scipy's integer solver, one tier after the other."""
    options = [(n, option) for n, group in enumerate(groups) for option in group.options]
    rows, lows, highs = [[o.cost for _, o in options]], [-np.inf], [float(budget)]
    for n in range(len(groups)):
        rows.append([float(m == n) for m, _ in options])
        lows.append(0.0)
        highs.append(1.0)
    for n, (_, option) in enumerate(options):
        for key in option.needs:
            row = [-float(key in other.gives) for _, other in options]
            row[n] += 1.0
            rows.append(row)
            lows.append(-np.inf)
            highs.append(0.0)
    total = 0
    for tier in TIERS:
        part = np.array([float(_share(option.worth, tier)) for _, option in options])
        solved = milp(
            -part,
            constraints=[LinearConstraint(np.array(rows), lows, highs)],
            integrality=np.ones(len(options)),
            bounds=Bounds(0, 1),
            options={"mip_rel_gap": 0},
        )
        best = round(-solved.fun)
        total += best * RANK[tier]
        rows.append(list(part))
        lows.append(float(best))
        highs.append(np.inf)
    return total


def _share(worth: int, tier: str) -> int:
    left = worth
    for name in TIERS:
        part, left = divmod(left, RANK[name])
        if name == tier:
            return part
    raise AssertionError(tier)


@pytest.mark.parametrize("budget", [40, 120, 333, 777, 1500, 2600])
def test_list_for_a_bare_lathe_is_worth_what_the_integer_solver_finds(budget: int) -> None:
    lines = lines_to_buy(EMPTY, CATALOGUE, SUPPLIES)
    groups = [Group(tuple(row.option for row in line.buyable)) for line in lines]
    made = shopping(EMPTY, dollars(budget), CATALOGUE)
    assert made.worth == optimum_by_integer_solver(groups, budget * 100)
    assert made.proven_optimal
    assert made.off_by_at_most == 0
    assert made.total <= made.budget


def test_the_sum_of_the_lines_is_the_total_and_lies_in_its_range() -> None:
    made = shopping(EMPTY, dollars(1500), CATALOGUE)
    assert sum(row.cost.minor for row in made.buy) == made.total.minor
    assert made.total_range.low < made.total < made.total_range.high


OPTIONS = st.builds(
    Option,
    st.integers(1, 30),
    st.integers(0, 12),
    st.frozensets(st.sampled_from("ab"), max_size=1),
    st.frozensets(st.sampled_from("abc"), max_size=1),
)
GROUPS = st.lists(
    st.lists(OPTIONS, min_size=1, max_size=3).map(lambda rows: Group(tuple(rows))),
    min_size=1,
    max_size=7,
)


def dearer(group: Group, by: int) -> Group:
    return Group(tuple(replace(option, cost=option.cost + by) for option in group.options))


@given(groups=GROUPS, budget=st.integers(0, 90), which=st.integers(0, 6), by=st.integers(1, 30))
@settings(max_examples=300, deadline=None)
def test_raising_the_price_of_one_thing_never_brings_it_in(
    groups: list[Group], budget: int, which: int, by: int
) -> None:
    which %= len(groups)
    before = choose(groups, budget)
    after = choose([dearer(g, by) if n == which else g for n, g in enumerate(groups)], budget)
    assert before is not None
    assert after is not None
    if before.picks[which] is None:
        assert after.picks[which] is None
    assert after.worth <= before.worth


@given(groups=GROUPS, budget=st.integers(0, 90), factor=st.integers(2, 7))
@settings(max_examples=200, deadline=None)
def test_all_prices_and_the_budget_times_a_factor_change_nothing(
    groups: list[Group], budget: int, factor: int
) -> None:
    scaled = [
        Group(tuple(replace(option, cost=option.cost * factor) for option in group.options))
        for group in groups
    ]
    now, then = choose(groups, budget), choose(scaled, budget * factor)
    assert now is not None
    assert then is not None
    assert (then.picks, then.worth) == (now.picks, now.worth)


@pytest.mark.parametrize("kind", ["steady-rest", "caliper", "toolbits", "taps-dies"])
def test_a_dearer_thing_is_never_brought_in_by_its_price(kind: str) -> None:
    for budget in (60, 300, 900):
        before = kinds(shopping(EMPTY, dollars(budget), CATALOGUE)).get(kind, 0)
        price = Range(dollars(4000), dollars(5000), dollars(6000))
        own = tuple(OwnPrice(supply, kind, supply, price, 2024) for supply in SUPPLIES)
        visit, machine = EMPTY.visit, EMPTY.machine
        dear = reckon(machine, visit, CATALOGUE, EMPTY.preferences, own_prices=own)
        assert kinds(shopping(dear, dollars(budget), CATALOGUE)).get(kind, 0) <= before


@pytest.mark.parametrize("budget", [150, 700, 2000])
def test_twice_the_prices_and_twice_the_budget_give_the_same_list(budget: int) -> None:
    once = shopping(EMPTY, dollars(budget), CATALOGUE)
    dear = bare(currency="GBP", rate=2.0)
    twice = shopping(dear, Money.of(2 * budget, "GBP"), CATALOGUE)
    assert kinds(twice) == kinds(once)
    assert twice.worth == once.worth


def test_essentials_come_first_then_usual_then_handy() -> None:
    lines = lines_to_buy(EMPTY, CATALOGUE, SUPPLIES)
    groups = [Group(tuple(row.option for row in line.buyable)) for line in lines]
    for budget in (80, 250, 600):
        made = shopping(EMPTY, dollars(budget), CATALOGUE)
        only_essential = [
            group
            if line.want.tier == "essential"
            else Group(tuple(replace(option, worth=0) for option in group.options))
            for line, group in zip(lines, groups, strict=True)
        ]
        best = choose(only_essential, budget * 100)
        assert best is not None
        assert tier_worth(made, "essential") == best.worth // RANK["essential"]


def test_a_larger_budget_is_never_worth_less() -> None:
    worths = [shopping(EMPTY, dollars(n), CATALOGUE).worth for n in range(0, 1200, 75)]
    assert worths == sorted(worths)
    assert len(set(worths)) > 10


# of use by itself


@pytest.mark.parametrize("budget", [20, 60, 100, 200, 400, 800, 1200, 2400, 9000])
def test_nothing_is_bought_that_is_of_no_use_without_another(budget: int) -> None:
    bought = kinds(shopping(EMPTY, dollars(budget), CATALOGUE))
    if "collets-5c" in bought:
        assert "collet-adapter" in bought
    if "collets-er" in bought:
        assert "chuck-collet" in bought
    if "toolholder-quick-change" in bought:
        assert "toolpost-quick-change" in bought
    if "chuck-key" in bought:
        assert bought.keys() & {"chuck-3-jaw", "chuck-4-jaw", "drill-chuck"}
    assert bought.get("drill-chuck", 0) == bought.get("drill-chuck-arbor", 0)
    assert ("lathe-dog" not in bought) or ("drive-plate" in bought)
    assert ("taper-sleeve" in bought) <= (bought.get("centre-dead", 0) > 0)


def test_everything_is_bought_when_money_is_no_matter() -> None:
    made = shopping(EMPTY, dollars(100_000), CATALOGUE)
    assert not made.left_out
    assert made.runner_up is None
    assert made.a_little_more is None


def test_a_chuck_is_bought_with_its_backplate_on_a_line_of_its_own() -> None:
    made = shopping(EMPTY, dollars(2000), CATALOGUE)
    chuck = next(row for row in made.buy if row.kind == "chuck-4-jaw")
    plate = next(row for row in made.buy if row.goes_with == "chuck-4-jaw")
    assert (plate.kind, plate.qty, plate.want) == ("chuck-backplate", chuck.qty, chuck.want)


def test_holders_that_come_with_a_post_are_not_paid_twice() -> None:
    post = kinds(shopping(EMPTY, dollars(100_000), CATALOGUE))
    holders = dict(CATALOGUE.prices["toolpost-quick-change"].holds)["toolholder-quick-change"]
    wanted = CATALOGUE.outfits["engine-lathe-small"].want("toolholder-quick-change")
    assert wanted is not None
    assert post["toolpost-quick-change"] == 1
    assert post["toolholder-quick-change"] == wanted.qty - holders


def test_what_is_here_is_not_bought_and_serves_what_needs_it() -> None:
    here = bare(a_piece("chuck-collet", mount="D1-4"))
    bought = kinds(shopping(here, dollars(4000), CATALOGUE))
    assert "collets-er" in bought
    assert "chuck-collet" not in bought


def test_a_used_one_is_not_offered_where_wear_is_its_whole_value() -> None:
    made = shopping(EMPTY, dollars(100_000), CATALOGUE)
    supply = {row.kind: row.supply for row in made.buy}
    assert supply["centre-live"] != "used"
    assert supply["chuck-4-jaw"] == "used"


def test_supplies_can_be_narrowed() -> None:
    made = shopping(EMPTY, dollars(5000), CATALOGUE, supplies=("new-name-brand",))
    assert {row.supply for row in made.buy if not row.goes_with} == {"new-name-brand"}


def test_a_prerequisite_nobody_looked_for_may_be_bought_too() -> None:
    visit = a_visit(looks={"collets-5c": 0})
    made = shopping(reckon(a_lathe(), visit, CATALOGUE, Preferences()), dollars(900), CATALOGUE)
    assert set(kinds(made)) in ({"collets-5c", "collet-adapter"}, {"collets-er", "chuck-collet"})


# alternatives


def runner_up_by_trying_all(groups: list[Group], best: Any, budget: int) -> int:
    worths = [-1]
    for picks in product(*[(None, *range(len(group.options))) for group in groups]):
        taken = [g.options[p] for g, p in zip(groups, picks, strict=True) if p is not None]
        given_keys = {key for option in taken for key in option.gives}
        new = any(p is not None and b is None for p, b in zip(picks, best.picks, strict=True))
        usable = all(option.needs <= given_keys for option in taken)
        if new and usable and sum(option.cost for option in taken) <= budget:
            worths.append(sum(option.worth for option in taken))
    return max(worths)


def test_the_runner_up_is_the_best_with_something_the_list_leaves_out() -> None:
    draw = random.Random(5)
    for _ in range(150):
        groups = [
            Group(
                tuple(
                    Option(
                        draw.randint(1, 30),
                        draw.randint(1, 12),
                        frozenset(k for k in "ab" if draw.random() < 0.2),
                        frozenset(k for k in "ab" if draw.random() < 0.3),
                    )
                    for _ in range(draw.randint(1, 2))
                )
            )
            for _ in range(draw.randint(1, 6))
        ]
        budget = draw.randint(5, 70)
        best = choose(groups, budget)
        assert best is not None
        found = Problem(groups, budget + draw.randint(0, 30)).runner_up(best, budget)
        expected = runner_up_by_trying_all(groups, best, budget)
        assert (found.worth if found else -1) == expected


@pytest.mark.parametrize("budget", [0, 90, 400, 1100])
def test_a_little_more_is_the_least_addition_that_makes_the_list_better(budget: int) -> None:
    made = shopping(EMPTY, dollars(budget), CATALOGUE)
    more = made.a_little_more
    assert more is not None
    assert more.total > made.budget
    assert more.worth > made.worth
    less = Money(more.total.minor - 101, "USD")
    assert shopping(EMPTY, max(less, made.budget), CATALOGUE).worth == made.worth


def test_alternatives_say_what_they_add_and_drop() -> None:
    made = shopping(EMPTY, dollars(300), CATALOGUE)
    assert made.runner_up is not None
    assert made.runner_up.adds
    assert made.runner_up.worth <= made.worth
    assert made.runner_up.total <= made.budget


# bad input and what cannot be


def test_a_budget_of_nothing_buys_nothing_and_says_so() -> None:
    made = shopping(EMPTY, dollars(0), CATALOGUE)
    assert made.buy == ()
    assert made.total == dollars(0)
    assert "buy-no-budget" in [reason.id for reason in made.reasons]


def test_a_budget_below_nothing_is_refused() -> None:
    with pytest.raises(KitreckonError, match="below nothing"):
        shopping(EMPTY, dollars(-1), CATALOGUE)


def test_a_budget_in_a_currency_without_a_rate_is_refused() -> None:
    with pytest.raises(KitreckonError, match="EUR"):
        shopping(EMPTY, Money.of(100, "EUR"), CATALOGUE)


def test_a_want_without_a_price_is_named_and_never_bought() -> None:
    prices = {kind: table for kind, table in CATALOGUE.prices.items() if kind != "caliper"}

    class Narrowed(type(CATALOGUE)):  # type: ignore[misc]
        pass

    narrowed = Narrowed(CATALOGUE.folders)  # type: ignore[attr-defined]
    narrowed.prices = prices
    visit = a_visit(looks={"caliper": 0})
    made = shopping(reckon(a_lathe(), visit, narrowed, Preferences()), dollars(500), narrowed)
    assert made.buy == ()
    assert [(want, reason.id) for want, reason in made.left_out] == [("caliper", "buy-no-price")]


def test_what_is_dearer_than_the_whole_budget_says_so() -> None:
    made = shopping(EMPTY, dollars(30), CATALOGUE)
    why = dict(made.left_out)
    assert why["taper-attachment"].id == "buy-too-dear"
    assert why["caliper"].id == "buy-left-out"


def test_nothing_missing_is_said() -> None:
    nothing_looked = reckon(a_lathe(), a_visit(), CATALOGUE, Preferences())
    made = shopping(nothing_looked, dollars(500), CATALOGUE)
    assert made.buy == ()
    assert [reason.id for reason in made.reasons] == ["buy-nothing-missing"]


def test_every_reason_has_its_sentence() -> None:
    made = shopping(EMPTY, dollars(300), CATALOGUE)
    for reason in (*made.reasons, *(why for _, why in made.left_out)):
        said = CATALOGUE.words.say(reason, Style())
        assert "{" not in said
        assert not said.startswith(reason.id)


def test_a_purchase_of_the_list_closes_its_gaps() -> None:
    made = shopping(EMPTY, dollars(120), CATALOGUE)
    bought = {row.want for row in made.buy}
    looked = tuple(look for look in EMPTY.visit.looks)
    pieces = tuple(
        a_piece(row.kind, id=f"bought-{n}", qty=row.qty, mount="MT3", tried=True)
        for n, row in enumerate(made.buy)
        if not row.goes_with
    )
    seen = {piece.kind: piece.qty for piece in pieces}
    looks = tuple(
        replace(look, seen=seen.get(look.want, look.seen)) if look.want in bought else look
        for look in looked
    )
    then = again(EMPTY, CATALOGUE, visit=replace(EMPTY.visit, pieces=pieces, looks=looks))
    left = {gap.want for gap in then.gaps}
    assert "chuck-key" in bought
    assert "chuck-key" not in left


def test_an_essential_of_use_only_with_what_nobody_looked_for_says_so() -> None:
    """The sleeve holds the centre of the spindle; with money over nothing else tells why not."""
    looked_for = reckon(a_lathe(), a_visit(looks={"taper-sleeve": 0}), CATALOGUE, Preferences())
    made = shopping(looked_for, dollars(500), CATALOGUE)
    ((want, why),) = made.left_out
    assert (want, why.id) == ("taper-sleeve", "buy-for-what-nobody-looked-for")
    told = CATALOGUE.words.say(why, Style(words="american"))
    assert "only with dead center for the spindle, and nobody looked" in told


def test_what_carries_a_thing_that_cannot_be_had_says_so() -> None:
    """Both were looked for, and neither supply has the centre."""
    prices = {kind: table for kind, table in CATALOGUE.prices.items() if kind != "centre-dead"}

    class Narrowed(type(CATALOGUE)):  # type: ignore[misc]
        pass

    narrowed = Narrowed(CATALOGUE.folders)  # type: ignore[attr-defined]
    narrowed.prices = prices
    visit = a_visit(looks={"taper-sleeve": 0, "centre-dead-spindle": 0})
    made = shopping(reckon(a_lathe(), visit, narrowed, Preferences()), dollars(500), narrowed)
    assert dict(made.left_out)["taper-sleeve"].id == "buy-nothing-for-it"


def test_what_nobody_looked_for_is_not_left_out_of_a_list() -> None:
    """The arbors of drill chucks that are not bought leave nothing open."""
    visit = a_visit(looks={"drill-chuck": 0})
    made = shopping(reckon(a_lathe(), visit, CATALOGUE, Preferences()), dollars(1), CATALOGUE)
    assert [want for want, _ in made.left_out] == ["drill-chuck"]


@pytest.mark.parametrize("money", [40, 150, 400, 2000])
def test_no_essential_stays_off_the_list_without_a_reason(money: int) -> None:
    made = shopping(EMPTY, dollars(money), CATALOGUE)
    listed = {row.want for row in made.buy} | {want for want, _ in made.left_out}
    assert {gap.want for gap in EMPTY.gaps if gap.tier == "essential"} <= listed
