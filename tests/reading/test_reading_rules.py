"""How single things are read: one rule of the trade, or of writing, a test."""

from __future__ import annotations

from functools import cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Correction
from kitreckon.reading import Reader, ReadPiece
from kitreckon.reports.reading import line_text


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


def piece(text: str) -> ReadPiece:
    return reader().read_line(text).pieces[0]


def kinds(text: str) -> list[str]:
    return [p.kind for p in reader().read_line(text).pieces]


def test_a_bare_chuck_is_an_open_question_with_its_likely_answers_in_order():
    read = piece("chuck")
    assert not read.taken
    assert read.kind == "chuck-3-jaw"
    assert read.others[0].kind == "chuck-4-jaw"
    assert read.confidence >= read.others[0].confidence > 0


def test_a_word_that_leaves_the_kind_open_wants_a_higher_bar_than_a_plain_name():
    sure = piece("5C hex block")
    assert (sure.kind, sure.taken) == ("collet-block", True)
    several = piece("three chucks")
    assert several.confidence > sure.confidence
    assert not several.taken


def test_a_bare_chuck_with_a_taper_is_a_drill_chuck():
    assert piece("chuck JT33").kind == "drill-chuck"


def test_a_bare_chuck_with_a_spindle_nose_is_a_lathe_chuck():
    assert piece("chuck, D1-4").kind == "chuck-3-jaw"


def test_a_shared_noun_serves_both():
    assert kinds("3 & 4 jaw chucks") == ["chuck-3-jaw", "chuck-4-jaw"]
    assert kinds("fixed and travelling steadies") == ["steady-rest", "follow-rest"]
    assert kinds("live and dead centres") == ["centre-live", "centre-dead"]


def test_what_is_with_the_thing_comes_after_it():
    assert kinds("4 jaw chuck w/ reverse jaws") == ["chuck-4-jaw", "chuck-jaws"]


@pytest.mark.parametrize(
    ("text", "set_of", "set_has"),
    [
        ("ER25 collets set of 15, 4 missing", 15, 11),
        ("5C collets set of 25, one gone, fair", 25, 24),
        ("R8 collet set of 13 missing the 3/8", 13, 12),
        ("set of 11 R8 collets less 1/8 and 3/16", 11, 9),
        ("18 piece ER collet set, short of two", 18, 16),
        ("reamers set of nine but only six left", 9, 6),
        ("ER40 collets, 12 of 23", 23, 12),
        ("5C collets 11 out of 13", 13, 11),
        ("7 of 9 R8 collets", 9, 7),
        ("ER32 collet set, 16 of 18 in a case", 18, 16),
        ("5C set 1/16 to 1in by 16ths, 3 missing", 16, 13),
        ("ER32 collets set of 18", 18, None),
        ("ER32 collets set of 18, one bruised", 18, None),
        ("R8 collets 11 of 11", 11, None),
        ("set of 10 end mills, 3 of 10 new", 10, None),
    ],
)
def test_a_set_that_is_short_tells_how_many_are_there(text: str, set_of: int, set_has: int | None):
    read = piece(text)
    assert (read.qty, read.set_of, read.set_has) == (1, set_of, set_has)
    assert (read.state, read.size) == ("here", None)


def test_a_share_belongs_to_the_thing_beside_it():
    closer, collets = reader().read_line("5C collet closer and 11 of 13 collets").pieces
    assert (closer.kind, closer.qty, closer.set_of) == ("collet-adapter", 1, None)
    assert (collets.kind, collets.set_of, collets.set_has) == ("collets-5c", 13, 11)
    chuck, collets = reader().read_line("ER32 chuck with set of 18 collets, 2 missing").pieces
    assert (chuck.set_of, collets.set_of, collets.set_has) == (None, 18, 16)


def test_a_share_of_what_is_sold_singly_is_a_count():
    read = piece("6 of 8 holders for the qctp")
    assert (read.kind, read.qty, read.set_of) == ("toolholder-quick-change", 6, None)
    assert piece("4 jaw, 3 of 4 jaws good").qty == 1


@pytest.mark.parametrize("joint", ["w", "w/", "c/w", "with", "+", ","])
def test_holders_with_a_post_are_the_holders_of_that_post(joint: str):
    post, holders = reader().read_line(f"qctp BXA {joint} 7 holders").pieces
    assert (post.kind, post.qty, post.series) == ("toolpost-quick-change", 1, "BXA")
    assert (holders.kind, holders.qty, holders.series) == ("toolholder-quick-change", 7, "BXA")
    assert holders.taken
    assert kinds(f"lantern post {joint} 3 holders") == ["toolpost-lantern", "toolholder-lantern"]


def test_bare_collets_with_a_chuck_are_of_its_style():
    assert kinds("ER25 chuck c/w 9 collets") == ["chuck-collet", "collets-er"]
    assert kinds("5C closer and 9 collets") == ["collet-adapter", "collets-5c"]


def test_run_on_things_are_two():
    assert kinds("face plate some tooling") == ["faceplate", "cutters-mixed"]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("drill chuck key", "chuck-key"),
        ("drill chuck arbor", "drill-chuck-arbor"),
        ("dial indicator stand", "indicator-stand"),
        ("threading dial indicator", "thread-dial"),
        ("tool post grinder", "toolpost-grinder"),
        ("collet chuck", "chuck-collet"),
        ("spanner for the clamp set", "wrenches"),
        ("jaws for my 4 jaw chuck", "chuck-jaws"),
    ],
)
def test_a_following_word_turns_the_meaning(text: str, kind: str):
    assert piece(text).kind == kind


@pytest.mark.parametrize("text", ["collet rack", "tool holder rack", "end mill case"])
def test_what_only_stores_a_thing_is_no_accessory(text: str):
    assert reader().read_line(text).pieces == ()


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("chcuk 4 jaw", "chuck-4-jaw"),
        ("stedy rest", "steady-rest"),
        ("knurlling tool", "knurling-tool"),
        ("reamrs", "reamers"),
        ("micromter", "micrometer"),
        ("toolpsot grinder", "toolpost-grinder"),
    ],
)
def test_slips_of_the_keys_are_put_right(text: str, kind: str):
    assert piece(text).kind == kind


@pytest.mark.parametrize("word", ["chance", "check", "voice", "form", "matter", "bring"])
def test_plain_words_are_not_taken_for_slips(word: str):
    assert reader().read_line(f"a {word}").pieces == ()


@pytest.mark.parametrize(
    ("text", "qty", "set_of"),
    [
        ("31 5C collets", 31, None),
        ("set of 13 R8 collets", 1, 13),
        ("(3) boring bars", 3, None),
        ("boring bars (3)", 3, None),
        ("boring bars x2", 2, None),
        ("2 off MT3 sleeves", 2, None),
        ("pair of parallels", 2, None),
        ("a dozen lathe dogs", 12, None),
        ("two 6 inch vises", 2, None),
        ("35 pcs 5C collet set", 1, 35),
        ("14-pc reamer set", 1, 14),
        ("R8 collets 1/8 to 3/4 by 16ths", 1, 11),
        ("3 jaw chuck", 1, None),
        ("2 flute end mill", 1, None),
        ("1965 faceplate", 1, None),
        ("a steady or two", 1, None),
        ("micrometers 0-1 1-2", 2, None),
    ],
)
def test_how_many_there_are(text: str, qty: int, set_of: int | None):
    read = piece(text)
    assert (read.qty, read.set_of) == (qty, set_of)


@pytest.mark.parametrize(
    ("text", "size_mm"),
    [
        ('6" 4 jaw', 152.4),
        ("six inch 4 jaw", 152.4),
        ("200mm faceplate", 200.0),
        ("3/4 boring bar", 19.05),
        ("1-1/4 in boring bar", 31.75),
        ("keyless drill chuck 1-13mm", 13.0),
        ("0-300 mm height gauge", 300.0),
        ("angle plate 100 x 150 x 125 mm", 150.0),
        ("three jaw for the 10in lathe", None),
        ("3 jaw chuck", None),
        ("ER32 collets", None),
        ("JT33 arbor", None),
        ("end mills 1/8 to 1/2", None),
        ("58 pc clamping kit, 3/8 studs", None),
        ("dial indicator .0005", None),
        ("steady for a 13 inch lathe", None),
    ],
)
def test_a_size_is_the_piece_s_own_or_none(text: str, size_mm: float | None):
    size = piece(text).size
    assert (round(size.mm, 3) if size else None) == size_mm


@pytest.mark.parametrize(
    ("text", "mount", "series"),
    [
        ("3 jaw chuck D1-4", "D1-4", None),
        ("live centre no 3 morse", "MT3", None),
        ("drill chuck JT33 on 2MT arbor", "MT2", None),
        ("5C lever collet chuck, D1-6", "D1-6", None),
        ("faceplate 1-1/2-8", "1-1/2-8", None),
        ("R8 to ER32 collet chuck", "R8", "ER32"),
        ("ER40 collets", None, "ER40"),
        ("AXA tool post", None, "AXA"),
        ("M10 tap", None, None),
    ],
)
def test_the_mount_is_the_machine_s_side(text: str, mount: str | None, series: str | None):
    read = piece(text)
    assert (read.mount, read.series) == (mount, series)
    assert read.interface == (mount or series)


@pytest.mark.parametrize(
    ("text", "condition"),
    [
        ("steady rest, good", "good"),
        ("live centre as new", "excellent"),
        ("live centre, brand new", "new"),
        ("4 jaw, worn", "fair"),
        ("3 jaw chuck, a bit rusty", "fair"),
        ("faceplate rusted", "fair"),
        ("6 jaw chuck worn out", "poor"),
        ("knackered 4 jaw", "poor"),
        ("milling vise, pitted", "poor"),
        ("steady rest, badly rusted", "poor"),
        ("power feed, not working", "poor"),
        ("MT2 live centre gritty", "poor"),
        ("rotary table, seized", "poor"),
        ("dial indicator, runs rough", "poor"),
        ("live centre, needs new bearings", "poor"),
        ("vise, not worn", None),
        ("boring head, hardly worn, nice", "good"),
        ("drill chuck, very good", "very-good"),
        ("mill vise, usable", "fair"),
        ("3 jaw for parts", "scrap"),
        ("4 jaw chuck", None),
    ],
)
def test_condition_words_are_read(text: str, condition: str | None):
    assert piece(text).condition == condition


def test_a_danger_is_kept_in_its_own_word():
    assert piece("6in 3 jaw, cracked body").unsafe == "cracked"
    assert piece("6in 3 jaw, no cracks").unsafe == ""


@pytest.mark.parametrize(
    ("text", "unsafe"),
    [
        ("grinding wheel, chipped", "chipped"),
        ("8in grinding wheel no marking", "no marking"),
        ("two abrasive wheels, unmarked", "unmarked"),
        ("some cracked thing or other", "cracked"),
        ("grinding wheel, new", ""),
        ("an old radio", ""),
    ],
)
def test_a_danger_is_kept_where_the_thing_is_none_of_the_kinds(text: str, unsafe: str):
    read = reader().read_line(text)
    assert (read.pieces, read.unsafe) == ((), unsafe)


def test_a_chip_is_a_danger_on_a_grinding_wheel_alone():
    assert piece("toolpost grinder, wheel chipped").unsafe == "chipped"
    assert piece("knurling tool, one wheel chipped").unsafe == ""
    assert piece("end mill, chipped").unsafe == ""


def test_several_with_a_size_each_are_one_of_each_size():
    read = piece("two tailstock chucks 3/8 and 5/8")
    assert (read.qty, read.size) == (2, None)
    assert [(each.qty, each.size.mm) for each in read.each()] == [(1, 9.525), (1, 15.875)]
    chucks = piece("two four jaws, 8in and 10in").each()
    assert [each.size.mm for each in chucks] == [203.2, 254.0]
    assert len(piece("two drill chucks, 1/2").each()) == 1


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("3 jaw, outside jaws missing", "jaws-outside"),
        ("3 jaw missing outside jaws", "jaws-outside"),
        ("10in four jaw, key gone", "key"),
        ("mill vise, its handle was lost", "handle"),
        ("steady rest, fingers missing", "fingers"),
        ("dividing head, plates are missing", "index-plates"),
        ("dividing head, no tailstock", "footstock"),
    ],
)
def test_a_part_is_missing_whether_said_before_or_after_it(text: str, part: str):
    (read,) = reader().read_line(text).pieces
    assert (read.state, read.parts_missing) == ("here", (part,))


def test_a_thing_said_to_be_missing_is_no_part_of_the_one_before_it():
    chuck, other = reader().read_line("3 jaw chuck, 4 jaw chuck missing").pieces
    assert (chuck.state, chuck.parts_missing) == ("here", ())
    assert (other.kind, other.state) == ("chuck-4-jaw", "absent")


def test_missing_parts_are_the_kind_s_own():
    assert "key" in piece("8in 4 jaw chuck, no key").parts_missing
    assert piece("8in 4 jaw chuck with key").parts_missing == ()
    assert piece("8in 4 jaw chuck, no key").state == "here"


@pytest.mark.parametrize(
    "text",
    [
        "no steady",
        "never found the steady rest",
        "missing the steady rest",
        "steady rest not included",
        "without a steady rest",
        "didn't come with a steady",
        "steady rest is missing",
    ],
)
def test_a_thing_said_to_be_missing_is_absent(text: str):
    read = piece(text)
    assert (read.kind, read.state) == ("steady-rest", "absent")


@pytest.mark.parametrize(
    "text", ["no. 3 centre drill", "steady rest, no wear", "most of the missing change gears"]
)
def test_not_every_no_says_that_it_is_missing(text: str):
    assert piece(text).state == "here"


@pytest.mark.parametrize(
    ("text", "back"),
    [("4 jaw, plain back", "plain"), ("direct mount 4 jaw chuck", "direct"), ("4 jaw chuck", None)],
)
def test_how_a_chuck_is_held_is_read(text: str, back: str | None):
    assert piece(text).back == back


def test_a_correction_wins_the_next_time_and_only_for_that_text():
    catalogue = open_catalogue()
    said = (Correction("c1", "the gubbins", "change-gears"), Correction("c2", "oil can", ""))
    corrected = Reader(catalogue.kinds, catalogue.rules, said)
    again = corrected.read_line("The  Gubbins!").pieces[0]
    assert (again.kind, again.taken, again.confidence) == ("change-gears", True, 1.0)
    assert corrected.read_line("oil can").pieces == ()
    assert corrected.read_line("other gubbins").pieces == ()


def test_a_correction_keeps_what_was_said_beside_the_kind():
    catalogue = open_catalogue()
    corrected = Reader(
        catalogue.kinds, catalogue.rules, (Correction("c1", "8in chuck, worn", "chuck-6-jaw"),)
    )
    read = corrected.read_line("8in chuck, worn").pieces[0]
    assert (read.kind, read.size.mm, read.condition) == ("chuck-6-jaw", 203.2, "fair")


def test_every_answer_says_which_words_spoke_for_it():
    words = open_catalogue().words
    for text in ("6in 4 jaw chcuk", "drill chuck key", "chuck", "K12 160", "2 & 3 jaw chucks"):
        for read in reader().read_line(text).pieces:
            assert read.why
            assert all(words.sentences[reason.id] for reason in read.why)


def test_confidences_of_a_line_never_exceed_one_together():
    for text in ("chuck", "tool post", "collets", "6in 4 jaw"):
        reading = reader().read_line(text)
        first = reading.pieces[0]
        total = first.confidence + sum(o.confidence for o in first.others) + reading.none_confidence
        assert 0.99 <= total <= 1.01


def test_every_kind_named_in_the_rules_is_in_the_catalogue():
    catalogue = open_catalogue()
    rules = catalogue.rules
    named = {kind for shares in rules["open"].values() for kind in shares}
    named |= set(rules["written"]) | set(rules["usual"]) | set(rules["belongs"])
    named |= {kind for rule in rules["turns"] for kind in rule["after"]} - {"any"}
    named |= {rule["gives"] for rule in rules["turns"]} - {"none"}
    named |= {rule["kind"] for rule in (*rules["codes"], *rules["with_mount"])}
    named |= {kind for rule in rules["signs"] for kind in rule["favours"]}
    named |= {
        kind for name, kinds in rules["sizes"].items() if name != "number_nouns" for kind in kinds
    }
    assert named <= set(catalogue.kinds)


@pytest.mark.parametrize(
    ("text", "qty", "set_of"),
    [
        ("live centres, three of", 3, None),
        ("boring bars (5 qty)", 5, None),
        ("lathe dogs, 5 assorted", 5, None),
        ("1-2-3 blocks pr.", 2, None),
        ("expanding mandrels set of nine", 1, 9),
        ("dead centre 1 no", 1, None),
        ("60 degree threading tool", 1, None),
    ],
)
def test_a_count_after_the_name_is_read(text: str, qty: int, set_of: int | None):
    read = piece(text)
    assert (read.qty, read.set_of) == (qty, set_of)


def test_a_missing_part_never_becomes_the_thing():
    read = reader().read_line("6in milling vise no handle")
    assert [p.kind for p in read.pieces if p.state == "here"] == ["milling-vise"]


@pytest.mark.parametrize(
    ("text", "kind"), [("STDY FXD", "steady-rest"), ("CTR RVLVNG MT5", "centre-live")]
)
def test_words_without_their_vowels_are_read(text: str, kind: str):
    assert piece(text).kind == kind


@pytest.mark.parametrize(
    ("text", "danger"),
    [
        ("grinding wheel chipped", "chipped"),
        ("8in 3 jaw chuck, cracked", "cracked"),
        ("8in 3 jaw chuck", None),
    ],
)
def test_a_line_printed_tells_its_danger(text: str, danger: str | None):
    catalogue = open_catalogue()
    told = line_text(reader().read_line(text), catalogue.words, Style("in", "american"))
    assert ("danger" in told) == (danger is not None)
    assert danger is None or told.endswith(f"danger: {danger}")
