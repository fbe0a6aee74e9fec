"""A three-phase motor costs the buyer a drive, or nothing, by the supply he has."""

from __future__ import annotations

from typing import Any

import pytest

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.count import Machine, Piece, Preferences
from kitreckon.quantities import Money
from kitreckon.reckoning import compare, next_questions, reckon, shopping
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.prices import Prices

THREE_PHASE = a_lathe(features=(("three-phase", True),), asking=None)
SINGLE_PHASE = a_lathe(features=(("three-phase", False),), asking=None)
DRIVE = a_piece("motor-drive", tried=True)


def reckoned(supply: str, *pieces: Piece, machine: Machine = THREE_PHASE, **more: Any) -> Reckoning:
    buyer = Preferences(three_phase_supply=supply)  # type: ignore[arg-type]
    visit = a_visit(*pieces, looks={"motor-drive": len(pieces)}, **more)
    return reckon(machine, visit, the_catalogue(), buyer)


def limit(made: Reckoning) -> Money:
    assert made.offer.limit is not None
    return made.offer.limit


def said(made: Reckoning) -> set[str]:
    return {reason.id for reason in made.offer.reasons}


def a_new_drive() -> Money:
    fitted = Prices(the_catalogue(), Preferences()).new_fitted("motor-drive", None)
    assert fitted is not None
    return Money.rounded((fitted.low + 4 * fitted.typical + fitted.high) / 6, "USD")


def test_without_such_a_supply_the_price_of_a_drive_comes_off() -> None:
    spared, short = reckoned("yes"), reckoned("no")
    assert limit(short) == limit(spared) - a_new_drive()
    assert short.offer.opening < spared.offer.opening  # type: ignore[operator]
    assert "offer-to-run" in said(short)
    assert not said(spared) & {"offer-to-run", "finding-costs-apart"}


def test_while_it_is_not_known_nothing_comes_off_and_that_is_said() -> None:
    open_, spared = reckoned("unknown"), reckoned("yes")
    assert limit(open_) == limit(spared)
    assert "finding-costs-apart" in said(open_)
    assert "offer-to-run" not in said(open_)


@pytest.mark.parametrize(
    ("supply", "tiers"), [("yes", []), ("no", ["essential"]), ("unknown", ["usual"])]
)
def test_the_drive_is_wanted_as_much_as_it_is_needed(supply: str, tiers: list[str]) -> None:
    made = reckoned(supply)
    assert [gap.tier for gap in made.gaps if gap.kind == "motor-drive"] == tiers
    bought = shopping(made, dollars(1000), the_catalogue()).buy
    assert [line.tier for line in bought if line.kind == "motor-drive"] == tiers


def test_a_drive_that_is_here_is_worth_what_it_spares_and_no_more() -> None:
    short, with_one = reckoned("no"), reckoned("no", DRIVE)
    assert limit(short) < limit(with_one) <= limit(reckoned("yes"))
    surplus = reckoned("yes", DRIVE).values["p-motor-drive"]
    assert surplus.surplus and surplus.worth_mean == surplus.part_out_mean


def test_a_single_phase_motor_costs_nothing_whatever_the_supply() -> None:
    assert limit(reckoned("no", machine=SINGLE_PHASE)) == limit(
        reckoned("yes", machine=SINGLE_PHASE)
    )


def test_found_on_the_motor_is_as_good_as_asked() -> None:
    bare = a_lathe(features=(), asking=None)
    found = reckoned("no", machine=bare, findings=(a_finding("motor-three-phase"),))
    assert limit(found) == limit(reckoned("no"))


def test_an_amount_of_his_own_stands_in_its_place() -> None:
    own = (a_finding("motor-three-phase", amount=dollars(90)),)
    assert limit(reckoned("no", findings=own)) == limit(reckoned("yes")) - dollars(90)
    assert "offer-to-run" not in said(reckoned("no", findings=own))


def test_the_next_questions_reckon_with_it_too() -> None:
    """What an answer would move is the difference of two offers: the drive is in both."""
    known, spared = (next_questions(reckoned(s), the_catalogue(), limit=50) for s in ("no", "yes"))
    moved = {question.id: question.moves for question in spared}
    looked = [question for question in known if question.id == "look:steady-rest"]
    assert [question.moves for question in looked] == [moved["look:steady-rest"]]


def test_a_comparison_pays_the_drive_once() -> None:
    other = a_lathe(id="m9", features=(("three-phase", False),), asking=None)
    sides = compare((reckoned("no"), reckoned("no", machine=other)), "essential", the_catalogue())
    with_drive = next(side for side in sides.sides if side.machine_id == "m1")
    paid = [cost for cost in with_drive.costs if cost.kind == "motor-drive"]
    assert [cost.part for cost in paid] == ["missing"]
    assert not [cost for cost in with_drive.costs if cost.about == "motor-three-phase"]
