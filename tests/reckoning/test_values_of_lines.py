"""What lines are worth: to replace, in use, sold singly; and what must hold for any visit."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linear_sum_assignment

from builders import a_lathe, a_mill, a_piece, a_visit, dollars, length, the_catalogue
from kitreckon.catalogue.model import Want
from kitreckon.count import CONDITIONS, Machine, Piece, Preferences, Visit
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reasons import Term
from kitreckon.reckoning import again, reckon
from kitreckon.reckoning.assignment import Costs, Row
from kitreckon.reckoning.chain import Workings
from kitreckon.reckoning.in_use import in_use
from kitreckon.reckoning.line import Line
from kitreckon.reckoning.model import Reckoning, Value
from solved_outside import integer_optimum

CHANCES = {"essential": 1.0, "usual": 0.6, "handy": 0.25}
MOUNTS = {
    "chuck-3-jaw": ("D1-4", "L0"), "chuck-4-jaw": ("D1-4", "D1-6"), "centre-live": ("MT3", "MT2"),
    "centre-dead": ("MT3", "MT5"), "drill-chuck": ("JT33", "MT3"), "drill-chuck-arbor": ("MT3",),
    "taper-sleeve": ("MT3",), "toolpost-quick-change": ("BXA",), "collet-adapter": ("5C",),
    "toolholder-quick-change": ("BXA", "AXA"), "drills-taper-shank": ("MT2",),
}  # fmt: skip
SIZES = {
    "chuck-3-jaw": ("4in", "6in", "8in"),
    "chuck-4-jaw": ("6in", "8in", "10in"),
    "drill-chuck": ("10mm", "13mm", "16mm"),
    "micrometer": ("25mm", "50mm", "75mm"),
}


SMALL_SHANKS = tuple(
    a_piece(kind, id=f"mt2-{kind}", mount="MT2", qty=qty, condition=condition)
    for kind, qty, condition in (
        ("drills-taper-shank", 3, "fair"),
        ("centre-live", 1, "very-good"),
        ("centre-dead", 2, "fair"),
        ("drill-chuck-arbor", 1, None),
        ("centre-bull-nose", 1, "good"),
    )
)


@cache
def wanted_kinds(machine_class: str) -> tuple[str, ...]:
    wants = the_catalogue().outfits[machine_class].wants
    return tuple(dict.fromkeys(kind for want in wants for kind in want.any_of))


def a_random_piece(source: random.Random, number: int, machine: Machine) -> Piece:
    kind = source.choice(wanted_kinds(machine.machine_class))
    size = source.choice(SIZES.get(kind, (None,)))
    return a_piece(
        kind,
        id=f"p{number}",
        qty=source.choice((1, 1, 1, 2, 6)),
        size=size and length(size),
        mount=source.choice((None, *MOUNTS.get(kind, ()))),
        back=source.choice((None, "plain", "direct", "backplate")),
        condition=source.choice((None, None, *CONDITIONS)),
        unsafe=source.choice(("", "", "", "", "cracked")),
        tried=source.choice((None, None, True, False)),
        repair=source.choice((None, None, None, dollars(5), dollars(40), dollars(300))),
    )


def a_random_visit(seed: int, machine: Machine, most: int = 14) -> Visit:
    source = random.Random(seed)
    pieces = [a_random_piece(source, k, machine) for k in range(source.randint(0, most))]
    wants = the_catalogue().outfits[machine.machine_class].wants
    looks = {want.id: source.choice((0, 1)) for want in wants if source.random() < 0.4}
    return replace(a_visit(*pieces, looks=looks), machine_id=machine.id)


def reckoned(
    *pieces: Piece, machine: Machine | None = None, shelf: tuple[Piece, ...] = (), **settings: Any
) -> Reckoning:
    machine = machine or a_lathe()
    return reckon(machine, a_visit(*pieces), the_catalogue(), Preferences(**settings), shelf)


def value(piece: Piece, **settings: Any) -> Value:
    return reckoned(piece, **settings).values[piece.id]


def total(result: Reckoning) -> int:
    return sum(value.worth_mean.minor for value in result.values.values())


CHUCK = a_piece("chuck-3-jaw", size="6in", mount="D1-4", back="direct")


def test_unsafe_comes_before_everything() -> None:
    found = value(replace(CHUCK, unsafe="cracked", tried=True, condition="new"))
    nothing = dollars(0)
    for amounts in (found.replacement, found.worth, found.part_out):
        assert set(amounts) == {nothing}
    assert (found.worth_mean, found.part_out_mean, found.floor) == (nothing, nothing, nothing)
    assert found.unsafe
    assert reckoned(replace(CHUCK, unsafe="cracked")).offer.stop == ()


def test_what_the_seller_keeps_is_no_part_of_the_deal() -> None:
    found = value(replace(CHUCK, his=True))
    assert (found.worth_mean, found.part_out_mean, found.floor) == (dollars(0),) * 3
    assert found.replacement_mean > dollars(0)


def test_worth_is_at_least_what_it_would_fetch_and_at_most_what_it_saves() -> None:
    found = value(CHUCK)
    assert found.part_out_mean < found.worth_mean < found.replacement_mean


def test_a_misfit_is_worth_what_it_would_fetch() -> None:
    found = value(replace(CHUCK, mount="L0"))
    assert found.surplus
    assert found.worth_mean == found.part_out_mean
    assert found.worth == found.part_out


def test_part_out_net_by_hand() -> None:
    """A used 6 in chuck at the catalogue's price, 13 % commission, 20 for the work, no postage."""
    table = the_catalogue().prices["chuck-3-jaw"]
    plain: dict[str, Any] = {
        "postage_paid": dollars(0), "postage_charged": dollars(0), "packing": dollars(0),
        "hours": 1.0, "hourly": dollars(20), "commission": 0.13,
    }  # fmt: skip
    at = replace(CHUCK, size=length(f"{table.size_mm}mm"), mount="L0")
    found = value(at, **plain)
    point = max(
        (p for p in table.points
         if p.supply == "used" and p.size_mm == table.size_mm and not p.compare_only),
        key=lambda p: p.year,
    )  # fmt: skip
    net = [max(price * 0.87 - 20, 0.0) for price in (point.low, point.typical, point.high)]
    assert found.part_out_mean.minor == pytest.approx(
        100 * (net[0] + 4 * net[1] + net[2]) / 6, abs=1
    )


def test_a_cap_on_commission_leaves_more() -> None:
    rotary = a_piece("rotary-table", size="12in")
    mill = {"machine": a_mill()}
    capped = reckoned(rotary, commission_cap=dollars(10), **mill).values[rotary.id]
    assert capped.part_out_mean > reckoned(rotary, **mill).values[rotary.id].part_out_mean


def test_a_better_grade_is_never_worth_less() -> None:
    worths = [value(replace(CHUCK, condition=grade)).worth_mean for grade in CONDITIONS]
    assert worths == sorted(worths, reverse=True)


def test_not_judged_lies_between_the_grades() -> None:
    unjudged = value(replace(CHUCK, condition=None))
    assert value(replace(CHUCK, condition="poor")).worth_mean < unjudged.worth_mean
    assert unjudged.worth_mean < value(replace(CHUCK, condition="new")).worth_mean
    width = unjudged.worth.high.minor - unjudged.worth.low.minor
    judged = value(CHUCK).worth
    assert width > judged.high.minor - judged.low.minor


def test_missing_parts_come_off() -> None:
    parts = the_catalogue().kinds["chuck-3-jaw"].parts
    dispensable = next(part for part in parts if part.works_without and part.takes_off > 0)
    without = value(replace(CHUCK, parts_missing=(dispensable.id,)))
    assert without.worth_mean < value(CHUCK).worth_mean


def test_tiers_matter_through_their_chances() -> None:
    low = value(a_piece("faceplate", size="10in", mount="D1-4"), chance_usual=0.2)
    high = value(a_piece("faceplate", size="10in", mount="D1-4"), chance_usual=1.0)
    assert low.worth_mean < high.worth_mean


def test_the_floor_is_the_lot_share_or_what_the_seller_said() -> None:
    assert value(CHUCK, lot_share=0.5).floor.minor == pytest.approx(
        2 * value(CHUCK, lot_share=0.25).floor.minor, abs=1
    )
    assert value(replace(CHUCK, floor=dollars(77))).floor == dollars(77)


def test_a_plain_chuck_saves_a_chuck_and_one_with_its_plate_both() -> None:
    plain = value(a_piece("chuck-3-jaw", size="6in", back="plain"))
    mounted = value(CHUCK)
    assert plain.part_out_mean < plain.worth_mean < mounted.worth_mean


@pytest.mark.parametrize("machine", [a_mill(), a_lathe(spindle_socket="MT3")])
def test_a_collet_chuck_on_a_shank_has_a_price_and_needs_no_plate(machine: Machine) -> None:
    shank = a_piece("chuck-collet", mount=machine.spindle_socket)
    worth = reckoned(shank, machine=machine).values["p-chuck-collet"]
    assert worth.priced
    said = {reason.id for reason in worth.reasons}
    assert "price-with" not in said and "price-size-refused" not in said
    used = the_catalogue().prices["chuck-collet"]
    least = min(point.typical for point in used.points if point.supply == "new-import")
    assert worth.replacement_mean < dollars(least)


def test_a_series_named_in_its_text_prices_a_collet_chuck() -> None:
    small, large = (
        value(a_piece("chuck-collet", mount="D1-4", text=f"{series} collet chuck D1-4"))
        for series in ("ER25", "ER40")
    )
    assert large.replacement_mean > small.replacement_mean * 1.5


@pytest.mark.parametrize("condition", [None, "good"])
def test_a_piece_without_a_price_says_so(condition: Any) -> None:
    for piece in (a_piece("other", condition=condition), a_piece(None, id="p-None")):
        found = value(piece)
        assert not found.priced
        assert found.worth_mean == dollars(0)
        assert found.reasons


def test_the_offer_names_what_counts_as_nothing_because_no_price_is_known() -> None:
    giant = a_piece("chuck-4-jaw", size="60in", mount="D1-4")
    his = a_piece("chuck-6-jaw", size="60in", his=True)
    told = [
        dict(reason.values)["things"]
        for reason in reckoned(giant, CHUCK, his).offer.reasons
        if reason.id == "offer-not-priced"
    ]
    assert told == [(Term("kind", "chuck-4-jaw"),)]
    assert "offer-not-priced" not in {reason.id for reason in reckoned(CHUCK).offer.reasons}


def test_a_size_beyond_the_prices_says_so() -> None:
    found = value(replace(CHUCK, size=length("60in"), tried=True))
    assert not found.priced
    assert "price-size-refused" in {reason.id for reason in found.reasons}


def test_lengths_without_a_unit_stop_nothing() -> None:
    found = value(replace(CHUCK, size=length("6")))
    assert found.worth_mean > dollars(0)
    assert "price-usual-size" in {reason.id for reason in found.reasons}


@pytest.mark.parametrize("facts", [{"qty": 0}, {"set_of": 0, "set_has": 0}, {"qty": 9999}])
def test_odd_counts_stop_nothing(facts: dict[str, Any]) -> None:
    for kind in ("chuck-3-jaw", "collets-5c", "toolholder-quick-change"):
        found = value(a_piece(kind, tried=True, **facts))
        assert found.worth_mean >= dollars(0)
        assert (found.worth_mean == dollars(0)) is (facts.get("qty") == 0)


def test_another_asking_price_alone_keeps_the_lines() -> None:
    first = reckoned(CHUCK)
    cheaper = again(first, the_catalogue(), machine=replace(first.machine, asking=dollars(900)))
    assert isinstance(first.workings, Workings)
    assert isinstance(cheaper.workings, Workings)
    assert cheaper.workings.lines[CHUCK.id] is first.workings.lines[CHUCK.id]
    assert cheaper.machine.asking == dollars(900)
    assert cheaper.offer.limit is not None
    assert cheaper.offer.limit <= dollars(900)
    other_nose = again(first, the_catalogue(), machine=replace(first.machine, nose="L0"))
    assert other_nose.values[CHUCK.id].surplus


def test_rivals_do_not_carry_their_own_rivals() -> None:
    first = reckoned(CHUCK)
    second = reckon(
        a_lathe(id="m5"), a_visit(CHUCK), the_catalogue(), Preferences(), others=(first,)
    )
    third = reckon(a_lathe(), a_visit(), the_catalogue(), Preferences(), others=(second,))
    assert [other.machine.id for other in third.others] == ["m5"]
    assert third.others[0].others == ()


def test_every_figure_opens_to_its_basis_year_and_source() -> None:
    reasons = [r for r in value(CHUCK).reasons if r.id in ("price-estimate", "price-published")]
    assert reasons
    for reason in reasons:
        named = dict(reason.values)
        assert named["year"] in range(2000, 2100)
        assert named["source"]


def test_the_bands_of_a_line_are_those_of_its_own_law() -> None:
    result = reckoned(CHUCK)
    assert result.bundle.worth == result.values[CHUCK.id].worth


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_one_more_piece_never_lowers_opening_or_limit(seed: int) -> None:
    machine = a_mill() if seed % 3 == 0 else a_lathe(asking=None)
    visit = a_random_visit(seed, machine)
    one = a_random_piece(random.Random(seed + 1), 99, machine)
    before = reckon(machine, visit, the_catalogue(), Preferences())
    after = again(before, the_catalogue(), visit=replace(visit, pieces=(*visit.pieces, one)))
    assert total(after) >= total(before)
    assert after.bundle.adds.opening >= before.bundle.adds.opening
    assert after.bundle.adds.limit >= before.bundle.adds.limit
    if before.offer.limit is not None and after.offer.limit is not None:
        assert after.offer.limit >= before.offer.limit
        assert before.offer.opening is not None
        assert after.offer.opening is not None
        assert after.offer.opening >= before.offer.opening


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6))
def test_one_more_of_a_line_never_lowers_opening_or_limit(seed: int) -> None:
    machine = a_mill() if seed % 3 == 0 else a_lathe(asking=None)
    visit = a_random_visit(seed, machine)
    before = reckon(machine, visit, the_catalogue(), Preferences())
    for piece in visit.pieces[:2]:
        table = the_catalogue().prices.get(piece.kind or "")
        if table is not None and not table.per_piece and piece.qty < 2:
            continue  # "a set" becomes "two loose ones": less, and meant to be
        pieces = (replace(p, qty=p.qty + (p is piece)) for p in visit.pieces)
        more = again(before, the_catalogue(), visit=replace(visit, pieces=tuple(pieces)))
        assert total(more) >= total(before)
        assert more.bundle.adds.opening >= before.bundle.adds.opening


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_values_hold_together_on_any_visit(seed: int) -> None:
    machine = a_lathe() if seed % 2 else a_mill()
    visit = a_random_visit(seed, machine)
    result = reckon(machine, visit, the_catalogue(), Preferences())
    units = {want.id: want.qty for want in the_catalogue().outfits[machine.machine_class].wants}
    for piece in visit.pieces:
        found = result.values[piece.id]
        assert found.worth_mean >= found.part_out_mean >= dollars(0)
        assert found.worth.low >= dollars(0)
        if piece.unsafe:
            assert found.replacement_mean == found.worth_mean == dollars(0)
    covered: dict[str, int] = {}
    for covering in result.cover.coverings:
        assert 0.0 < covering.grade <= 1.0
        covered[covering.want] = covered.get(covering.want, 0) + covering.units
    for want, count in covered.items():
        assert count + result.cover.open_units.get(want, 0) <= units[want]
    assert {gap.want for gap in result.gaps} == set(result.cover.open_units)
    assert result == again(result, the_catalogue())


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10**6))
def test_the_worth_of_a_visit_is_the_solvers_optimum(seed: int) -> None:
    """Without adapters to share, the cover is an assignment: scipy's total is the same."""
    machine = a_lathe(features=())
    visit = a_random_visit(seed, machine, 20)
    pieces = tuple(replace(piece, tried=True, unsafe="") for piece in visit.pieces)
    result = reckon(machine, replace(visit, pieces=pieces), the_catalogue(), Preferences())
    workings = result.workings
    assert isinstance(workings, Workings)
    useless = {want for want, reasons in result.cover.reasons.items()
               if any(reason.id == "cover-needs" for reason in reasons)}  # fmt: skip
    wants = {slot.want.id: slot.want for slot in workings.slots}
    lines = [line for line in workings.lines.values() if line.blocked is None]
    rows = [line for line in lines for _ in range(min(line.units, 9))]
    gains = np.zeros((len(rows), len(workings.slots)))
    for r, line in enumerate(rows):
        for s, slot in enumerate(workings.slots):
            met = slot.want.id not in useless or pays_for(slot.want, wants, line)
            serves = line.kind.id in slot.want.any_of and met
            if serves and workings.ground.grade(slot.window, line.own_mm) > 0.0:
                worth = in_use(line, slot.want, slot.window, workings.ground)
                gains[r, s] = worth.mean - line.part_mean
    chosen = linear_sum_assignment(gains, maximize=True)
    parts = sum(value.part_out_mean.minor for value in result.values.values())
    assert total(result) == parts + round(gains[chosen].sum())


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6))
def test_with_adapters_to_share_it_is_the_integer_solvers_optimum(seed: int) -> None:
    machine = a_mill() if seed % 3 == 0 else a_lathe()
    visit = a_random_visit(seed, machine, 24)
    small = SMALL_SHANKS[: seed % (len(SMALL_SHANKS) + 1)]  # all through one sleeve on the lathe
    visit = replace(visit, pieces=(*visit.pieces, *small))
    result = reckon(machine, visit, the_catalogue(), Preferences())
    rows, costs = rows_by_hand(result)
    parts = sum(value.part_out_mean.minor for value in result.values.values())
    assert total(result) == parts + round(integer_optimum(rows, costs))


def rows_by_hand(result: Reckoning) -> tuple[list[Row], Costs]:
    """Units that may cover something, what they gain, and all adapters they would take."""
    workings = result.workings
    assert isinstance(workings, Workings)
    lacking = {
        want
        for want, reasons in result.cover.reasons.items()
        if any(reason.id == "cover-needs" for reason in reasons)
    }
    wants = {slot.want.id: slot.want for slot in workings.slots}
    able: list[tuple[Line, list[int]]] = []
    for line in workings.lines.values():
        places = [
            place
            for place, slot in enumerate(workings.slots)
            if line.blocked is None
            and line.kind.id in slot.want.any_of
            and workings.ground.grade(slot.window, line.own_mm) > 0.0
            and (slot.want.id not in lacking or pays_for(slot.want, wants, line))
        ]
        if places:
            able.append((line, places))
    costs: dict[str, dict[float, int]] = {}
    rows = []
    for line, places in able:
        gains: dict[int, int] = {}
        chances: dict[int, float] = {}
        for place in places:
            slot = workings.slots[place]
            worth = in_use(line, slot.want, slot.window, workings.ground)
            own = 0
            chances[place] = CHANCES[slot.want.tier] * line.fit_chance
            for name, (low, typical, high) in line.adapters:
                mean = (low + 4 * typical + high) / 6
                cost = Money.rounded(chances[place] * mean, "USD").minor
                if name.endswith(line.piece.id):  # each unit takes one of its own
                    own += cost
                else:
                    costs.setdefault(name, {})[chances[place]] = cost
            if worth.mean - own > line.part_mean:
                gains[place] = worth.mean - own - line.part_mean
        needs = frozenset(name for name, _ in line.adapters if not name.endswith(line.piece.id))
        rows += [Row(gains, needs, chances)] * min(line.units, max(len(gains), 1))
    return rows, costs


def test_a_sleeve_costs_one_tool_what_it_would_cost_two() -> None:
    """Each alone and both together pay the same for the sleeve: its cost, if any of them pays."""
    tools = [
        a_piece("centre-live", id="a", mount="MT2", condition="very-good"),
        a_piece("drill-chuck-arbor", id="b", mount="MT2", condition="fair"),
        a_piece("drill-chuck-arbor", id="many", mount="MT2", qty=4, condition="fair"),
    ]
    for some in ([tools[0]], tools[:2], [tools[0], tools[2]]):
        result = reckon(a_lathe(), a_visit(*some), the_catalogue(), Preferences())
        rows, costs = rows_by_hand(result)
        (sleeve,) = {name for row in rows for name in row.needs}
        parts = sum(value.part_out_mean.minor for value in result.values.values())
        assert total(result) == parts + round(integer_optimum(rows, costs))
        assert sleeve.startswith("sleeve:") and len(costs) == 1


def test_a_second_chuck_that_lies_idle_pays_no_part_of_the_first_ones_plate() -> None:
    """A plate is turned to its chuck: the one in use needs a whole plate, however many lie by."""
    chuck = a_piece("chuck-3-jaw", size="6in", back="plain", condition="very-good")
    in_use_alone = value_of_first_unit(chuck)
    assert value_of_first_unit(replace(chuck, qty=4)) == pytest.approx(in_use_alone, rel=0.02)


def value_of_first_unit(piece: Piece) -> int:
    result = reckon(a_lathe(), a_visit(piece), the_catalogue(), Preferences())
    (row,) = result.cover.coverings
    assert row.units == 1 and result.fits[piece.id].adapters
    value = result.values[piece.id]
    return value.worth_mean.minor - value.part_out_mean.minor // piece.qty * (piece.qty - 1)


def pays_for(want: Want, wants: dict[str, Want], line: Line) -> bool:
    """Whether what its want needs first is in a line, or what it buys anyway."""
    assert line.fit is not None
    had = {adapter.kind for adapter in line.fit.adapters if not adapter.already_here}
    had |= set(line.fit.own)
    return any(had & set(wants[need].any_of) for need in want.needs if need in wants)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10**6), st.floats(0.5, 3.0))
def test_in_another_currency_every_value_follows_the_rate(seed: int, rate: float) -> None:
    visit = a_random_visit(seed, a_lathe(), 6)
    machine = a_lathe(asking=None, bare_price=None)
    first = reckon(machine, visit, the_catalogue(), Preferences())
    second = reckon(machine, visit, the_catalogue(), Preferences(currency="GBP", rate=rate))
    for piece, found in second.values.items():
        other = first.values[piece]
        assert found.worth_mean.currency == "GBP"
        assert found.worth_mean.minor == pytest.approx(rate * other.worth_mean.minor, abs=40)
        assert found.replacement_mean.minor == pytest.approx(
            rate * other.replacement_mean.minor, rel=0.001, abs=2
        )


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"chance_usual": 1.5}, "chance"),
        ({"commission": -0.1}, "commission"),
        ({"rank_correlation": 2.0}, "correlation"),
        ({"hours": -1.0}, "hours"),
        ({"rate": -1.0, "currency": "EUR"}, "rate"),
        ({"hourly": Money(100, "SEK")}, "no rate"),
        ({"freight": Money(100, "SEK")}, "no rate"),
    ],
)
def test_a_setting_that_cannot_be_is_one_clear_error(wrong: dict[str, Any], words: str) -> None:
    with pytest.raises(KitreckonError, match=words):
        reckoned(a_piece("drive-plate", size="6in", mount="D1-4"), **wrong)


def test_a_floor_in_a_currency_without_a_rate_is_one_clear_error() -> None:
    with pytest.raises(KitreckonError, match="no rate"):
        reckoned(replace(CHUCK, floor=Money(100, "SEK")))
