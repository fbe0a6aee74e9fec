"""Lists, headings, ticks and answers: one word that says for many things whether they are there."""

from __future__ import annotations

from functools import cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


def states(text: str) -> dict[str, str]:
    return {piece.kind: piece.state for piece in reader().read_advert(text).pieces}


def kinds(text: str) -> set[str]:
    return set(states(text))


GONE = "absent"
HERE = "here"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # what is said after a list holds for all of it, where it is said of many
        (
            "The faceplate and the follow rest are sold.",
            {"faceplate": GONE, "follow-rest": GONE},
        ),
        (
            "Micrometers, parallels and the edge finder are spoken for.",
            {"micrometer": GONE, "parallels": GONE, "edge-finder": GONE},
        ),
        (
            "3 jaw chuck, steady rest and a mandrel which is missing its nut.",
            {"chuck-3-jaw": HERE, "steady-rest": HERE},
        ),
        (
            "Four jaw, faceplate and boring head was sold last week.",
            {"chuck-4-jaw": HERE, "faceplate": HERE, "boring-head": GONE},
        ),
        # what is said before it holds over commas as far as the list shows
        (
            "It has no drive plate, faceplate or follow rest.",
            {"drive-plate": GONE, "faceplate": GONE, "follow-rest": GONE},
        ),
        (
            "Still need a drive plate, a live centre and a thread dial.",
            {"drive-plate": GONE, "centre-live": GONE, "thread-dial": GONE},
        ),
        (
            "No thread dial, 3 jaw chuck, faceplate.",
            {"thread-dial": GONE, "chuck-3-jaw": HERE, "faceplate": HERE},
        ),
        (
            "A boring head without bars and a fly cutter.",
            {"boring-head": HERE, "fly-cutter": HERE},
        ),
        (
            "No drill chuck with it, no centres or whatever, just a faceplate.",
            {"drill-chuck": GONE, "faceplate": HERE},
        ),
        (
            "There is nothing with it except a faceplate and a lantern tool post.",
            {"faceplate": HERE, "toolpost-lantern": HERE},
        ),
        (
            "Everything is there except the thread dial.",
            {"thread-dial": GONE},
        ),
        # a heading holds for its list, also over semicolons
        (
            "Wanted: follow rest; thread dial; 4 jaw chuck.\nI have a spare faceplate.",
            {
                "follow-rest": GONE,
                "thread-dial": GONE,
                "chuck-4-jaw": GONE,
                "faceplate": HERE,
            },
        ),
        (
            "need: drive plate, live centre, knurling tool",
            {"drive-plate": GONE, "centre-live": GONE, "knurling-tool": GONE},
        ),
        (
            "Gone already so do not ask: readout, rotary table. Still here: milling vise.",
            {"readout": GONE, "rotary-table": GONE, "milling-vise": HERE},
        ),
        (
            "IN THE BOX\n- 3 jaw chuck\n- live centre\nNOT FOUND YET\n- follow rest\n- thread dial",
            {
                "chuck-3-jaw": HERE,
                "centre-live": HERE,
                "follow-rest": GONE,
                "thread-dial": GONE,
            },
        ),
        (
            "He has the following to dispose of: milling vise; fly cutter.",
            {"milling-vise": HERE, "fly-cutter": HERE},
        ),
        # ticks
        (
            "3 jaw chuck y\n4 jaw chuck n\nfaceplate y\nlive centre n",
            {"chuck-3-jaw": HERE, "chuck-4-jaw": GONE, "faceplate": HERE, "centre-live": GONE},
        ),
        (
            "+ milling vise\n+ parallels\n- edge finder\n- boring head",
            {"milling-vise": HERE, "parallels": HERE, "edge-finder": GONE, "boring-head": GONE},
        ),
        (
            "[x] milling vise\n[x] parallels\n[ ] edge finder",
            {"milling-vise": HERE, "parallels": HERE, "edge-finder": GONE},
        ),
        (
            "- milling vise\n- parallels\n- edge finder",
            {"milling-vise": HERE, "parallels": HERE, "edge-finder": HERE},
        ),
        # answers, and what is said alike of another thing
        (
            "5C collets? My lad sold them.\nFaceplate? Yes, drilled all over.",
            {"collets-5c": GONE, "faceplate": HERE},
        ),
        (
            "The readout is going on my next mill. Same goes for the power feed.",
            {"readout": GONE, "power-feed": GONE},
        ),
        (
            "You will have to find your own vise, and ditto the boring head.",
            {"milling-vise": GONE, "boring-head": GONE},
        ),
        (
            "Same lathe as last week: 3 jaw chuck, faceplate.",
            {"chuck-3-jaw": HERE, "faceplate": HERE},
        ),
        # "one" takes up the noun before it
        (
            "The travelling steady is here but the fixed one was lent out years ago.",
            {"follow-rest": HERE, "steady-rest": GONE},
        ),
        (
            "Comes with a dead centre, the live one is on my other lathe.",
            {"centre-dead": HERE, "centre-live": GONE},
        ),
    ],
)
def test_one_word_says_for_a_list_whether_its_things_are_there(text, expected):
    got = states(text)
    assert {kind: got.get(kind) for kind in expected} == expected


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        # verbs in all their forms, with what they are said of before or after them
        ("drill-chuck", "The drill chuck is being auctioned off on its own."),
        ("mandrel", "We donated the mandrels to a school."),
        ("milling-vise", "My cousin snapped up the milling vise."),
        ("splash-guard", "Splash guard: snapped off and tossed."),
        ("work-light", "There was a work light once but my daughter took that for her desk."),
        ("collets-er", "ER32 collets: let them go last month."),
        ("edge-finder", "Hoping to come across an edge finder one day."),
        ("follow-rest", "Not a whiff of a follow rest, I looked in every box."),
        ("ball-turner", "If the ball turner ever surfaces I will post it on."),
        ("manual", "The manual may turn up when we clear the loft."),
        (
            "milling-attachment",
            "He reckons a vertical slide is somewhere, he will ring if he sees it.",
        ),
        ("thread-dial", "What you do not get is the thread dial."),
        ("steady-rest", "A steady rest is listed in his notes but was not sighted."),
        ("chuck-4-jaw", "The 4 jaw used to hang on the wall and somebody walked off with that."),
        ("readout", "Would also consider a readout if the price is right."),
        ("centre-live", "ISO a live centre."),
        ("parallels", "Handed the parallels back to the club."),
        ("drive-plate", "The drive plate will be kept."),
    ],
)
def test_a_verb_says_it_in_all_its_forms(kind: str, text: str):
    kind = "radius-attachment" if kind == "ball-turner" else kind
    assert states(text).get(kind) == GONE


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("drill-chuck", "There is a drill chuck which I could not get out."),
        ("dial-indicator", "You won't get a nicer dial indicator for the money."),
        ("chuck-jaws", "Soft jaws I thought were lost, turned up in a tin."),
        ("coolant-pump", "The coolant pump was disconnected but hasn't gone anywhere."),
        ("faceplate", "No longer short of a faceplate, thanks to the club."),
        ("milling-cutters", "Box of side and face cutters, none chipped."),
        ("faceplate", "Faceplate, not a scratch on it."),
        ("change-gears", "No broken change gears and no missing teeth."),
        ("rotary-table", "I offer a rotary table bought by mistake."),
        ("tailstock-turret", "A tailstock turret that I don't think was ever used."),
        ("steady-rest", "Steady rest off a bigger model, not drilled yet to suit mine."),
        ("splash-guard", "Splash guard was taken off to get it out, it's leaning on the wall."),
        ("drill-chuck", "I bought a drill chuck from a pawn shop."),
        ("chuck-6-jaw", "Lovely six jaw I didn't expect to be in there."),
    ],
)
def test_a_word_of_denial_that_denies_something_else_takes_nothing_away(kind: str, text: str):
    assert states(text).get(kind) == HERE


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("q/c toolpost c/w 5 holders", {"toolpost-quick-change", "toolholder-quick-change"}),
        ("lantern toolpost with 5 holders", {"toolpost-lantern", "toolholder-lantern"}),
        ("d/chuck on 2MT", {"drill-chuck"}),
        ("t/stock d/chuck 13mm", {"drill-chuck"}),
        ("two chucks (a 3 jaw and a 4)", {"chuck-3-jaw", "chuck-4-jaw"}),
        ("a wheel with three claws, a plate", set()),
        ("chuck with three claws", {"chuck-3-jaw"}),
        ("lathe with tooling: faceplate, drive plate", {"faceplate", "drive-plate"}),
        ("lathe with a box of tooling, faceplate", {"cutters-mixed", "faceplate"}),
    ],
)
def test_short_forms_and_lay_words_name_the_thing(text: str, expected: set[str]):
    assert kinds(f"Lathe for sale. {text}.") >= expected
    if "tooling:" in text:
        assert "cutters-mixed" not in kinds(f"Lathe for sale. {text}.")


def test_two_chucks_told_one_by_one_are_one_of_each():
    pieces = reader().read_line("two chucks (a 3 jaw and a 4)").pieces
    assert [(p.kind, p.qty) for p in pieces] == [("chuck-3-jaw", 1), ("chuck-4-jaw", 1)]


@pytest.mark.parametrize(
    ("line", "qty", "size_mm"),
    [
        ("chuck 3jaw 125", 1, 125.0),
        ("soft jaws, 2 sets", 2, None),
        ("Lot 214 - 8in 3-jaw chuck", 1, 203.2),
        ("4F end mills", 1, None),
        ("S16 boring bar", 1, 16.0),
    ],
)
def test_a_number_counts_sizes_or_names_a_lot(line: str, qty: int, size_mm: float | None):
    piece = reader().read_line(line).pieces[0]
    assert piece.qty == qty
    assert (piece.size.mm if piece.size else None) == size_mm
