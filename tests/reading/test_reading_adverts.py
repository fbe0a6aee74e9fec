"""Whole adverts of our own: what is with the machine, what is said to be missing."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader, TextReading


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


def here(reading: TextReading) -> list[str]:
    return [piece.kind for piece in reading.pieces if piece.state == "here"]


def absent(reading: TextReading) -> list[str]:
    return [piece.kind for piece in reading.pieces if piece.state == "absent"]


def test_pieces_stand_in_the_order_of_mention():
    reading = reader().read_advert(
        "13in engine lathe for sale. Comes with 6 in 3 jaw chuck, live centre and a faceplate. "
        "Also a steady rest. $1,900, call 555 0100."
    )
    assert here(reading) == ["chuck-3-jaw", "centre-live", "faceplate", "steady-rest"]
    assert reading.asking_text == "$1,900"
    assert "lathe" in reading.machine_text


def test_the_machine_its_sizes_and_the_deal_are_no_pieces():
    reading = reader().read_advert(
        "Swing 330 mm, 1000 between centres. Spindle bore 38 mm, tailstock MT3. 2 hp motor, "
        "single phase. Runs well. Collection only."
    )
    assert here(reading) == []


def test_a_story_of_earlier_times_is_left_out():
    reading = reader().read_advert(
        "Bench lathe with 4 jaw chuck. The previous owner had a taper attachment and a "
        "milling attachment. I kept the quick change tool post."
    )
    assert here(reading) == ["chuck-4-jaw"]


def test_things_said_to_be_missing_are_absent_and_never_here():
    reading = reader().read_advert(
        "Lathe with 3-jaw chuck and faceplate. No steady, never did find the follow rest. "
        "Missing the thread dial. The change gears are long gone."
    )
    assert here(reading) == ["chuck-3-jaw", "faceplate"]
    assert absent(reading) == ["steady-rest", "follow-rest", "thread-dial", "change-gears"]


def test_a_thing_found_after_all_is_here():
    reading = reader().read_advert(
        "The lathe came without a faceplate; I found a 9in faceplate for it later."
    )
    assert here(reading) == ["faceplate"]
    assert absent(reading) == []


def test_list_lines_are_read_one_by_one():
    reading = reader().read_advert(
        "Tooling:\n- 8 in 4-jaw chuck D1-4\n- 12 AXA holders\n- set of 17 5C collets\n- manual"
    )
    assert [(p.kind, p.qty, p.set_of) for p in reading.pieces] == [
        ("chuck-4-jaw", 1, None),
        ("toolholder-quick-change", 12, None),
        ("collets-5c", 1, 17),
        ("manual", 1, None),
    ]


def test_bare_chucks_in_the_plural_are_the_two_usual_ones_to_be_asked_about():
    reading = reader().read_advert("Small lathe, with all chucks and a live centre.")
    assert here(reading) == ["chuck-3-jaw", "chuck-4-jaw", "centre-live"]
    assert {"chuck-3-jaw", "chuck-4-jaw"} <= {piece.kind for piece in reading.questions}


def test_a_holder_left_open_is_settled_by_the_post_named_elsewhere():
    quick = reader().read_advert("QCTP. Various tool holders.")
    old = reader().read_advert("Old lathe. Tool post and various tool holders.")
    assert here(quick) == ["toolpost-quick-change", "toolholder-quick-change"]
    assert here(old) == ["toolpost-lantern", "toolholder-lantern"]


def test_holders_of_a_mill_go_into_its_spindle():
    mill = reader().read_advert("Knee mill, 50 taper. 6 tool holders and a vise.")
    assert here(mill) == ["end-mill-holder", "milling-vise"]


def test_a_series_stands_for_its_post_where_holders_follow():
    lathe = reader().read_advert("Lathe. AXA with 12 holders.")
    assert here(lathe) == ["toolpost-quick-change", "toolholder-quick-change"]
    assert here(reader().read_advert("Lathe. AXA holders.")) == ["toolholder-quick-change"]


def test_a_quick_change_gearbox_settles_no_post():
    lathe = reader().read_advert("Lathe, quick change gearbox, tool post, some tool holders.")
    assert here(lathe) == ["toolpost-lantern", "toolholder-lantern"]


def test_an_extra_motor_is_a_thing_and_the_motor_is_the_machines():
    assert here(reader().read_advert("Lathe with motor, 3 jaw chuck.")) == ["chuck-3-jaw"]
    both = reader().read_advert("Lathe with motor, 3 jaw chuck and an extra motor.")
    assert here(both) == ["chuck-3-jaw", "motor-drive"]


def test_what_follows_on_with_a_number_is_counted():
    mill = reader().read_advert("Mill with power feed on the X and 2 axis DRO.")
    assert here(mill) == ["power-feed", "readout"]


@pytest.mark.parametrize("text", ["Tooling consists of 3 jaw.", "Tooling - 3 jaw, faceplate."])
def test_tooling_that_heads_a_list_is_no_piece(text: str):
    assert "cutters-mixed" not in here(reader().read_advert(f"Lathe. {text}"))


def test_an_advert_for_nothing_has_no_pieces():
    reading = reader().read_advert("Wanted: honest buyer. Cash on collection.")
    assert reading.pieces == ()
    assert reading.none_confidence > 0.5


def test_what_the_seller_keeps_or_sold_is_absent():
    reading = reader().read_advert(
        "Lathe with 4 jaw chuck. I'm keeping the follow rest, the taper attachment and the readout."
        " Coolant pump removed. The steady was borrowed and never came back."
        " Faceplate not for sale."
    )
    assert here(reading) == ["chuck-4-jaw"]
    assert set(absent(reading)) == {
        "follow-rest", "taper-attachment", "readout", "coolant-pump", "steady-rest", "faceplate",
    }  # fmt: skip


def test_a_question_answered_with_no_is_absent():
    reading = reader().read_advert("Does it come with a milling attachment? No. Manual included.")
    assert absent(reading) == ["milling-attachment"]
    assert here(reading) == ["manual"]


def test_bare_collets_take_the_style_named_in_the_advert():
    reading = reader().read_advert(
        "Knee mill, R8 spindle, with a drill chuck and a set of collets."
    )
    assert here(reading) == ["drill-chuck", "collets-r8"]


def test_the_example_advert_is_read_to_its_last_thing():
    text = (Path(__file__).parents[2] / "examples" / "advert.txt").read_text(encoding="utf-8")
    reading = reader().read_advert(text)
    by_kind = {piece.kind: piece for piece in reading.pieces}
    assert set(here(reading)) == {
        "chuck-3-jaw", "chuck-jaws", "chuck-4-jaw", "faceplate", "steady-rest",
        "toolpost-quick-change", "toolholder-quick-change", "centre-live", "centre-dead",
        "drill-chuck", "collets-5c", "boring-bars", "knurling-tool", "toolbits",
        "centre-drills", "dial-indicator", "indicator-stand", "change-gears",
    }  # fmt: skip
    assert absent(reading) == ["follow-rest"]
    assert by_kind["chuck-4-jaw"].size.mm == 203.2
    assert by_kind["drill-chuck"].size.mm == 12.7
    assert by_kind["centre-dead"].size is None
    assert by_kind["toolholder-quick-change"].qty == 5
    for kind in ("toolholder-quick-change", "collets-5c", "indicator-stand", "chuck-4-jaw"):
        assert by_kind[kind].taken, kind


def test_lines_of_a_list_are_not_run_together():
    reading = reader().read_advert("3 jaw chuck\nfaceplate\nlive centre\nmanual")
    assert here(reading) == ["chuck-3-jaw", "faceplate", "centre-live", "manual"]


def test_an_advert_tells_how_many_of_a_set_are_there():
    reading = reader().read_advert(
        "Lathe with 5C collet closer and 9 of 12 collets. ER32 collets set of 18, 2 missing."
    )
    sets = {p.kind: (p.qty, p.set_of, p.set_has) for p in reading.pieces if p.set_of}
    assert sets == {"collets-5c": (1, 12, 9), "collets-er": (1, 18, 16)}
