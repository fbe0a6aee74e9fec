"""Parts, states, prices and questions: what only tells of a thing is no thing of its own."""

from __future__ import annotations

from functools import cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


def kinds(line: str) -> list[str]:
    return [piece.kind for piece in reader().read_line(line).pieces]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("3 jaw chuck 5 inch, jaws worn", ["chuck-3-jaw"]),
        ("drill chuck, worn jaws", ["drill-chuck"]),
        ("4 jaw chuck, 2 jaws missing", ["chuck-4-jaw"]),
        ("3 jaw chuck with 2 sets of jaws", ["chuck-3-jaw", "chuck-jaws"]),
        ("3 jaw chuck, spare jaws good", ["chuck-3-jaw", "chuck-jaws"]),
        ("MT2 drill chuck arbor", ["drill-chuck-arbor"]),
        ("MT2 drills", ["drills-taper-shank"]),
        ("2 J self centering chuck", ["chuck-2-jaw"]),
        ("6in vise and a set of R8 collets", ["milling-vise", "collets-r8"]),
    ],
)
def test_what_tells_of_a_thing_is_none_itself(line: str, expected: list[str]):
    assert kinds(line) == expected


def test_a_2j_head_is_a_question_and_no_two_jaw_chuck():
    piece = reader().read_line("2J head").pieces[0]
    assert (piece.taken, piece.kind.startswith("chuck")) == (False, False)


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("steady rest missing fingers", "fingers"),
        ("milling vise missing handle", "handle"),
        ("lathe dog missing screw", "screw"),
    ],
)
def test_a_thing_that_lacks_a_part_is_here_without_it(line: str, part: str):
    piece = reader().read_line(line).pieces[0]
    assert (piece.state, piece.parts_missing) == ("here", (part,))


def test_a_thing_that_is_missing_is_absent():
    for line in ("steady rest missing", "steady rest missing sadly", "steady missing, no idea"):
        assert reader().read_line(line).pieces[0].state == "absent", line


@pytest.mark.parametrize(
    ("line", "qty", "mount", "size_mm"),
    [
        ("40 taper collet chuck", 1, "ISO40", None),
        ("30 taper boring head", 1, "ISO30", None),
        ("1/2-20 tap", 1, None, 12.7),
        ("3/4 x 10 boring bar", 1, None, 19.05),
        ("faceplate that measures 9 inches across", 1, None, 228.6),
        ("CAT40 end mill holder", 1, "CAT40", None),
        ("backplate 1.5-8 thread", 1, "1-1/2-8", None),
        ("3 jaw chuck, 160/D1-4", 1, "D1-4", 160.0),
    ],
)
def test_tapers_and_threads_are_no_counts(line, qty, mount, size_mm):
    piece = reader().read_line(line).pieces[0]
    assert piece.qty == qty
    assert piece.mount == mount
    size = round(piece.size.mm, 3) if piece.size is not None else None
    assert size == size_mm


@pytest.mark.parametrize(
    ("advert", "asking"),
    [
        ("Steady sold separately for 100 quid. Price 1500 pounds, would take 1200.", "1500 pounds"),
        ("Lathe $2,850 obo. Vise $100 each.", "$2,850"),
        ("I paid 300 for the vise, asking 1800.", "1800"),
        ("£950 the lot. Sold the steady for £1,200 last year.", "£950"),
        ("Lathe. Manual 5 dollars, lathe 900 dollars.", "900 dollars"),
        ("Lathe, made in 1962, 13 x 40.", ""),
    ],
)
def test_the_price_of_the_machine_is_told_from_those_of_single_things(advert, asking):
    assert reader().read_advert(advert).asking_text == asking


def test_running_text_that_ends_in_a_doubt_is_read():
    text = (
        "Lathe, a nine inch i think?? has 3 jaw chuck, 4 jaw chuck, face plate, drive plate and "
        "two dogs, dead centres, vertical slide, good condition, want it gone?"
    )
    got = [piece.kind for piece in reader().read_advert(text).pieces]
    assert got[:4] == ["chuck-3-jaw", "chuck-4-jaw", "faceplate", "drive-plate"]


def test_who_asks_for_a_thing_has_none():
    pieces = reader().read_advert("Nice lathe. Has anyone a follow rest?").pieces
    assert [(piece.kind, piece.state) for piece in pieces] == [("follow-rest", "absent")]


def test_a_short_question_names_nothing_that_is_here():
    assert reader().read_advert("Nice lathe. What would a follow rest cost?").pieces == ()
