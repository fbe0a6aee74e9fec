"""A sale: what goes with the machine, what singly, what in a lot, and what never."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any

import pytest

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Machine, Piece, Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reckoning import reckon, sale
from kitreckon.reckoning.sale import SalePlan, made_for_one

CATALOGUE = the_catalogue()


def an_outfit() -> list[Piece]:
    return [
        a_piece("chuck-3-jaw", size="6in", mount="D1-4"),
        a_piece("chuck-3-jaw", id="spare", size="5in", mount="D1-4", condition="fair"),
        a_piece("chuck-4-jaw", size="8in", mount="D1-4"),
        a_piece("steady-rest", tried=True),
        a_piece("collets-5c"),
        a_piece("toolpost-quick-change", mount="BXA"),
        a_piece("toolholder-quick-change", qty=4, mount="BXA"),
    ]


def planned(pieces: list[Piece], machine: Machine | None = None, **more: Any) -> SalePlan:
    limit = more.pop("limit", None)
    preferences = Preferences(**more)
    return sale(machine or a_lathe(), a_visit(*pieces), CATALOGUE, preferences, hours=limit)


def ways(plan: SalePlan) -> dict[str, str]:
    return {line.piece_id: line.way for line in plan.lines}


def best_of_all_splits(pieces: list[Piece], preferences: Preferences, most: int) -> int:
    """The most any split leaves, each set of pieces that stays reckoned with the chain alone."""
    alone = reckon(a_lathe(), a_visit(*pieces), CATALOGUE, preferences).values
    lost = CATALOGUE.judgement.not_shown_at_work
    best = 0
    for stays in product((True, False), repeat=len(pieces)):
        if any(not s and p.kind == "steady-rest" for p, s in zip(pieces, stays, strict=True)):
            continue  # made for the machine: it goes with it
        kept = [replace(p, his=not s) for p, s in zip(pieces, stays, strict=True)]
        left = reckon(a_lathe(), a_visit(*kept), CATALOGUE, preferences).values
        total, gains = 140_000, []
        for piece in kept:
            single, lot = alone[piece.id].part_out_mean.minor, alone[piece.id].floor.minor
            if piece.his:
                total += lot
                gains.append(max(single - lot, 0))
            else:
                floor = min(lot, single)
                raised = Money(left[piece.id].worth_mean.minor - floor, "USD") * preferences.power
                total += floor + raised.minor
        shown = any("jaw" in (piece.kind or "") for piece in kept if not piece.his)
        total += sum(sorted(gains, reverse=True)[:most])
        best = max(best, total - (0 if shown else round(140_000 * lost)))
    return best


@pytest.mark.parametrize("power", [0.0, 0.2, 0.5, 0.9])
@pytest.mark.parametrize("hours", [0.0, 1.0, None])
def test_the_split_is_the_best_of_all(power: float, hours: float | None) -> None:
    pieces, preferences = an_outfit()[:5], Preferences(power=power)
    most = len(pieces) if hours is None else int(hours / preferences.hours)
    plan = planned(pieces, power=power, limit=hours)
    best = best_of_all_splits(pieces, preferences, most)
    assert abs(plan.total.minor - best) <= len(pieces)  # cents of rounding


def test_the_lines_and_the_machine_add_up_to_the_total() -> None:
    plan = planned(an_outfit())
    assert plan.machine is not None
    elsewhere = sum(line.leaves.minor for line in plan.lines if line.way != "with-machine")
    assert plan.total.minor == plan.machine.minor + elsewhere
    with_it = sum(line.leaves.minor for line in plan.lines if line.way == "with-machine")
    assert plan.machine.minor == 140_000 + with_it


def test_a_lathe_without_a_chuck_sells_for_less() -> None:
    """Sold singly the chuck would net more, but not by what the machine loses."""
    pieces = [a_piece("chuck-4-jaw", size="8in", mount="D1-4")]
    cheap_to_sell = {"commission": 0.0, "hours": 0.0, "power": 0.0}
    plan = planned(pieces, **cheap_to_sell)
    alone = planned(pieces, a_lathe(bare_price=None), **cheap_to_sell)
    assert ways(alone) == {"p-chuck-4-jaw": "singly"}
    assert ways(plan) == {"p-chuck-4-jaw": "with-machine"}
    assert "sale-shown" in [reason.id for reason in plan.reasons]


def test_a_machine_that_never_had_a_chuck_loses_nothing_more() -> None:
    plan = planned([a_piece("steady-rest", tried=True)])
    assert {reason.id for reason in plan.reasons} == set()


def test_nothing_unsafe_is_ever_listed_and_its_danger_is_named() -> None:
    pieces = [*an_outfit(), a_piece("faceplate", unsafe="cracked")]
    plan = planned(pieces)
    assert "p-faceplate" not in ways(plan)
    ((name, reason),) = plan.never
    assert name == "p-faceplate"
    assert ("danger", "cracked") in reason.values


MADE_FOR_IT = ("steady-rest", "follow-rest", "change-gears", "thread-dial")


@pytest.mark.parametrize("machine", [a_lathe(), a_lathe(bare_price=None)])
def test_what_was_made_for_the_machine_goes_with_it(machine: Machine) -> None:
    cheap_to_sell = {"commission": 0.0, "hours": 0.0, "power": 0.0}
    pieces = [*an_outfit(), *(a_piece(kind, id=kind) for kind in MADE_FOR_IT)]
    plan = planned(pieces, machine, **cheap_to_sell)
    assert {kind: ways(plan)[kind] for kind in MADE_FOR_IT} == dict.fromkeys(
        MADE_FOR_IT, "with-machine"
    )
    reasons = {line.piece_id: line.reason.id for line in plan.lines}
    assert reasons["change-gears"] == "sale-made-for-it"


@pytest.mark.parametrize("kind", ["faceplate", "drive-plate"])
@pytest.mark.parametrize(("mount", "bound"), [("D1-4", False), ("1-1/2-8", False), (None, True)])
def test_a_plate_is_sold_by_its_nose(kind: str, mount: str | None, bound: bool) -> None:
    plate = a_piece(kind, size="10in", mount=mount, tried=True)
    assert made_for_one(plate, the_catalogue()) is bound
    cheap_to_sell = {"commission": 0.0, "hours": 0.0, "power": 0.0}
    way = "with-machine" if bound else "singly"
    assert ways(planned([*an_outfit(), plate], **cheap_to_sell))[plate.id] == way


def test_what_was_made_for_another_machine_may_be_sold_singly() -> None:
    cheap_to_sell = {"commission": 0.0, "hours": 0.0}
    plan = planned([a_piece("steady-rest", tried=False)], **cheap_to_sell)
    assert ways(plan) == {"p-steady-rest": "singly"}


def test_what_was_made_for_the_machine_goes_with_it_among_many_lines() -> None:
    steadies = [a_piece("steady-rest", id=f"s{n}", tried=True) for n in range(10)]
    assert set(ways(planned(steadies)).values()) == {"with-machine"}


def test_what_is_not_his_to_sell_is_left_out() -> None:
    assert ways(planned([a_piece("steady-rest", his=True, tried=True)])) == {}


def test_hours_bound_the_single_sales_and_the_rest_is_said() -> None:
    plenty, one = planned(an_outfit()), planned(an_outfit(), limit=0.5)
    assert sum(way == "singly" for way in ways(plenty).values()) > 1
    assert sum(way == "singly" for way in ways(one).values()) == 1
    assert one.hours == 0.5
    assert one.total < plenty.total
    assert planned(an_outfit(), limit=0.0).hours == 0.0


def test_dearer_selling_sends_more_with_the_machine() -> None:
    cheap = planned(an_outfit(), commission=0.0, hours=0.1)
    dear = planned(an_outfit(), commission=0.5, hours=3.0)
    count = [sum(way == "singly" for way in ways(plan).values()) for plan in (cheap, dear)]
    assert count[0] > count[1]
    assert cheap.total > dear.total


def test_findings_come_off_what_the_machine_fetches() -> None:
    visit = a_visit(findings=(a_finding("shaft-worn"),))
    plan = sale(a_lathe(), visit, CATALOGUE, Preferences())
    assert plan.machine == dollars(1300)


def test_without_a_bare_price_the_tooling_is_still_split() -> None:
    plan = planned(an_outfit(), a_lathe(bare_price=None))
    assert plan.machine is None
    assert plan.total.minor == sum(line.leaves.minor for line in plan.lines)
    assert "sale-no-bare-price" in [reason.id for reason in plan.reasons]


def test_many_lines_that_hang_together_are_split_too() -> None:
    chucks = [
        a_piece("chuck-3-jaw", id=f"c{n}", size="6in", mount="D1-4", condition=grade)
        for n, grade in enumerate(["good", "fair", "very-good"] * 4)
    ]
    plan = planned(chucks)
    assert len(plan.lines) == 12
    assert sum(way == "with-machine" for way in ways(plan).values()) >= 1


def test_hours_below_nothing_are_refused() -> None:
    with pytest.raises(KitreckonError, match="-1 hours"):
        planned([], limit=-1.0)


def test_every_reason_has_its_sentence() -> None:
    plan = planned([*an_outfit(), a_piece("faceplate", unsafe="cracked")], limit=0.5)
    said = (*plan.reasons, *(line.reason for line in plan.lines), *(why for _, why in plan.never))
    for reason in said:
        text = CATALOGUE.words.say(reason, Style())
        assert "{" not in text
        assert not text.startswith(reason.id)


def test_a_lot_is_priced_as_the_sellers_floor_is_and_never_above_the_singles() -> None:
    pieces = [a_piece("micrometer"), a_piece("caliper")]
    over = Preferences(lot_share=3.0)
    lots = {line.piece_id: line.leaves for line in planned(pieces, lot_share=3.0, limit=0.0).lines}
    values = reckon(a_lathe(), a_visit(*pieces), CATALOGUE, over).values
    whole = planned(pieces, lot_share=1.0, limit=0.0)
    assert lots == {line.piece_id: line.leaves for line in whole.lines}
    assert all(lots[name] == values[name].floor for name in lots)
