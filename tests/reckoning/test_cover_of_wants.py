"""Which want is covered, by what, and what stays open and why."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from builders import a_lathe, a_mill, a_piece, a_visit, dollars, length, the_catalogue
from kitreckon.count import Machine, Piece, Preferences, Purchase, Reading
from kitreckon.reckoning import applies, reckon, shopping
from kitreckon.reckoning.model import Gap, Reckoning


def reckoned(
    *pieces: Piece, looks: dict[str, int] | None = None, machine: Machine | None = None, **more: Any
) -> Reckoning:
    machine = machine or a_lathe()
    visit = a_visit(*pieces, looks=looks)
    return reckon(machine, visit, the_catalogue(), Preferences(), **more)


def covering(result: Reckoning, want: str) -> list[tuple[str, int]]:
    return [(c.piece_id, c.units) for c in result.cover.coverings if c.want == want]


def gap(result: Reckoning, want: str) -> Gap | None:
    return next((gap for gap in result.gaps if gap.want == want), None)


def why(result: Reckoning, want: str) -> set[str]:
    return {reason.id for reason in result.cover.reasons.get(want, ())}


A_CHUCK = a_piece("chuck-3-jaw", size="6in", mount="D1-4", back="direct")


def test_a_sound_chuck_that_fits_covers_its_want() -> None:
    result = reckoned(A_CHUCK, looks={"chuck-3-jaw": 1})
    assert covering(result, "chuck-3-jaw") == [("p-chuck-3-jaw", 1)]
    assert gap(result, "chuck-3-jaw") is None
    assert not result.values["p-chuck-3-jaw"].surplus


def test_not_looked_is_no_gap_and_adds_nothing() -> None:
    result = reckoned()
    assert result.gaps == ()
    assert "steady-rest" in result.cover.not_looked
    assert {n.want for n in result.not_looked} == set(result.cover.not_looked)
    assert result.bundle.adds.limit == dollars(0)


def test_not_looked_says_what_it_would_add() -> None:
    would = {n.want: n.if_there for n in reckoned().not_looked}
    assert would["steady-rest"] > dollars(100)
    rest = a_piece("steady-rest", condition=None, tried=True)
    assert reckoned(rest).values["p-steady-rest"].worth_mean == would["steady-rest"]
    assert would["toolholder-quick-change"] > dollars(0)


def test_looked_and_none_is_a_gap() -> None:
    result = reckoned(looks={"steady-rest": 0})
    found = gap(result, "steady-rest")
    assert found is not None
    assert (found.qty, found.hard_to_get) == (1, True)
    assert found.cost.typical > dollars(0)
    assert "steady-rest" not in result.cover.not_looked
    assert why(result, "steady-rest") == {"cover-none-seen"}


@pytest.mark.parametrize(
    ("want", "hard"),
    [("steady-rest", True), ("change-gears", True), ("wrenches", False), ("faceplate", False)],
)
def test_hard_to_get_is_what_takes_hours_to_make_or_fit(want: str, hard: bool) -> None:
    found = gap(reckoned(looks={want: 0}, machine=a_lathe(features=(("gearbox", False),))), want)
    assert found is not None
    assert found.hard_to_get is hard


def test_what_has_no_price_says_so_where_nobody_looked() -> None:
    grinder = Machine("m1", "grinder", "surface-grinder", table_length=length("18in"))
    rows = {row.want: row for row in reckoned(machine=grinder).not_looked}
    assert rows["chuck-magnetic"].priced and rows["chuck-magnetic"].if_there > dollars(0)
    assert not rows["wheel-dresser"].priced  # of no kind that has a price
    huge = replace(grinder, table_length=length("90in"))
    rows = {row.want: row for row in reckoned(machine=huge).not_looked}
    assert not rows["chuck-magnetic"].priced  # beyond the sizes a price is known for


@pytest.mark.parametrize(
    ("facts", "reason"),
    [
        ({"condition": "poor"}, "cover-worn-out"),
        ({"condition": "scrap"}, "cover-worn-out"),
        ({"unsafe": "cracked"}, "cover-unsafe"),
        ({"mount": "L0"}, "cover-misfit"),
        ({"his": True}, "cover-his"),
        ({"readings": (Reading("run-out", length("1mm")),)}, "cover-worn-out"),
    ],
)
def test_one_here_that_will_not_do_keeps_its_want_open(facts: dict[str, Any], reason: str) -> None:
    chuck = a_piece("chuck-3-jaw", **({"size": "6in", "mount": "D1-4", "back": "direct"} | facts))
    for looks in ({}, {"chuck-3-jaw": 1}):
        result = reckoned(chuck, looks=looks)
        assert covering(result, "chuck-3-jaw") == []
        found = gap(result, "chuck-3-jaw")
        assert found is not None
        assert found.qty == 1
        assert reason in why(result, "chuck-3-jaw")


def test_a_chuck_without_its_jaws_covers_nothing() -> None:
    parts = {part.id: part for part in the_catalogue().kinds["chuck-3-jaw"].parts}
    vital = next(part.id for part in parts.values() if not part.works_without)
    result = reckoned(
        a_piece("chuck-3-jaw", size="6in", mount="D1-4", back="direct", parts_missing=(vital,))
    )
    assert covering(result, "chuck-3-jaw") == []
    assert "cover-does-not-work" in why(result, "chuck-3-jaw")


def test_another_kind_that_serves_stands_in() -> None:
    six = a_piece("chuck-6-jaw", size="6in", mount="D1-4", back="direct")
    result = reckoned(six)
    assert covering(result, "chuck-3-jaw") == [("p-chuck-6-jaw", 1)]


def test_a_chuck_half_as_large_as_wanted_covers_nothing() -> None:
    small = a_piece("chuck-3-jaw", size="2.5in", mount="D1-4", back="direct")
    assert covering(reckoned(small), "chuck-3-jaw") == []


def test_one_of_another_size_does_not_say_that_the_wanted_size_is_missing() -> None:
    small = a_piece("micrometer", qty=3, size="25mm")
    result = reckoned(small)
    assert gap(result, "micrometer") is None
    assert next(n.qty for n in result.not_looked if n.want == "micrometer") == 2
    looked = gap(reckoned(small, looks={"micrometer": 3}), "micrometer")
    assert looked is not None
    assert looked.qty == 2


def test_micrometers_cover_by_size_where_it_is_known() -> None:
    small = a_piece("micrometer", qty=3, size="25mm")
    assert covering(reckoned(small), "micrometer") == [("p-micrometer", 1)]
    unknown = a_piece("micrometer", qty=3)
    assert covering(reckoned(unknown), "micrometer") == [("p-micrometer", 3)]


def test_the_shelf_covers_first_and_the_piece_here_is_surplus() -> None:
    own = a_piece("dial-indicator", id="mine")
    here = a_piece("dial-indicator", id="his")
    result = reckoned(here, shelf=(own,))
    assert covering(result, "dial-indicator") == [("mine", 1)]
    assert result.values["his"].surplus
    assert result.values["his"].worth_mean == result.values["his"].part_out_mean


def test_a_worn_out_thing_on_the_shelf_covers_nothing() -> None:
    own = a_piece("dial-indicator", id="mine", condition="scrap")
    result = reckoned(shelf=(own,), looks={"dial-indicator": 0})
    assert gap(result, "dial-indicator") is not None


def test_a_purchase_for_this_machine_closes_its_want() -> None:
    bought = Purchase(
        "b1", "steady-rest", "used", dollars(150), "2026-11-01", machine_id="m1", want="steady-rest"
    )
    elsewhere = Purchase(
        "b2", "follow-rest", "used", dollars(90), "2026-11-01", machine_id="m9", want="follow-rest"
    )
    result = reckoned(looks={"steady-rest": 0, "follow-rest": 0}, purchases=(bought, elsewhere))
    assert gap(result, "steady-rest") is None
    assert covering(result, "steady-rest") == [("b1", 1)]
    assert gap(result, "follow-rest") is not None


@pytest.mark.parametrize(("machine_id", "serves"), [("m1", True), ("", True), ("m9", False)])
def test_a_purchase_meets_the_needs_of_its_own_machine_or_of_any(
    machine_id: str, serves: bool
) -> None:
    bought = Purchase("b1", "drive-plate", "used", dollars(40), "2026-11-01", machine_id=machine_id)
    result = reckoned(a_piece("lathe-dog"), purchases=(bought,))
    assert (covering(result, "lathe-dog") != []) is serves
    closes = replace(bought, kind="steady-rest", want="steady-rest")
    result = reckoned(looks={"steady-rest": 0}, purchases=(closes,))
    assert (gap(result, "steady-rest") is None) is serves


def test_collets_are_of_no_use_without_their_adapter() -> None:
    collets = a_piece("collets-5c", set_of=17)
    alone = reckoned(collets)
    assert covering(alone, "collets-5c") == []
    assert "cover-needs" in why(alone, "collets-5c")
    adapter = a_piece("collet-adapter", mount="5C", tried=True)
    assert covering(reckoned(collets, adapter), "collets-5c") == [("p-collets-5c", 1)]
    assert covering(reckoned(collets, shelf=(adapter,)), "collets-5c") == [("p-collets-5c", 1)]


def test_where_the_swing_is_not_known_a_size_for_no_such_machine_covers_nothing() -> None:
    machine = a_lathe(swing=None)
    huge, usual = (replace(A_CHUCK, id=size, size=length(size)) for size in ("16in", "6in"))
    assert covering(reckoned(huge, usual, machine=machine), "chuck-3-jaw") == [("6in", 1)]
    assert covering(reckoned(huge, machine=machine), "chuck-3-jaw") == []
    missing = gap(reckoned(looks={"chuck-3-jaw": 0}, machine=machine), "chuck-3-jaw")
    assert missing is not None and missing.size is None  # priced by the class, and not stated


@pytest.mark.parametrize("looks", [{}, {"collets-5c": 1, "collet-adapter": 0, "collets-er": 0}])
def test_collets_that_wait_for_their_closer_are_not_missing(looks: dict[str, int]) -> None:
    result = reckoned(a_piece("collets-5c", mount="5C", set_of=17), looks=looks)
    assert gap(result, "collets-5c") is None
    assert result.cover.waiting["collets-5c"].units == 1
    assert "collet-adapter" in result.cover.waiting["collets-5c"].kinds
    assert (gap(result, "collet-adapter") is not None) == bool(looks)
    # the one set waits for one want: the other collets were looked for and none is here
    assert (gap(result, "collets-er") is not None) == bool(looks)


def test_a_set_whose_holder_is_still_to_buy_is_not_missing() -> None:
    closer = a_piece("collet-adapter", mount="5C")
    result = reckoned(closer, a_piece("collets-er", mount="ER32"), looks={"collets-er": 1})
    assert gap(result, "collets-er") is None


def test_a_cracked_set_waits_for_nothing_and_stays_missing() -> None:
    result = reckoned(a_piece("collets-5c", mount="5C", unsafe="cracked"))
    assert gap(result, "collets-5c") is not None
    assert "collets-5c" not in result.cover.waiting


def test_a_drill_chuck_without_an_arbor_pays_for_one() -> None:
    result = reckoned(a_piece("drill-chuck", size="13mm", mount="JT33"))
    assert covering(result, "drill-chuck") == [("p-drill-chuck", 1)]
    value = result.values["p-drill-chuck"]
    assert dollars(0) < value.worth_mean < value.replacement_mean


def test_31_loose_collets_are_one_lot_of_parts_of_a_set() -> None:
    adapter = a_piece("collet-adapter", mount="5C", tried=True)
    loose = a_piece("collets-5c", id="loose", qty=31)
    result = reckoned(adapter, loose)
    assert covering(result, "collets-5c") == [("loose", 1)]
    a_set = reckoned(adapter, a_piece("collets-5c", id="set", set_of=17)).values["set"]
    ratio = result.values["loose"].replacement_mean.minor / a_set.replacement_mean.minor
    assert ratio == pytest.approx(31 / 17, rel=0.01)


def test_a_set_of_one_is_the_whole_set() -> None:
    said = reckoned(a_piece("change-gears", set_of=1, tried=True)).values["p-change-gears"]
    assert said == reckoned(a_piece("change-gears", tried=True)).values["p-change-gears"]


def test_a_few_loose_collets_are_no_set() -> None:
    adapter = a_piece("collet-adapter", mount="5C", tried=True)
    result = reckoned(adapter, a_piece("collets-5c", qty=4))
    assert covering(result, "collets-5c") == []
    assert "cover-set-short" in why(result, "collets-5c")


def test_a_post_with_5_holders_is_not_paid_twice() -> None:
    facts: dict[str, Any] = {
        "mount": "BXA", "tried": True, "low_height": "10mm", "high_height": "30mm",
    }  # fmt: skip
    post = a_piece("toolpost-quick-change", **facts)
    holders = a_piece("toolholder-quick-change", qty=5, mount="BXA", tried=True)
    values = reckoned(post, holders).values
    prices = the_catalogue().prices["toolpost-quick-change"]
    assert dict(prices.holds) == {"toolholder-quick-change": 5}
    both = sum(value.replacement_mean.minor for value in values.values())
    new = next(p for p in prices.points if p.supply == "new-import" and p.size_mm == 380)
    whole = (new.low + 4 * new.typical + new.high) / 6
    assert both / 100 == pytest.approx(whole, rel=0.06)


def test_holders_that_come_with_a_missing_post_are_not_bought_again() -> None:
    looks = {"toolpost-quick-change": 0, "toolholder-quick-change": 0}
    holders = gap(reckoned(looks=looks), "toolholder-quick-change")
    alone = gap(reckoned(looks={"toolholder-quick-change": 0}), "toolholder-quick-change")
    assert holders is not None
    assert alone is not None
    assert holders.qty == alone.qty == 8
    assert holders.cost.typical.minor == pytest.approx(alone.cost.typical.minor * 3 / 8, abs=2)
    assert "gap-comes-with-set" in {reason.id for reason in holders.reasons}


def test_what_was_seen_but_not_listed_is_no_gap() -> None:
    result = reckoned(looks={"toolholder-quick-change": 6})
    found = gap(result, "toolholder-quick-change")
    assert found is not None
    assert found.qty == 2
    assert "cover-seen-not-listed" in why(result, "toolholder-quick-change")


def test_seen_and_listed_is_counted_once() -> None:
    holders = a_piece("toolholder-quick-change", qty=6, mount="BXA", tried=True)
    found = gap(reckoned(holders, looks={"toolholder-quick-change": 6}), "toolholder-quick-change")
    assert found is not None
    assert found.qty == 2


def test_a_short_set_of_which_every_part_was_seen_is_missing() -> None:
    result = reckoned(a_piece("drills", qty=12), looks={"drills": 12})
    found = gap(result, "drills")
    assert found is not None and found.qty == 1
    assert why(result, "drills") == {"cover-set-short"}


@pytest.mark.parametrize(("drills", "missing"), [(12, True), (20, False), (29, False)])
def test_a_small_set_does_though_the_set_that_is_sold_is_large(drills: int, missing: bool) -> None:
    result = reckoned(a_piece("drills", qty=drills), looks={"drills": drills})
    assert (gap(result, "drills") is not None) is missing


def test_loose_parts_that_make_a_set_are_one_of_it() -> None:
    result = reckoned(a_piece("boring-bars", qty=9, tried=True), looks={"boring-bars": 9})
    assert covering(result, "boring-bars") == [("p-boring-bars", 1)]
    assert gap(result, "boring-bars") is None


def test_parts_of_a_set_seen_and_not_written_down_are_not_missing() -> None:
    result = reckoned(a_piece("drills", qty=12), looks={"drills": 25})
    assert gap(result, "drills") is None
    assert "cover-seen-not-listed" in why(result, "drills")


def test_the_rest_of_a_want_nobody_looked_for_is_not_missing() -> None:
    result = reckoned(a_piece("toolholder-quick-change", qty=3, mount="BXA", tried=True))
    assert gap(result, "toolholder-quick-change") is None
    rest = next(n for n in result.not_looked if n.want == "toolholder-quick-change")
    assert rest.qty == 5


def test_more_than_wanted_is_surplus_and_said() -> None:
    keys = a_piece("chuck-key", qty=5)
    result = reckoned(keys)
    assert covering(result, "chuck-key") == [("p-chuck-key", 2)]
    reasons = {reason.id for reason in result.values["p-chuck-key"].reasons}
    assert "value-part-surplus" in reasons


def test_a_line_of_no_use_says_what_it_needs() -> None:
    value = reckoned(a_piece("lathe-dog", qty=2)).values["p-lathe-dog"]
    assert value.surplus
    assert "cover-needs" in {reason.id for reason in value.reasons}


def test_features_decide_which_wants_apply() -> None:
    drive = the_catalogue().outfits["engine-lathe-small"].want("motor-drive")
    assert drive is not None
    three, single = (a_lathe(features=(("three-phase", known),)) for known in (True, False))
    assert [applies(drive, machine) for machine in (three, single, a_lathe())] == [
        True,
        False,
        None,
    ]


def test_a_want_that_hangs_on_an_unknown_fact_is_never_missing_but_can_be_covered() -> None:
    empty = reckoned(looks={"motor-drive": 0})
    assert gap(empty, "motor-drive") is None
    assert "motor-drive" not in empty.cover.not_looked
    here = reckoned(a_piece("motor-drive", tried=True))
    assert not here.values["p-motor-drive"].surplus


@pytest.mark.parametrize(
    ("features", "tier"),
    [((), "usual"), ((("gearbox", True),), "usual"), ((("gearbox", False),), "essential")],
)
def test_change_gears_are_one_line_that_weighs_what_the_gearbox_says(
    features: tuple[tuple[str, bool], ...], tier: str
) -> None:
    lathe = a_lathe(features=features)
    none = reckoned(machine=lathe, looks={"change-gears": 0})
    assert [gap.tier for gap in none.gaps if gap.kind == "change-gears"] == [tier]
    unseen = [row.tier for row in reckoned(machine=lathe).not_looked if row.kind == "change-gears"]
    assert unseen == [tier]
    covered = reckoned(a_piece("change-gears", tried=True), machine=lathe)
    assert [c.want for c in covered.cover.coverings] == ["change-gears"]


def test_a_dial_is_bought_as_what_it_is_on_a_metric_leadscrew() -> None:
    metric = a_lathe(features=(("inch-leadscrew", False),))
    none = reckoned(machine=metric, looks={"thread-dial": 0})
    best = shopping(none, dollars(1000), the_catalogue())
    assert [(line.want, line.tier) for line in best.buy] == [("thread-dial", "handy")]


def test_an_untried_rest_covers_for_now_and_is_said() -> None:
    result = reckoned(a_piece("steady-rest"), looks={"steady-rest": 1})
    assert result.fits["p-steady-rest"].verdict == "unknown"
    assert gap(result, "steady-rest") is None
    assert "cover-fit-not-known" in why(result, "steady-rest")
    tried = reckoned(a_piece("steady-rest", tried=True))
    rests = result.values["p-steady-rest"], tried.values["p-steady-rest"]
    assert rests[0].worth_mean <= rests[1].worth_mean


def test_looks_and_outfits_that_are_not_known_are_let_be() -> None:
    assert reckoned(looks={"finding:gear-tooth": 0, "no-such-want": 3}).gaps == ()
    odd = a_lathe(machine_class="no-such-class")
    result = reckoned(A_CHUCK, machine=odd)
    assert result.gaps == ()
    assert result.values["p-chuck-3-jaw"].surplus


def test_a_thing_without_a_kind_covers_only_what_its_words_name() -> None:
    grinder = a_mill(machine_class="surface-grinder")
    wants = the_catalogue().outfits["surface-grinder"].wants
    other = next(want for want in wants if want.kind == "other")
    looks = {other.id: 1}
    meant = a_piece("other", text=other.label or other.id)
    assert gap(reckoned(meant, looks=looks, machine=grinder), other.id) is None
    unmeant = a_piece("other", id="biscuits", text="tin of biscuits")
    assert covering(reckoned(unmeant, looks=looks, machine=grinder), other.id) == []


def test_one_sleeve_serves_all_that_need_it() -> None:
    centre = a_piece("centre-live", mount="MT2")
    drills = a_piece("drills-taper-shank", mount="MT2", qty=3)
    both, one, two = reckoned(centre, drills), reckoned(centre), reckoned(drills)
    shared = {adapter.id for fit in both.fits.values() for adapter in fit.adapters}
    assert shared == {"sleeve:MT3-MT2"}
    worth = sum(value.worth_mean.minor for value in both.values.values())
    apart = sum(value.worth_mean.minor for result in (one, two) for value in result.values.values())
    assert worth > apart
