"""A piece that has to be put right: the user's own figure comes off what it saves and fetches."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from builders import a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import OwnPrice, Piece, Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, Range
from kitreckon.reckoning import again, reckon
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.outlook import Outlook

CATALOGUE = the_catalogue()
CALIPER = a_piece("caliper")
# sold singly for a tenth, and nothing else: 100 leaves 90
PLAIN: dict[str, Any] = {
    "commission": 0.10,
    "hours": 0.0,
    "packing": dollars(0),
    "postage_charged": dollars(0),
    "postage_paid": dollars(0),
}


def priced(kind: str, used: float, new: float) -> tuple[OwnPrice, ...]:
    """Prices known to the cent: what a used one fetches, what a new one costs."""
    return tuple(
        OwnPrice(f"{kind}-{supply}", kind, supply, Range(*(dollars(price),) * 3), 2024)
        for supply, price in (("used", used), ("new-import", new), ("new-name-brand", 2 * new))
    )


PRICES = (
    *priced("caliper", 100, 140),
    *priced("chuck-key", 100, 140),
    *priced("work-light", 100, 140),
    *priced("drill-chuck", 100, 140),
    *priced("drill-chuck-arbor", 40, 60),
    *priced("toolpost-turret", 100, 200),
    *priced("toolpost-lantern", 20, 30),
)


def reckoned(*pieces: Piece, shelf: tuple[Piece, ...] = (), **settings: Any) -> Reckoning:
    looks = {piece.kind: piece.qty for piece in pieces if piece.kind}
    return reckon(
        a_lathe(asking=None),
        a_visit(*pieces, looks=looks),
        CATALOGUE,
        Preferences(**(PLAIN | settings)),
        shelf,
        PRICES,
    )


def figures(piece: Piece) -> tuple[float, float, float]:
    value = reckoned(piece).values[piece.id]
    return tuple(float(m.major) for m in (value.worth_mean, value.part_out_mean, value.floor))  # type: ignore[return-value]


def ids(reasons: Any) -> list[str]:
    return [reason.id for reason in reasons]


# by hand


@pytest.mark.parametrize(
    ("repair", "worth", "sold", "floor"),
    [
        # it saves 100 (a used one; a new one costs 140); sold it leaves 100 less a tenth
        (None, 100, 90, 25),
        (0, 100, 90, 25),
        # put right for 40 it saves 60; as it is it fetches 60 and leaves 54; the lot price is 15
        (40, 60, 54, 15),
        # 91: put right it saves 9; as it is it fetches its parts' value, 10, and leaves 9
        (91, 9, 9, 2.5),
        (5000, 9, 9, 2.5),
    ],
)
def test_a_caliper_worth_100_by_hand(
    repair: float | None, worth: float, sold: float, floor: float
) -> None:
    piece = replace(CALIPER, repair=None if repair is None else dollars(repair))
    assert figures(piece) == (worth, sold, floor)


def test_the_grade_is_that_of_the_piece_apart_from_its_fault() -> None:
    """Fair, such tools fetch 0.45 and serve as 0.5 of a good one (catalogs/shares.yaml)."""
    resale = CATALOGUE.shares.resale["measuring"]["fair"]
    service = CATALOGUE.shares.service["measuring"]["fair"]
    piece = replace(CALIPER, condition="fair", repair=dollars(10))
    worth, sold, _ = figures(piece)
    assert worth == pytest.approx(max(100 * service - 10, 0.9 * (100 * resale - 10)), abs=0.01)
    assert sold == pytest.approx(0.9 * (100 * resale - 10), abs=0.01)


def test_the_repair_is_of_the_whole_line_and_each_unit_bears_its_share() -> None:
    """Three keys, two wanted, 30 for all: two save 90 each, the third leaves 0.9 x 90."""
    result = reckoned(a_piece("chuck-key", qty=3, repair=dollars(30)))
    value = result.values["p-chuck-key"]
    assert value.worth_mean == dollars(2 * 90 + 81)
    (covering,) = [row for row in result.cover.coverings if row.want == "chuck-key"]
    assert (covering.units, covering.repair) == (2, dollars(20))


def test_a_stated_cost_moves_the_whole_spread_and_adds_no_doubt() -> None:
    chuck = a_piece("chuck-4-jaw", size="8in", mount="D1-4", back="direct")
    sound = reckoned(chuck).values[chuck.id].worth
    mended = reckoned(replace(chuck, repair=dollars(25))).values[chuck.id].worth
    for before, after in zip(sound, mended, strict=True):
        assert before - after == dollars(25)


def test_what_replacing_it_costs_is_not_touched() -> None:
    assert (
        reckoned(replace(CALIPER, repair=dollars(40))).values[CALIPER.id].replacement_mean
        == reckoned(CALIPER).values[CALIPER.id].replacement_mean
    )


def test_missing_parts_come_off_first_and_the_repair_after() -> None:
    chuck = a_piece("chuck-4-jaw", size="8in", mount="D1-4", back="direct")
    part = next(part for part in CATALOGUE.kinds["chuck-4-jaw"].parts if part.works_without)
    short = replace(chuck, parts_missing=(part.id,))
    without = reckoned(short).values[chuck.id].worth_mean
    both = reckoned(replace(short, repair=dollars(12))).values[chuck.id].worth_mean
    assert without - both == dollars(12)


# what it covers


def test_a_piece_to_be_put_right_covers_its_want() -> None:
    result = reckoned(replace(CALIPER, repair=dollars(40)))
    (covering,) = [row for row in result.cover.coverings if row.want == "caliper"]
    assert covering.repair == dollars(40)
    assert "caliper" not in result.cover.open_units
    assert "value-repair" in ids(result.values[CALIPER.id].reasons)


def test_a_repair_dearer_than_its_gain_leaves_the_want_open_and_says_so() -> None:
    result = reckoned(replace(CALIPER, repair=dollars(95)))
    assert not [row for row in result.cover.coverings if row.want == "caliper"]
    assert result.cover.open_units["caliper"] == 1
    assert ids(result.cover.reasons["caliper"]) == ["cover-repair-costs-more"]
    assert "cover-repair-costs-more" in ids(result.values[CALIPER.id].reasons)
    (gap,) = [gap for gap in result.gaps if gap.want == "caliper"]
    assert "cover-repair-costs-more" in ids(gap.reasons)


def test_a_sound_one_beside_it_covers_and_the_other_is_sold_as_it_is() -> None:
    broken = replace(CALIPER, id="broken", repair=dollars(40))
    result = reckoned(broken, CALIPER)
    (covering,) = [row for row in result.cover.coverings if row.want == "caliper"]
    assert (covering.piece_id, covering.repair) == (CALIPER.id, None)
    assert result.values["broken"].worth_mean == dollars(54)


def test_what_is_owned_and_broken_displaces_nothing_that_works() -> None:
    owned = replace(CALIPER, id="owned", repair=dollars(10))
    alone = reckoned(shelf=(owned,))
    (covering,) = [row for row in alone.cover.coverings if row.want == "caliper"]
    assert (covering.from_shelf, covering.repair) == (True, dollars(10))
    beside = reckoned(CALIPER, shelf=(owned,))
    (covering,) = [row for row in beside.cover.coverings if row.want == "caliper"]
    assert (covering.piece_id, covering.from_shelf) == (CALIPER.id, False)


def test_no_repair_makes_an_unsafe_piece_count() -> None:
    piece = replace(CALIPER, unsafe="cracked", repair=dollars(5))
    result = reckoned(piece)
    value = result.values[CALIPER.id]
    nothing = dollars(0)
    assert (value.worth_mean, value.part_out_mean, value.replacement_mean) == (nothing,) * 3
    assert ids(value.reasons) == ["value-unsafe", "value-unsafe-repair"]
    assert result.cover.open_units["caliper"] == 1


def test_a_repair_does_not_bring_back_what_is_worn_out() -> None:
    worn = replace(CALIPER, condition="poor", repair=dollars(5))
    assert reckoned(worn).cover.open_units["caliper"] == 1


POST = a_piece("toolpost-quick-change", mount="BXA")
HOLDERS = a_piece("toolholder-quick-change", qty=3, mount="BXA")


def test_holders_serve_on_a_post_that_is_worth_putting_right() -> None:
    result = reckoned(replace(POST, repair=dollars(20)), HOLDERS)
    covered = {row.want: row.units for row in result.cover.coverings}
    assert covered["toolholder-quick-change"] == 3


def test_holders_wait_where_their_post_is_not_worth_putting_right() -> None:
    result = reckoned(replace(POST, repair=dollars(2000)), HOLDERS)
    assert "toolholder-quick-change" not in {row.want for row in result.cover.coverings}
    assert result.cover.waiting["toolholder-quick-change"].units == 3
    assert result.cover.open_units["toolpost-quick-change"] == 1


def test_collets_to_be_put_right_wait_for_their_closer_with_their_repair() -> None:
    collets = a_piece("collets-5c", mount="5C", set_of=17, repair=dollars(15))
    visit = a_visit(collets, looks={"collets-5c": 1, "collet-adapter": 0})
    result = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    waiting = result.cover.waiting["collets-5c"]
    assert [(row.units, row.repair) for row in waiting.repairs] == [(1, dollars(15))]


def test_an_arbor_not_worth_putting_right_takes_nothing_from_its_drill_chuck() -> None:
    chuck = a_piece("drill-chuck", size="1/2in", mount="JT33")
    arbor = a_piece("drill-chuck-arbor", mount="MT3", text="arbor JT33 to MT3")
    alone = reckoned(chuck).values[chuck.id].worth_mean
    hopeless = reckoned(chuck, replace(arbor, repair=dollars(900))).values[chuck.id].worth_mean
    assert hopeless == alone


def test_a_plate_saved_with_the_chuck_pays_for_its_repair_and_no_other_plate_does() -> None:
    """A used chuck of about 105 and a plate of about 105, at a repair of 150."""
    chuck = a_piece("chuck-4-jaw", size="8in", back="plain", repair=dollars(150))
    fitted = reckoned(replace(chuck, back="direct", mount="D1-4"))
    assert "chuck-4-jaw" not in fitted.cover.open_units
    to_buy = reckoned(chuck)
    counted = reckoned(chuck, a_piece("chuck-backplate", mount="D1-4"))
    for result in (to_buy, counted):
        assert ids(result.cover.reasons["chuck-4-jaw"]) == ["cover-repair-costs-more"]


# figures of others


def test_a_repair_in_the_catalogues_currency_follows_the_users_rate() -> None:
    result = reckon(
        a_lathe(asking=None),
        a_visit(replace(CALIPER, repair=dollars(5))),
        CATALOGUE,
        Preferences(currency="GBP", rate=0.8),
    )
    (covering,) = [row for row in result.cover.coverings if row.want == "caliper"]
    assert covering.repair == Money.of(4, "GBP")


def test_a_stated_floor_in_the_catalogues_currency_follows_the_users_rate() -> None:
    result = reckon(
        a_lathe(asking=None),
        a_visit(replace(CALIPER, floor=dollars(10))),
        CATALOGUE,
        Preferences(currency="GBP", rate=0.8),
    )
    assert result.values[CALIPER.id].floor == Money.of(8, "GBP")


def test_a_repair_in_a_currency_without_a_rate_is_one_clear_error() -> None:
    with pytest.raises(KitreckonError, match="no rate from SEK to USD"):
        reckoned(replace(CALIPER, repair=Money(100, "SEK")))


def test_a_repair_below_nothing_is_one_clear_error() -> None:
    with pytest.raises(KitreckonError, match="repair of caliper: -40 is below nothing"):
        reckoned(replace(CALIPER, repair=dollars(-40)))


def test_every_reason_of_a_repair_has_its_sentence() -> None:
    pieces = (
        replace(CALIPER, repair=dollars(40)),
        replace(CALIPER, id="b", repair=dollars(5000), repair_of="new jaws"),
        replace(CALIPER, id="c", unsafe="cracked", repair=dollars(5)),
    )
    result = reckoned(*pieces)
    said = [
        CATALOGUE.words.say(reason, Style())
        for value in result.values.values()
        for reason in value.reasons
    ]
    assert any("putting it right costs 40, your own figure" in text for text in said)
    assert any("(new jaws)" in text for text in said)
    assert any("putting it right costs more than it gains" in text for text in said)
    assert any("no repair makes an unsafe thing count" in text for text in said)


# one change at a time


@pytest.mark.parametrize("condition", ["new", "good", "fair", "poor"])
@pytest.mark.parametrize("repair", [6, 30, 60, 600])
def test_a_change_of_one_line_is_reckoned_as_the_whole_visit(condition: Any, repair: float) -> None:
    """The grade of a carrier decides whether it is put right, and so what others hang on."""
    arbor = a_piece("drill-chuck-arbor", mount="MT3", text="arbor JT33 to MT3", condition=None)
    before = reckoned(
        a_piece("drill-chuck", size="1/2in", mount="JT33"),
        replace(arbor, repair=dollars(repair)),
        replace(POST, condition=None, repair=dollars(repair)),
        HOLDERS,
    )
    pieces = tuple(
        replace(piece, condition=condition) if piece.condition is None else piece
        for piece in before.visit.pieces
    )
    visit = replace(before.visit, pieces=pieces)
    whole = again(before, CATALOGUE, visit=visit)
    assert Outlook(before).offer(visit) == (whole.offer, whole.bundle.adds)


@pytest.mark.parametrize(
    "kind", ["caliper", "micrometer", "work-light", "faceplate", "centre-live"]
)
@pytest.mark.parametrize("condition", ["new", "good", "fair", None])
@pytest.mark.parametrize("repair", [0.5, 4, 12, 30])
@pytest.mark.parametrize("broken_first", [True, False])
def test_of_two_alike_the_one_that_works_is_used(
    kind: str, condition: Any, repair: float, broken_first: bool
) -> None:
    """A handy thing is worth no more in use than sold: the tie must not turn to the broken one."""
    mount = "MT3" if kind == "centre-live" else None
    sound = a_piece(kind, id="sound", condition=condition, mount=mount)
    broken = replace(sound, id="broken", repair=dollars(repair))
    pair = (broken, sound) if broken_first else (sound, broken)
    visit = a_visit(*pair, looks={kind: 2})
    result = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    users = {row.piece_id for row in result.cover.coverings}
    assert "sound" in users
    assert "broken" not in users or kind == "micrometer"  # three of those are wanted


@pytest.mark.parametrize("broken_first", [True, False])
def test_where_both_are_worth_more_sold_the_one_that_works_is_kept(broken_first: bool) -> None:
    """100 saved with a chance of a quarter is less than the 90 it fetches: neither gains."""
    sound = a_piece("work-light", id="sound")
    broken = replace(sound, id="broken", repair=dollars(5))
    result = reckoned(*((broken, sound) if broken_first else (sound, broken)))
    assert {row.piece_id for row in result.cover.coverings} == {"sound"}


def test_a_repair_that_pays_for_one_want_is_not_made_for_a_lesser_one() -> None:
    """As the main post it saves 100 - 60; as a second one no more than a new lantern post, 30."""
    turret = a_piece("toolpost-turret", repair=dollars(60), tried=True)
    alone = reckoned(turret)
    assert [row.want for row in alone.cover.coverings] == ["toolpost-quick-change"]
    beside = reckoned(turret, a_piece("toolpost-quick-change", mount="BXA"))
    assert turret.id not in {row.piece_id for row in beside.cover.coverings}


def test_a_handy_thing_that_is_worth_putting_right_is_not_called_missing() -> None:
    """He would buy one with a chance of a quarter, and still puts right the one he has."""
    light = a_piece("work-light", repair=dollars(5))
    result = reckoned(light)
    assert "work-light" not in result.cover.open_units
    assert result.values[light.id].worth_mean == result.values[light.id].part_out_mean


def test_a_thing_without_a_price_is_not_called_too_dear_to_put_right() -> None:
    prices = {kind: table for kind, table in CATALOGUE.prices.items() if kind != "caliper"}
    unpriced = open_catalogue()
    unpriced.prices = prices
    visit = a_visit(replace(CALIPER, repair=dollars(40)), looks={"caliper": 1})
    result = reckon(a_lathe(), visit, unpriced, Preferences())
    assert not result.values[CALIPER.id].priced
    assert "caliper" not in result.cover.open_units
