"""Repairs that are still to be paid: on the list of what to buy, in a comparison, in a sale."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import product

import pytest

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.model import SUPPLIES
from kitreckon.catalogue.words import Style
from kitreckon.count import Look, Piece, Preferences
from kitreckon.quantities import Money
from kitreckon.reckoning import compare, reckon, sale, shopping
from kitreckon.reckoning.buyable import lines_to_buy
from kitreckon.reckoning.lines import fit_chance
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.packs import RANK, Missing, unit_worths
from kitreckon.reckoning.shelf import spares
from kitreckon.reckoning.shopping import ShoppingList
from kitreckon.reckoning.unsettled import if_it_fits

CATALOGUE = the_catalogue()
OUTFIT = CATALOGUE.outfits["engine-lathe-small"]
CHUCK = a_piece("chuck-4-jaw", size="8in", mount="D1-4", back="direct")
POST = a_piece("toolpost-quick-change", mount="BXA", repair=dollars(20))
HOLDERS = a_piece("toolholder-quick-change", qty=3, mount="BXA")


def looked(*pieces: Piece, looks: dict[str, int] | None = None, **more: object) -> Reckoning:
    """Only these wants were looked for, and only these pieces are there."""
    seen = {piece.kind: piece.qty for piece in pieces if piece.kind} | (looks or {})
    visit = a_visit(*pieces, looks=seen)
    return reckon(a_lathe(), visit, CATALOGUE, Preferences(), **more)  # type: ignore[arg-type]


def put_right(made: ShoppingList) -> list[tuple[str, int, Money]]:
    return [(row.piece_id, row.qty, row.cost) for row in made.buy if row.supply == "put-right"]


def points(want_id: str, units: int, missing: int) -> int:
    want = OUTFIT.want(want_id)
    assert want is not None
    return sum(unit_worths(want, missing, CATALOGUE.judgement.worth_points)[:units])


# what to buy


def test_a_piece_to_be_put_right_is_on_the_list_at_its_cost_and_its_wants_worth() -> None:
    """The four-jaw is essential and on 5 lists: 12 x (1 + 5) = 72 points of the first rank."""
    result = looked(replace(CHUCK, repair=dollars(40), repair_of="a jaw screw"))
    made = shopping(result, dollars(50), CATALOGUE)
    (line,) = made.buy
    assert (line.kind, line.supply, line.cost) == ("chuck-4-jaw", "put-right", dollars(40))
    assert line.piece_id == CHUCK.id
    assert made.worth == 72 * RANK["essential"]
    assert set(made.total_range) == {dollars(40)}
    said = CATALOGUE.words.say(line.reasons[0], Style())
    assert "a jaw screw" in said
    assert "your own figure" in said


def test_beyond_the_budget_it_is_left_out_and_says_so() -> None:
    result = looked(replace(CHUCK, repair=dollars(40)))
    made = shopping(result, dollars(39), CATALOGUE)
    assert made.buy == ()
    assert [(want, why.id) for want, why in made.left_out] == [
        ("chuck-4-jaw", "buy-put-right-too-dear")
    ]
    assert made.a_little_more is not None
    assert (made.a_little_more.adds, made.a_little_more.total) == (("chuck-4-jaw",), dollars(40))


def test_a_sound_piece_and_one_not_worth_mending_are_not_on_the_list() -> None:
    assert not put_right(shopping(looked(CHUCK), dollars(900), CATALOGUE))
    hopeless = looked(replace(CHUCK, repair=dollars(2000)))
    made = shopping(hopeless, dollars(900), CATALOGUE)
    assert not put_right(made)
    assert "chuck-4-jaw" in {row.kind for row in made.buy}


def test_only_the_units_in_use_are_put_right() -> None:
    """Four keys, two wanted, 8 for all of them: 4 to pay."""
    result = looked(a_piece("chuck-key", qty=4, repair=dollars(8)))
    assert put_right(shopping(result, dollars(100), CATALOGUE)) == [("p-chuck-key", 2, dollars(4))]


def test_what_is_owned_and_broken_is_put_right_as_well() -> None:
    result = looked(shelf=(replace(CHUCK, repair=dollars(40)),), looks={"chuck-4-jaw": 0})
    made = shopping(result, dollars(60), CATALOGUE)
    assert put_right(made) == [(CHUCK.id, 1, dollars(40))]


def test_a_post_brings_the_holders_that_are_here_into_use() -> None:
    result = looked(POST, HOLDERS, looks={"toolholder-quick-change": 8})
    made = shopping(result, dollars(20), CATALOGUE)
    assert put_right(made) == [(POST.id, 1, dollars(20))]
    holders = points("toolholder-quick-change", 3, 8)
    assert made.worth == points("toolpost-quick-change", 1, 1) + holders


def test_a_new_post_brings_only_the_holders_into_use_that_work() -> None:
    broken = replace(HOLDERS, id="broken", qty=2, repair=dollars(6))
    looks = {"toolpost-quick-change": 0, "toolholder-quick-change": 5}
    result = looked(HOLDERS, broken, looks=looks)
    lines = {line.want.id: line for line in lines_to_buy(result, CATALOGUE, SUPPLIES)}
    new = next(row for row in lines["toolpost-quick-change"].buyable if row.pack is not None)
    three = points("toolholder-quick-change", 3, 8)
    assert new.option.worth == points("toolpost-quick-change", 1, 1) + three
    mends = [row for row in lines["toolholder-quick-change"].buyable if row.put_right]
    assert {row.option.cost for row in mends if row.pack is None} == {300, 600}


def test_no_holder_is_bought_for_a_post_that_is_not_put_right() -> None:
    """Every holder costs more than nothing; alone it is of no use."""
    looks = {"toolholder-quick-change": 0}
    dear = looked(replace(POST, repair=dollars(60)), looks=looks)
    assert shopping(dear, dollars(59), CATALOGUE).buy == ()
    both = shopping(dear, dollars(160), CATALOGUE)
    kinds = {row.kind: row.supply for row in both.buy}
    assert kinds["toolpost-quick-change"] == "put-right"
    assert "toolholder-quick-change" in kinds


def test_a_mended_post_brings_no_new_holders_with_it() -> None:
    """A post bought new comes with five; the one that is here comes with none."""
    result = looked(POST, looks={"toolholder-quick-change": 0})
    made = shopping(result, dollars(2000), CATALOGUE)
    bought = {row.kind: row.qty for row in made.buy}
    assert bought["toolholder-quick-change"] == 8


def test_collets_that_wait_and_are_broken_need_closer_and_repair() -> None:
    collets = a_piece("collets-5c", mount="5C", set_of=17, repair=dollars(15))
    result = looked(collets, looks={"collet-adapter": 0})
    lines = {line.want.id: line for line in lines_to_buy(result, CATALOGUE, SUPPLIES)}
    (mend,) = lines["collets-5c"].buyable
    assert mend.option.cost == 1500
    assert mend.option.needs == {"holder:collets-5c"}
    made = shopping(result, dollars(2000), CATALOGUE)
    kinds = {row.kind: row.supply for row in made.buy}
    assert kinds["collets-5c"] == "put-right"
    assert "collet-adapter" in kinds
    closer = min(row.option.cost for row in lines["collet-adapter"].buyable)
    assert not put_right(shopping(result, Money(closer + 1499, "USD"), CATALOGUE))


def test_a_bought_and_a_mended_unit_of_one_want_are_worth_what_two_are() -> None:
    key = a_piece("chuck-key", repair=dollars(2))
    result = looked(key, looks={"chuck-key": 1})
    made = shopping(result, dollars(100), CATALOGUE)
    assert {row.supply == "put-right" for row in made.buy} == {True, False}
    assert made.worth == points("chuck-key", 2, 2)


def by_trying_all(lines: Sequence[Missing], budget: int) -> int:
    """The greatest worth of any choice whose needs are given and that the budget pays for."""
    best = 0
    for picks in product(*[(None, *line.buyable) for line in lines]):
        taken = [row.option for row in picks if row is not None]
        given = frozenset[str]().union(*(option.gives for option in taken))
        if sum(option.cost for option in taken) <= budget and all(
            option.needs <= given for option in taken
        ):
            best = max(best, sum(option.worth for option in taken))
    return best


SOME = (
    CHUCK,
    a_piece("toolpost-quick-change", mount="BXA"),
    a_piece("toolholder-quick-change", qty=2, mount="BXA"),
    a_piece("drill-chuck", size="1/2in", mount="JT33"),
    a_piece("drill-chuck-arbor", mount="MT3", text="arbor JT33 to MT3"),
    a_piece("collets-5c", mount="5C", set_of=17),
    a_piece("caliper"),
    a_piece("chuck-key", qty=2),
)


@pytest.mark.parametrize("seed", range(40))
def test_the_list_with_repairs_is_worth_what_trying_all_finds(seed: int) -> None:
    draw = random.Random(seed)
    pieces = tuple(
        replace(piece, repair=draw.choice((None, dollars(3), dollars(9), dollars(45))))
        for piece in draw.sample(SOME, 5)
    )
    looks = (Look("steady-rest", 0), Look("collet-adapter", 0)) if seed % 2 else ()
    visit = replace(a_visit(*pieces), looks=looks)
    result = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    lines = lines_to_buy(result, CATALOGUE, ("used",))
    budget = draw.choice((2_000, 6_000, 14_000, 40_000))
    made = shopping(result, Money(budget, "USD"), CATALOGUE, supplies=("used",))
    assert made.worth == by_trying_all(lines, budget)
    assert made.proven_optimal
    assert made.total.minor <= budget
    mended = {row.piece_id for row in made.buy if row.supply == "put-right"}
    assert mended <= {piece.id for piece in pieces if piece.repair}


def test_a_dearer_repair_is_never_brought_in_by_its_price() -> None:
    looks = {"steady-rest": 0, "caliper": 0}
    for budget in (20, 60, 120):
        here = []
        for cost in (10, 25, 50, 75):
            result = looked(replace(CHUCK, repair=dollars(cost)), looks=looks)
            here.append(bool(put_right(shopping(result, dollars(budget), CATALOGUE))))
        assert here == sorted(here, reverse=True)


# machines side by side


def parts(result: Reckoning, tier: str) -> dict[str, float]:
    other = replace(result.machine, id="other")
    twin = reckon(other, replace(result.visit, machine_id="other"), CATALOGUE, Preferences())
    side = next(
        side
        for side in compare([result, twin], tier, CATALOGUE).sides  # type: ignore[arg-type]
        if side.machine_id == result.machine.id
    )
    return {
        part: side.part(part) / 100
        for part in ("price", "missing", "repairs", "surplus")  # type: ignore[arg-type]
    }


def test_repairs_of_pieces_stand_with_those_of_the_machine_and_once() -> None:
    """A worn cross feed, and 40 for the four-jaw: the chuck is neither missing nor surplus."""
    finding = a_finding("cross-feed-backlash", amount=dollars(70))
    sound = looked(CHUCK)
    visit = replace(sound.visit, findings=(finding,), pieces=(replace(CHUCK, repair=dollars(40)),))
    found = parts(reckon(sound.machine, visit, CATALOGUE, Preferences()), "essential")
    assert found["repairs"] == 110
    assert (found["missing"], found["surplus"]) == (0, 0)


def test_a_repair_for_a_handy_thing_is_not_part_of_the_essential_outfit() -> None:
    light = a_piece("work-light", repair=dollars(5))
    assert parts(looked(light), "essential")["repairs"] == 0
    assert parts(looked(light), "handy")["repairs"] == 5


def test_what_is_sold_as_it_is_costs_no_repair_and_brings_the_less() -> None:
    spare = replace(CHUCK, id="spare", repair=dollars(40))
    found = parts(looked(CHUCK, spare), "essential")
    assert found["repairs"] == 0
    alone = looked(CHUCK, spare).values["spare"].part_out_mean
    assert -found["surplus"] == pytest.approx(float(alone.major), abs=0.02)


# a sale, and what is spare


def test_a_piece_to_be_put_right_is_sold_as_it_is() -> None:
    broken = replace(CHUCK, repair=dollars(40))
    result = looked(broken)
    plan = sale(a_lathe(), result.visit, CATALOGUE, Preferences(power=1.0))
    (line,) = plan.lines
    leaves = {
        "singly": result.values[CHUCK.id].part_out_mean,
        "with-machine": result.values[CHUCK.id].worth_mean,
        "in-lot": result.values[CHUCK.id].floor,
    }
    assert line.leaves == leaves[line.way]
    assert (
        line.leaves
        < sale(a_lathe(), looked(CHUCK).visit, CATALOGUE, Preferences(power=1.0)).lines[0].leaves
    )


def test_a_machine_is_not_shown_at_work_with_a_broken_chuck() -> None:
    ids = [
        reason.id
        for reason in sale(a_lathe(), looked(CHUCK).visit, CATALOGUE, Preferences()).reasons
    ]
    broken = looked(replace(CHUCK, repair=dollars(40))).visit
    assert "sale-shown" in ids
    reasons = sale(a_lathe(), broken, CATALOGUE, Preferences()).reasons
    assert "sale-shown" not in [reason.id for reason in reasons]


def test_a_broken_spare_fills_nothing_elsewhere_as_it_is() -> None:
    first = looked(CHUCK, replace(CHUCK, id="spare", repair=dollars(30)))
    other = a_lathe(id="m2")
    empty = reckon(other, a_visit(looks={"chuck-4-jaw": 0}), CATALOGUE, Preferences())
    (found,) = [row for row in spares([first, empty], CATALOGUE) if row.piece_id == "spare"]
    assert found.fills == ()


def test_a_piece_whose_fit_is_not_known_is_put_right_only_if_it_fits() -> None:
    """A four-jaw whose back nobody saw: its repair is on the list, and so is the doubt."""
    unknown = a_piece("chuck-4-jaw", size="8in", repair=dollars(40), repair_of="a jaw screw")
    result = looked(unknown)
    assert result.fits[unknown.id].verdict == "unknown"
    (line,) = shopping(result, dollars(50), CATALOGUE).buy
    assert line.if_it_fits
    assert "if it fits" in CATALOGUE.words.say(line.reasons[0], Style())
    known = looked(replace(CHUCK, repair=dollars(40)))
    (line,) = shopping(known, dollars(50), CATALOGUE).buy
    assert not line.if_it_fits
    assert "if it fits" not in CATALOGUE.words.say(line.reasons[0], Style())


def test_a_want_met_only_if_a_piece_fits_stays_open_with_its_chance() -> None:
    unknown = a_piece("chuck-4-jaw", size="8in", repair=dollars(40))
    (open_want,) = if_it_fits(looked(unknown), CATALOGUE)
    assert (open_want.want, open_want.tier, open_want.qty) == ("chuck-4-jaw", "essential", 1)
    assert open_want.chance == fit_chance(CATALOGUE.kinds["chuck-4-jaw"], CATALOGUE)
    assert open_want.piece_id == unknown.id
    assert if_it_fits(looked(CHUCK), CATALOGUE) == ()
