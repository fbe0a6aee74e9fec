"""Machines side by side: the whole cost, the chance that one is cheaper, what would reverse it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from builders import a_finding, a_lathe, a_mill, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import ExtraCost, Look, Machine, Piece, Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Range
from kitreckon.reckoning import compare, reckon
from kitreckon.reckoning.comparison import Cost, Side, chance_cheaper
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.spread import Spread
from price_draws import draw_sums

CATALOGUE = the_catalogue()
LATHE = [want.id for want in CATALOGUE.outfits["engine-lathe-small"].wants]
DRAWS = 40_000


def counted(
    machine: Machine, *pieces: Piece, unseen: tuple[str, ...] = (), **more: Any
) -> Reckoning:
    """A lathe on which all was looked for but ``unseen``; only these pieces were found."""
    here = {piece.kind for piece in pieces}
    looks = {want: 0 for want in LATHE if want not in unseen and want not in here}
    visit = replace(a_visit(*pieces, looks=looks, **more), machine_id=machine.id)
    return reckon(machine, visit, CATALOGUE, Preferences())


def first() -> Machine:
    return a_lathe(id="m1", name="first")


def second(**facts: Any) -> Machine:
    return a_lathe(**({"id": "m2", "name": "second"} | facts))


def simulated(side: Side, other: Side, rho: float, seed: int) -> float:
    """Return the share of draws in which the first total is below the second."""
    spreads = [cost.spread for cost in side.costs]
    spreads += [cost.spread.scaled(-1.0) for cost in other.costs]
    return float(np.mean(draw_sums(spreads, rho, DRAWS, seed) < 0.0))


def a_side(*costs: tuple[float, float, float, float]) -> Side:
    """A machine whose costs are (chance, low, typical, high), in major units."""
    made = []
    for chance, low, typical, high in costs:
        rows = [(chance, low * 100, typical * 100, high * 100)]
        if chance < 1:
            rows.insert(0, (1 - chance, 0.0, 0.0, 0.0))
        made.append(Cost("missing", Spread(tuple(rows))))
    return Side("x", "x", "c", None, None, None, tuple(made))


PAIRS = {
    "one against one": (a_side((1, 90, 150, 260)), a_side((1, 120, 160, 200))),
    "several": (
        a_side((1, 900, 900, 900), (1, 90, 150, 260), (1, 40, 60, 120), (1, 200, 260, 420)),
        a_side((1, 700, 700, 700), (1, 300, 400, 700), (1, 220, 300, 380)),
    ),
    "perhaps": (
        a_side((1, 1000, 1000, 1000), (0.4, 150, 200, 320), (0.7, 50, 80, 120)),
        a_side((1, 1050, 1050, 1050), (0.5, 90, 140, 200), (1, 30, 40, 70)),
    ),
}


@pytest.mark.parametrize("rho", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("pair", PAIRS)
def test_chance_of_being_cheaper_is_that_of_a_simulation(pair: str, rho: float) -> None:
    mine, theirs = PAIRS[pair]
    assert chance_cheaper(mine, theirs, rho) == pytest.approx(
        simulated(mine, theirs, rho, 7), abs=0.02
    )


@pytest.mark.parametrize("asking", [1550, 1750])
def test_chance_for_two_counted_lathes_is_that_of_a_simulation(asking: int) -> None:
    made = compare(
        [
            counted(
                first(),
                a_piece("chuck-3-jaw", size="6in", mount="D1-4"),
                unseen=("steady-rest", "collet-adapter"),
            ),
            counted(
                second(bare_price=None, asking=dollars(asking - 300)),
                a_piece("chuck-4-jaw", size="8in", mount="D1-4", condition=None),
                unseen=("faceplate",),
            ),
        ],
        "usual",
        CATALOGUE,
    )
    ((_, _, chance),) = made.cheaper
    assert chance == pytest.approx(simulated(*made.sides, 0.5, 11), abs=0.02)


def test_the_total_is_price_missing_repairs_and_moving_less_surplus() -> None:
    surplus = a_piece("milling-vise", size="6in")
    plain = counted(first(), surplus)
    worse = counted(
        second(extra_costs=(ExtraCost("rigging", dollars(150)),)),
        surplus,
        findings=(a_finding("shaft-worn"),),
    )
    sides = {s.machine_id: s for s in compare([plain, worse], "usual", CATALOGUE).sides}
    here, there = sides["m1"], sides["m2"]
    assert there.part("repairs") == 100_00
    assert there.part("moving") == 150_00
    net = plain.values["p-milling-vise"].part_out_mean.minor
    assert here.part("surplus") == pytest.approx(-net, abs=1)
    assert here.part("missing") == there.part("missing") > 0
    assert here.price == plain.offer.target
    assert here.mean is not None
    assert here.mean.minor == round(
        sum(
            here.part(part)
            for part in ("price", "missing", "not-looked", "repairs", "moving", "surplus")
        )
    )
    assert here.total is not None
    assert here.total.low < here.mean < here.total.high


def test_only_gaps_up_to_the_tier_count() -> None:
    pair = [counted(first()), counted(second())]
    totals = [
        compare(pair, tier, CATALOGUE).sides[0].mean for tier in ("essential", "usual", "handy")
    ]  # type: ignore[arg-type]
    assert totals[0] < totals[1] < totals[2]  # type: ignore[operator]


def test_a_machine_is_not_cheaper_for_being_uncounted() -> None:
    whole = reckon(second(), replace(a_visit(), machine_id="m2"), CATALOGUE, Preferences())
    made = compare([counted(first()), whole], "essential", CATALOGUE)
    uncounted = next(side for side in made.sides if side.machine_id == "m2")
    known = next(side for side in made.sides if side.machine_id == "m1")
    assert uncounted.part("missing") == 0
    assert 0 < uncounted.part("not-looked") < known.part("missing")


def test_what_is_not_looked_for_counts_with_the_chance_that_it_is_missing() -> None:
    made = compare(
        [counted(first(), unseen=("steady-rest",)), counted(second())], "usual", CATALOGUE
    )
    side = next(side for side in made.sides if side.machine_id == "m1")
    (cost,) = [cost for cost in side.costs if cost.part == "not-looked"]
    want = CATALOGUE.outfits["engine-lathe-small"].want("steady-rest")
    other = next(s for s in made.sides if s.machine_id == "m2")
    full = next(cost for cost in other.costs if cost.about == "steady-rest")
    assert want is not None
    assert cost.chance == pytest.approx(1 - want.chance_here)
    assert cost.spread.mean == pytest.approx(full.spread.mean * cost.chance)


def test_the_fact_that_would_reverse_the_choice_does_reverse_it() -> None:
    """The first is a little cheaper only because its unseen rest is probably there."""
    here = counted(first(), unseen=("steady-rest",))
    there = counted(second(), a_piece("steady-rest", tried=True))
    gap = compare([here, there], "usual", CATALOGUE)
    dear = replace(second(), asking=None)
    for more in range(0, 1500, 40):
        price = Range(*(dollars(amount + more) for amount in (1000, 1400, 1800)))
        there = counted(replace(dear, bare_price=price), a_piece("steady-rest", tried=True))
        gap = compare([here, there], "usual", CATALOGUE)
        if gap.sides[0].machine_id == "m1":
            break
    assert gap.reversal is not None
    assert gap.reversal.fact.id == "compare-if-absent"
    looks = (*here.visit.looks, Look("steady-rest", 0))
    looked = replace(here.visit, looks=looks)
    then = compare([reckon(first(), looked, CATALOGUE, Preferences()), there], "usual", CATALOGUE)
    assert then.sides[0].machine_id == "m2"


def test_what_would_end_the_deal_changes_no_figure() -> None:
    """Dearer by far: only a fault to walk away from turns the choice, and no sum is made up."""
    dear = second(
        bare_price=Range(*(dollars(amount) for amount in (3000, 3400, 3800))), asking=None
    )
    made = compare([counted(first()), counted(dear)], "usual", CATALOGUE)
    assert made.sides[0].machine_id == "m1"
    assert made.reversal is not None
    assert made.reversal.fact.id == "compare-if-found"
    assert made.reversal.changes is None


def test_the_price_gap_is_the_difference_of_the_means() -> None:
    made = compare([counted(first()), counted(second(asking=dollars(1100)))], "usual", CATALOGUE)
    best, other = made.sides
    assert best.mean is not None
    assert other.mean is not None
    assert made.price_gap == other.mean - best.mean


def test_a_machine_without_a_price_stands_last_and_is_said_to_be_left_out() -> None:
    unknown = counted(second(asking=None, bare_price=None))
    made = compare([unknown, counted(first())], "usual", CATALOGUE)
    assert [side.machine_id for side in made.sides] == ["m1", "m2"]
    assert made.sides[1].total is None
    assert made.cheaper == ()
    assert made.reversal is None
    assert "compare-left-out" in [reason.id for reason in made.warnings]


def test_without_an_offer_the_asking_price_stands_for_it() -> None:
    made = compare([counted(second(bare_price=None)), counted(first())], "usual", CATALOGUE)
    side = next(side for side in made.sides if side.machine_id == "m2")
    assert side.price == dollars(1900)


def test_different_classes_are_warned_of() -> None:
    mill = reckon(a_mill(), replace(a_visit(), machine_id="m2"), CATALOGUE, Preferences())
    made = compare([counted(first()), mill], "usual", CATALOGUE)
    assert "compare-classes-differ" in [reason.id for reason in made.warnings]


def test_one_machine_alone_and_two_currencies_are_refused() -> None:
    with pytest.raises(KitreckonError, match="cannot be compared"):
        compare([counted(first())], "usual", CATALOGUE)
    pounds = reckon(
        second(), replace(a_visit(), machine_id="m2"), CATALOGUE, Preferences(currency="GBP")
    )
    with pytest.raises(KitreckonError, match="GBP and USD"):
        compare([counted(first()), pounds], "usual", CATALOGUE)


def test_three_machines_are_set_against_the_cheapest() -> None:
    third = counted(a_lathe(id="m3", name="third", asking=dollars(1200)))
    made = compare([counted(first()), counted(second()), third], "usual", CATALOGUE)
    assert made.sides[0].machine_id == "m3"
    assert [pair[:2] for pair in made.cheaper] == [("m3", "m1"), ("m3", "m2")]
    assert all(chance > 0.5 for _, _, chance in made.cheaper)


def test_every_reason_has_its_sentence() -> None:
    made = compare(
        [counted(first(), unseen=("steady-rest",)), counted(second())], "usual", CATALOGUE
    )
    assert made.reversal is not None
    for reason in (made.reversal.fact, *made.warnings):
        text = CATALOGUE.words.say(reason, Style())
        assert "{" not in text
        assert not text.startswith(reason.id)


def with_a_broken_tooth(**finding: Any) -> Reckoning:
    """A machine far cheaper than the other, with a finding that says to walk away."""
    wreck = second(name="wreck", asking=dollars(300), bare_price=Range(*map(dollars, (1, 2, 3))))
    return counted(wreck, findings=(a_finding("headstock-gear-tooth", **finding),))


def test_a_machine_to_walk_away_from_is_never_the_one_to_choose() -> None:
    comparison = compare([with_a_broken_tooth(), counted(first())], "essential", CATALOGUE)
    assert [side.machine_id for side in comparison.sides] == ["m1", "m2"]
    assert [bool(side.walk_away) for side in comparison.sides] == [False, True]
    assert (comparison.cheaper, comparison.reversal, comparison.price_gap) == ((), None, None)
    told = CATALOGUE.words.say(comparison.warnings[0], Style(words="american"))
    assert told.startswith("wreck: walk away: broken tooth")


def test_the_others_are_compared_without_it() -> None:
    third = counted(a_lathe(id="m3", name="third", asking=dollars(2500)))
    among = compare([with_a_broken_tooth(), counted(first()), third], "essential", CATALOGUE)
    alone = compare([counted(first()), third], "essential", CATALOGUE)
    assert among.cheaper == alone.cheaper != ()
    assert (among.reversal, among.price_gap) == (alone.reversal, alone.price_gap)


def test_with_an_own_amount_for_what_was_found_it_is_compared_again() -> None:
    lifted = with_a_broken_tooth(amount=dollars(100))
    comparison = compare([lifted, counted(first())], "essential", CATALOGUE)
    assert not any(side.walk_away for side in comparison.sides)
    assert len(comparison.cheaper) == 1


def test_two_machines_to_walk_away_from_leave_none_to_choose() -> None:
    other = replace(with_a_broken_tooth().machine, id="m3", name="hulk")
    finding = a_finding("headstock-gear-tooth")
    pair = [with_a_broken_tooth(), counted(other, findings=(finding,))]
    comparison = compare(pair, "essential", CATALOGUE)
    assert comparison.cheaper == ()
    assert [reason.id for reason in comparison.warnings[:2]] == ["compare-walk-away"] * 2
