"""What if: nothing is saved, everything is reckoned anew, and sums are not added up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.count import Finding, Look, Piece, Preferences, Visit
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reckoning import again, reckon, without
from kitreckon.reckoning.model import Reckoning

CATALOGUE = the_catalogue()


def reckoned(visit: Visit) -> Reckoning:
    return reckon(a_lathe(), visit, CATALOGUE, Preferences())


TWO_CHUCKS = reckoned(
    a_visit(
        a_piece("chuck-3-jaw", id="a", size="6in", mount="D1-4"),
        a_piece("chuck-3-jaw", id="b", size="6in", mount="D1-4", condition="fair"),
        a_piece("steady-rest", tried=True),
    )
)


def with_piece(reckoning: Reckoning, piece: Piece) -> Reckoning:
    others = tuple(known for known in reckoning.visit.pieces if known.id != piece.id)
    return again(reckoning, CATALOGUE, visit=replace(reckoning.visit, pieces=(*others, piece)))


def with_finding(reckoning: Reckoning, finding: Finding) -> Reckoning:
    return again(reckoning, CATALOGUE, visit=replace(reckoning.visit, findings=(finding,)))


def with_asking(reckoning: Reckoning, asking: Money | None) -> Reckoning:
    return again(reckoning, CATALOGUE, machine=replace(reckoning.machine, asking=asking))


def worth(reckoning: Reckoning) -> int:
    return reckoning.bundle.adds.limit.minor


def test_losses_are_not_additive() -> None:
    """Without either chuck the other covers; without both the want is open."""
    whole = worth(TWO_CHUCKS)
    loss_a = whole - worth(without(TWO_CHUCKS, ["a"], CATALOGUE))
    loss_b = whole - worth(without(TWO_CHUCKS, ["b"], CATALOGUE))
    loss_both = whole - worth(without(TWO_CHUCKS, ["a", "b"], CATALOGUE))
    assert loss_both > loss_a + loss_b


def test_without_a_piece_is_the_same_as_reckoning_with_it_kept() -> None:
    kept = tuple(replace(piece, his=piece.id == "a") for piece in TWO_CHUCKS.visit.pieces)
    anew = reckoned(replace(TWO_CHUCKS.visit, pieces=kept))
    then = without(TWO_CHUCKS, ["a"], CATALOGUE)
    assert then.offer == anew.offer
    assert then.values == anew.values
    assert then.cover == anew.cover


def test_what_if_changes_nothing_that_was_reckoned() -> None:
    before = (TWO_CHUCKS.visit, TWO_CHUCKS.offer)
    without(TWO_CHUCKS, ["a"], CATALOGUE)
    with_asking(TWO_CHUCKS, dollars(1))
    assert (TWO_CHUCKS.visit, TWO_CHUCKS.offer) == before


def test_a_piece_that_was_not_counted_is_refused() -> None:
    with pytest.raises(KitreckonError, match="no piece 'c'"):
        without(TWO_CHUCKS, ["a", "c"], CATALOGUE)


def test_a_worse_grade_lowers_the_limit_and_a_new_piece_raises_it() -> None:
    worn = a_piece("steady-rest", condition="poor", tried=True)
    assert worth(with_piece(TWO_CHUCKS, worn)) < worth(TWO_CHUCKS)
    more = a_piece("follow-rest", tried=True)
    then = with_piece(TWO_CHUCKS, more)
    assert len(then.visit.pieces) == 4
    assert worth(then) > worth(TWO_CHUCKS)


def test_a_finding_lowers_the_limit_and_replaces_one_of_its_id() -> None:
    then = with_finding(TWO_CHUCKS, a_finding("shaft-worn"))
    assert then.offer.limit is not None
    assert TWO_CHUCKS.offer.limit is not None
    assert then.offer.limit == TWO_CHUCKS.offer.limit - dollars(100)
    priced = with_finding(then, a_finding("shaft-worn", amount=dollars(40)))
    assert priced.offer.limit == TWO_CHUCKS.offer.limit - dollars(40)


def test_a_look_that_finds_none_makes_it_missing() -> None:
    looked = replace(TWO_CHUCKS.visit, looks=(Look("follow-rest", 0),))
    then = again(TWO_CHUCKS, CATALOGUE, visit=looked)
    assert "follow-rest" in {gap.want for gap in then.gaps}
    assert "follow-rest" not in {gap.want for gap in TWO_CHUCKS.gaps}


def test_another_asking_price_moves_the_cap_alone() -> None:
    then = with_asking(TWO_CHUCKS, dollars(1200))
    assert then.offer.limit == dollars(1200)
    assert then.offer.worth_to_you == TWO_CHUCKS.offer.worth_to_you
    assert with_asking(TWO_CHUCKS, None).offer.limit == then.offer.worth_to_you
