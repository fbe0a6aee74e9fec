"""What a typed line means, before Enter is pressed."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import a_lathe, a_piece, a_visit, the_catalogue
from kitreckon.catalogue.model import Kind
from kitreckon.count import Preferences
from kitreckon.reading import Reader
from kitreckon.screens.details import Details, with_details
from kitreckon.screens.line import Meaning, Typing, meaning, read_codes
from kitreckon.screens.marking import best_row, none_here, one_here, say_about
from kitreckon.screens.rows import CountRow, count_rows, next_row, tally


@cache
def reader() -> Reader:
    return Reader(the_catalogue().kinds, the_catalogue().rules)


def kind(name: str) -> Kind:
    return the_catalogue().kinds[name]


def meant(text: str, in_hand: str = "toolholder-quick-change") -> Meaning:
    return meaning(text, kind(in_hand), reader(), (), Typing())


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("8", "qty", 8),
        ("8 g", "condition", "good"),
        ("vg", "condition", "very-good"),
        ("11 of 13", "set_has", 11),
        ("11 of 13", "set_of", 13),
        ("d1-4", "mount", "D1-4"),
        ("mt3", "mount", "MT3"),
        ("cracked", "unsafe", "cracked"),
        ("his", "his", True),
        ("2500 rpm", "marked_rpm", 2500),
        ("good; from the back shelf", "note", "from the back shelf"),
        ("direct", "back", "direct"),
        ("tried", "tried", True),
        ("tried, goes on", "tried", True),
        ("tried off", "tried", False),
        ("tried, does not fit", "tried", False),
        ("won't go on", "tried", False),
        ("not safe", "unsafe", "unsafe"),
        ("marked 1,200 rpm", "marked_rpm", 1200),
        ("max 12'000 rpm", "marked_rpm", 12000),
        ("note: from his mill", "note", "from his mill"),
    ],
)
def test_a_code_is_about_the_row_in_hand(text: str, field: str, value: object) -> None:
    found = meant(text)
    assert found.does == "row"
    assert getattr(found.details, field) == value


@pytest.mark.parametrize(
    "text",
    [
        "untried",
        "not tried",
        "Not yet tried",
        "never been tried",
        "not tried on",
        "hasn't been tried",
    ],
)
def test_untried_is_not_known_and_takes_away_that_it_was_tried(text: str) -> None:
    found = meant(text)
    assert (found.does, found.details.tried) == ("row", None)
    for before in (None, True, False):
        assert with_details(a_piece("chuck-3-jaw", tried=before), found.details).tried is None


@pytest.mark.parametrize(
    "text",
    ["not cracked", "isn't cracked", "no cracks", "never cracked", "uncracked", "crack-free"],
)
def test_a_denied_crack_is_no_danger_and_takes_one_away(text: str) -> None:
    found = meant(text, "chuck-4-jaw")
    assert (found.does, found.details.unsafe) == ("row", "")
    assert with_details(a_piece("chuck-4-jaw", unsafe="cracked"), found.details).unsafe == ""
    assert with_details(a_piece("chuck-4-jaw", unsafe="chipped"), found.details).unsafe == "chipped"


@pytest.mark.parametrize(
    "text",
    ["body cracked, jaws not cracked", "not cracked jaws, body cracked", "cracked, not tried"],
)
def test_a_crack_said_beside_a_denial_stays(text: str) -> None:
    assert meant(text, "chuck-4-jaw").details.unsafe == "cracked"


def test_a_denial_of_a_crack_in_a_part_takes_no_danger_off_the_whole() -> None:
    details = meant("hub flange not cracked", "chuck-4-jaw").details
    assert with_details(a_piece("chuck-4-jaw", unsafe="cracked"), details).unsafe == "cracked"


@pytest.mark.parametrize("text", ["not his", "no longer his", "isn't his"])
def test_what_he_no_longer_keeps_is_part_of_the_deal_again(text: str) -> None:
    found = meant(text)
    assert found.details.his is None
    assert with_details(a_piece("chuck-3-jaw", his=True), found.details).his is False


@pytest.mark.parametrize(
    "text", ["not good", "not very good", "no good", "not in good condition", "not worn", "not new"]
)
def test_a_denied_condition_is_kept_as_a_note_alone(text: str) -> None:
    found = meant(text, "chuck-3-jaw")
    assert (found.does, found.details.condition, found.details.note) == ("row", None, text)


def test_a_denied_condition_takes_that_one_away_and_no_other() -> None:
    details = meant("not good", "chuck-3-jaw").details
    assert with_details(a_piece("chuck-3-jaw", condition="good"), details).condition is None
    assert with_details(a_piece("chuck-3-jaw", condition="poor"), details).condition == "poor"


def test_a_denial_ends_at_what_it_denies() -> None:
    details = meant("not cracked or tried, 8 g, d1-4", "chuck-3-jaw").details
    assert (details.unsafe, details.tried) == ("", None)
    assert (details.qty, details.condition, details.mount) == (8, "good", "D1-4")


def test_a_denial_before_a_mount_keeps_it_out() -> None:
    details = meant("not d1-4", "chuck-3-jaw").details
    assert (details.mount, details.note) == (None, "not d1-4")
    assert with_details(a_piece("chuck-3-jaw", mount="D1-4"), details).mount is None
    assert with_details(a_piece("chuck-3-jaw", mount="L0"), details).mount == "L0"


def test_a_denied_speed_is_no_mark() -> None:
    assert meant("not marked 1,200 rpm", "chuck-3-jaw").details.marked_rpm is None
    assert meant("not over 1,200 rpm", "chuck-3-jaw").details.marked_rpm == 1200


@pytest.mark.parametrize("text", ["key not missing", "not missing key", "no key missing"])
def test_a_part_that_is_not_missing_is_taken_off_those_that_are(text: str) -> None:
    found = meant(text, "chuck-3-jaw")
    assert (found.does, found.details.parts_missing) == ("row", ())
    short = a_piece("chuck-3-jaw", parts_missing=("key", "jaws-outside"))
    assert with_details(short, found.details).parts_missing == ("jaws-outside",)


def test_nothing_missing_clears_every_part() -> None:
    short = a_piece("chuck-3-jaw", parts_missing=("key", "jaws-outside"))
    details = meant("nothing missing, g", "chuck-3-jaw").details
    assert with_details(short, details).parts_missing == ()
    assert details.condition == "good"


def test_each_missing_part_is_read_and_added_to_those_known() -> None:
    details = meant("no key, no outside jaws", "chuck-3-jaw").details
    assert details.parts_missing == ("key", "jaws-outside")
    later = with_details(
        a_piece("chuck-3-jaw", parts_missing=("jaws-outside",)),
        meant("w/o key", "chuck-3-jaw").details,
    )
    assert later.parts_missing == ("jaws-outside", "key")


def test_a_denial_beside_a_name_is_about_that_thing() -> None:
    found = meant("3 jaw chuck not tried, not cracked")
    assert (found.does, found.kind) == ("thing", "chuck-3-jaw")
    assert (found.details.tried, found.details.unsafe) == (None, "")


def test_what_is_not_here_is_never_counted_as_here() -> None:
    assert meant("not here", "chuck-3-jaw").does == "keep"


def test_size_and_mount_are_read_together() -> None:
    details, rest = read_codes("8in d1-4 f", kind("chuck-4-jaw"), "in")
    assert rest == ""
    assert details.size is not None
    assert (details.size.mm, details.mount, details.condition) == (203.2, "D1-4", "fair")


def test_a_bare_size_takes_the_users_unit() -> None:
    details, _ = read_codes("3 1-1/2", kind("boring-bars"), "in")
    assert details.qty == 3
    assert details.size is not None
    assert details.size.mm == pytest.approx(38.1)


def test_more_in_a_set_than_it_has_is_not_a_set() -> None:
    details, _ = read_codes("14 of 13", None, "in")
    assert details.set_of is None


def test_a_part_missing_is_named_by_the_kinds_own_parts() -> None:
    details, rest = read_codes("no key", kind("chuck-3-jaw"), "in")
    assert rest == ""
    assert details.parts_missing


def test_a_reading_is_named_as_the_checks_name_it() -> None:
    details, rest = read_codes("run-out .004", kind("chuck-3-jaw"), "in")
    assert rest == ""
    assert details.readings[0].id == "run-out"
    assert details.readings[0].value.mm == pytest.approx(0.1016)


@pytest.mark.parametrize("text", ["mouth .005", "0,13 mm bell-mouth", "bell mouth .005in"])
def test_a_reading_is_read_in_any_order_and_by_its_last_word(text: str) -> None:
    details, rest = read_codes(text, kind("chuck-3-jaw"), "in")
    assert rest == ""
    assert [reading.id for reading in details.readings] == ["bell-mouth"]
    assert details.size is None


@pytest.mark.parametrize(
    "text", ["outside jaws missing", "missing outside jaws", "no outside jaws"]
)
def test_a_missing_part_is_read_in_any_order(text: str) -> None:
    details, rest = read_codes(text, kind("chuck-3-jaw"), "in")
    assert rest == ""
    assert details.parts_missing == ("jaws-outside",)


def test_a_figure_with_a_leading_point_is_never_a_number_of_pieces() -> None:
    assert meant(".008", "chuck-3-jaw").does == "ask"


def test_naming_a_thing_is_about_that_thing() -> None:
    found = meant("4 jaw 8in d1-4 g")
    assert (found.does, found.kind) == ("thing", "chuck-4-jaw")
    assert found.details.qty is None, "four jaws are not four chucks"
    assert found.details.mount == "D1-4"


def test_a_number_after_a_name_is_not_a_size_too() -> None:
    details = meant("lathe dogs 3").details
    assert (details.qty, details.size) == (3, None)


def test_every_thing_named_on_a_line_is_meant() -> None:
    found = meant("dial indicator and magnetic base")
    assert found.kind == "dial-indicator"
    assert [each.kind for each in found.more] == ["indicator-stand"]


def test_several_with_a_size_each_are_marked_one_by_one() -> None:
    found = meant("two tailstock chucks 1/2 and 3/4")
    assert (found.kind, found.details.qty, str(found.details.size)) == ("drill-chuck", None, "1/2")
    assert [(each.kind, str(each.size)) for each in found.more] == [("drill-chuck", "3/4")]


def test_a_post_and_its_holders_are_two_things() -> None:
    found = meant("qctp AXA w 6 holders")
    assert (found.kind, found.details.qty) == ("toolpost-quick-change", None)
    assert [(each.kind, each.qty) for each in found.more] == [("toolholder-quick-change", 6)]


def test_a_short_set_is_one_set_with_so_many_here() -> None:
    details = meant("ER32 collets set of 18, 2 missing, good").details
    assert (details.qty, details.set_of, details.set_has) == (None, 18, 16)
    assert details.condition == "good"


@pytest.mark.parametrize("in_hand", ["chuck-3-jaw", "toolpost-grinder"])
def test_a_danger_is_kept_with_what_is_no_thing_on_any_list(in_hand: str) -> None:
    found = meant("grinding wheel chipped", in_hand)
    assert (found.does, found.details.unsafe) == ("keep", "chipped")


def test_what_is_no_accessory_is_never_taken_for_what_resembles_it() -> None:
    assert meant("thread gauge").does == "keep"


def test_a_short_set_is_said_of_the_row_in_hand() -> None:
    found = meant("set of 18, 2 missing", "collets-er")
    assert (found.does, found.details.set_of, found.details.set_has) == ("row", 18, 16)
    assert (found.details.qty, found.details.size) == (None, None)


@pytest.mark.parametrize("text", ["8 thou run-out", "run-out 8 thou", "run-out .008in"])
def test_a_reading_in_thousandths_is_one(text: str) -> None:
    found = meant(text, "chuck-3-jaw")
    (reading,) = found.details.readings
    assert (found.does, reading.id) == ("row", "run-out")
    assert abs(reading.value.mm - 0.2032) < 1e-9
    assert found.details.qty is None


def test_no_such_thing_is_absence() -> None:
    found = meant("no steady rest")
    assert (found.does, found.kind) == ("absent", "steady-rest")


def test_a_bare_chuck_offers_its_likely_answers() -> None:
    assert len(meant("chuck").likely) > 1


def test_what_names_nothing_is_kept() -> None:
    assert meant("qqx zzkw vvv").does == "keep"


def test_an_empty_line_means_nothing() -> None:
    assert meant("   ").does == "nothing"


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=60))
def test_no_line_raises(text: str) -> None:
    assert meant(text).does in {"nothing", "row", "thing", "absent", "keep", "ask"}


# Marks and rows


def rows_of(*pieces: object, **facts: object) -> list[CountRow]:
    visit = a_visit(*pieces, **facts)  # type: ignore[arg-type]
    return count_rows(a_lathe(), the_catalogue().outfits["engine-lathe-small"], visit)


def test_not_looked_is_never_none() -> None:
    here, _, none, open_, typed = tally(rows_of(looks={"steady-rest": 0}))
    assert (here, none, typed) == (0, 1, 0)
    assert open_ == len(rows_of()) - 1


def test_every_piece_is_on_exactly_one_row() -> None:
    pieces = [
        a_piece("centre-dead", id="a"),
        a_piece("centre-dead", id="b"),
        a_piece("rotary-table", id="c"),
        a_piece(None, id="d", text="odd"),
    ]
    shown = [piece.id for row in rows_of(*pieces) for piece in row.pieces]
    assert sorted(shown) == ["a", "b", "c", "d"]


@pytest.mark.parametrize(("supply", "rows"), [("yes", 0), ("no", 1), ("unknown", 1)])
def test_a_drive_is_no_row_for_who_has_a_three_phase_supply(supply: str, rows: int) -> None:
    lathe = a_lathe(features=(("three-phase", True),))
    outfit = the_catalogue().outfits[lathe.machine_class]
    buyer = Preferences(three_phase_supply=supply)  # type: ignore[arg-type]
    shown = [row.kind for row in count_rows(lathe, outfit, a_visit(), buyer)]
    assert shown.count("motor-drive") == rows


def test_a_piece_stands_on_the_row_it_was_seen_on() -> None:
    rows = rows_of(a_piece("centre-dead"), looks={"centre-dead-spindle": 1})
    assert [row.id for row in rows if row.pieces] == ["centre-dead-spindle"]


def test_one_here_counts_up_and_none_here_takes_off() -> None:
    row = next(row for row in rows_of() if row.id == "lathe-dog")
    visit = one_here(a_visit(), row, lambda: "p1")
    row = next(row for row in rows_of(*visit.pieces, looks={"lathe-dog": 1}) if row.pieces)
    visit = one_here(visit, row, lambda: "p2")
    assert [(piece.id, piece.qty) for piece in visit.pieces] == [("p1", 2)]
    assert visit.looked("lathe-dog").seen == 2  # type: ignore[union-attr]
    row = next(row for row in rows_of(*visit.pieces, looks={"lathe-dog": 2}) if row.pieces)
    visit = none_here(visit, row)
    assert visit.pieces == ()
    assert visit.looked("lathe-dog").seen == 0  # type: ignore[union-attr]


def test_saying_something_about_a_row_counts_it() -> None:
    row = next(row for row in rows_of() if row.id == "toolholder-quick-change")
    visit = say_about(a_visit(), row, Details(qty=8, condition="good"), lambda: "p1")
    assert (visit.pieces[0].qty, visit.pieces[0].condition) == (8, "good")
    assert visit.looked(row.id).seen == 8  # type: ignore[union-attr]


def test_an_open_row_is_found_before_a_full_one() -> None:
    rows = rows_of(a_piece("centre-dead"), looks={"centre-dead": 1})
    assert best_row(rows, "centre-dead").id == "centre-dead-spindle"  # type: ignore[union-attr]


def test_the_next_row_goes_round() -> None:
    rows = rows_of(looks={row.id: 0 for row in rows_of()[1:]})
    assert next_row(rows, rows[-1].id, lambda row: row.state == "not looked") == rows[0].id
