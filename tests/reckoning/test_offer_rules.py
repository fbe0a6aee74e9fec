"""Rules that hold for any visit, reckoned through the whole chain on the built-in catalogue."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import example, given, settings
from hypothesis import strategies as st

from builders import a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.count import CONDITIONS, Piece, Preferences, Visit
from kitreckon.fitting.model import Fit
from kitreckon.reckoning import again, reckon
from kitreckon.reckoning.model import Reckoning

CATALOGUE = the_catalogue()
KINDS = [
    "chuck-3-jaw",
    "chuck-6-jaw",
    "chuck-4-jaw",
    "chuck-backplate",
    "faceplate",
    "steady-rest",
    "drill-chuck",
    "drill-chuck-arbor",
    "taper-sleeve",
    "centre-live",
    "collets-5c",
    "collet-adapter",
    "toolpost-quick-change",
    "toolholder-quick-change",
    "milling-vise",
    "micrometer",
]

piece_facts = st.fixed_dictionaries(
    {
        "kind": st.sampled_from(KINDS),
        "qty": st.integers(1, 4),
        "condition": st.none() | st.sampled_from(CONDITIONS),
        "mount": st.none() | st.sampled_from(["D1-4", "L0", "MT2", "MT3", "JT33", "BXA"]),
        "tried": st.sampled_from([None, True, False]),
        "unsafe": st.sampled_from(["", "", "", "cracked"]),
        "repair": st.none() | st.sampled_from([0, 8, 30, 120, 900]).map(dollars),
    }
)
visits = st.lists(piece_facts, max_size=7).map(
    lambda rows: a_visit(*(a_piece(id=f"p{n}", **row) for n, row in enumerate(rows)))
)


def reckoned(visit: Visit, **facts: Any) -> Reckoning:
    return reckon(a_lathe(**facts), visit, CATALOGUE, Preferences())


def figures(reckoning: Reckoning) -> tuple[int, int, int]:
    offer = reckoning.offer
    assert offer.opening is not None
    assert offer.target is not None
    assert offer.limit is not None
    return offer.opening.minor, offer.target.minor, offer.limit.minor


@given(visit=visits, asking=st.none() | st.integers(1, 4000))
@settings(max_examples=80, deadline=None)
def test_opening_target_limit_asking_stand_in_order(visit: Visit, asking: int | None) -> None:
    price = None if asking is None else dollars(asking)
    opening, target, limit = figures(reckoned(visit, asking=price))
    assert 0 <= opening <= target <= limit
    assert opening < limit
    assert price is None or limit <= price.minor


@given(visit=visits)
@settings(max_examples=80, deadline=None)
def test_worth_is_at_least_what_selling_would_leave_and_that_at_least_nothing(
    visit: Visit,
) -> None:
    for value in reckoned(visit).values.values():
        assert 0 <= value.part_out_mean.minor <= value.worth_mean.minor


@given(visit=visits, more=piece_facts)
@settings(max_examples=80, deadline=None)
def test_counting_one_more_lowers_neither_opening_nor_limit(
    visit: Visit, more: dict[str, Any]
) -> None:
    extra: Piece = a_piece(id="extra", **more)
    before = figures(reckoned(visit, asking=None))
    after = figures(reckoned(replace(visit, pieces=(*visit.pieces, extra)), asking=None))
    assert before[0] <= after[0]
    assert before[2] <= after[2]


TWO_FOR_ONE_SLEEVE = a_visit(
    a_piece("drill-chuck-arbor", mount="MT2", condition=None),
    a_piece("centre-live", mount="MT2", condition=None),
)


@given(visit=visits, which=st.integers(0, 6))
@example(visit=TWO_FOR_ONE_SLEEVE, which=0)
@example(visit=TWO_FOR_ONE_SLEEVE, which=1)
@settings(max_examples=80, deadline=None)
def test_calling_a_piece_a_misfit_never_raises_the_limit(visit: Visit, which: int) -> None:
    reckoning = reckoned(visit, asking=None)
    if not visit.pieces:
        return
    piece = visit.pieces[which % len(visit.pieces)]
    then = again(reckoning, CATALOGUE, fits={piece.id: Fit("misfit", ())})
    assert figures(then)[2] <= figures(reckoning)[2]


@given(visit=visits)
@settings(max_examples=40, deadline=None)
def test_what_was_not_looked_for_adds_nothing(visit: Visit) -> None:
    """An outfit nobody looked at is worth what the counted pieces are, and no more."""
    reckoning = reckoned(visit, asking=None)
    assert reckoning.not_looked
    total = sum(value.worth_mean.minor for value in reckoning.values.values())
    assert reckoning.bundle.adds.limit.minor == total
    assert figures(reckoning)[2] == 140_000 + total


@given(visit=visits, floor=st.integers(0, 600), which=st.integers(0, 6))
@settings(max_examples=80, deadline=None)
def test_a_stated_floor_never_makes_the_buyer_better_off(
    visit: Visit, floor: int, which: int
) -> None:
    """What there is to share, limit less opening, never grows with what the seller wants."""
    if not visit.pieces:
        return
    n = which % len(visit.pieces)
    pieces = list(visit.pieces)

    def room(wanted: int) -> int:
        pieces[n] = replace(pieces[n], floor=dollars(wanted))
        adds = reckoned(replace(visit, pieces=tuple(pieces)), asking=None).bundle.adds
        return adds.limit.minor - adds.opening.minor

    assert room(floor + 50) <= room(floor)


@given(visit=visits)
@settings(max_examples=40, deadline=None)
def test_what_he_is_left_with_covers_nothing_and_the_rest_is_reckoned_without_it(
    visit: Visit,
) -> None:
    dear = tuple(replace(piece, floor=dollars(90_000)) for piece in visit.pieces[:2])
    priced = replace(visit, pieces=(*dear, *visit.pieces[2:]))
    reckoning = reckoned(priced, asking=None)
    kept = set(reckoning.offer.let_him_keep)
    assert kept == {piece.id for piece in dear}
    assert not kept & {row.piece_id for row in reckoning.cover.coverings}
    left = replace(visit, pieces=tuple(p for p in visit.pieces if p.id not in kept))
    assert reckoned(left, asking=None).bundle.adds == reckoning.bundle.adds
