"""Facts of the machine in an advert: taken where they are plain, left where they are not."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitreckon.catalogue.model import Sort
from kitreckon.quantities import read_length
from kitreckon.reading.machine_facts import (
    MachineFacts,
    facts_for,
    machine_called,
    machine_facts,
    same_fact,
)


def told(text: str) -> dict[str, str]:
    return {name: str(value) for name, value in machine_facts(text).said().items()}


@pytest.mark.parametrize(
    ("text", "facts"),
    [
        ('Old engine lathe, 13" swing', {"swing": "13in"}),
        ("14-inch swing over the bed", {"swing": "14in"}),
        ("Swing over bed: 330 mm", {"swing": "330mm"}),
        ("swings 10 inches, 24in between centers", {"swing": "10in", "between_centres": "24in"}),
        ("between centres 1000mm", {"between_centres": "1000mm"}),
        ("12x36 lathe", {"swing": "12in", "between_centres": "36in"}),
        ('13" x 40" geared head gap bed lathe', {"swing": "13in", "between_centres": "40in"}),
        ("7x12 mini lathe", {"swing": "7in", "between_centres": "12in"}),
        ("L0 nose", {"nose": "L0"}),
        ("L-00 spindle nose.", {"nose": "L00"}),
        ("D1-4 camlock", {"nose": "D1-4"}),
        ("camlock D1-6 spindle and a gearbox", {"nose": "D1-6"}),
        ("It has a D1-3 camlock spindle", {"nose": "D1-3"}),
        ("spindle nose 1-1/2-8", {"nose": "1-1/2-8"}),
        ("MT3 tailstock", {"tailstock_socket": "MT3"}),
        ("No. 3 Morse tailstock", {"tailstock_socket": "MT3"}),
        ("tailstock MT2, spindle MT4.", {"tailstock_socket": "MT2", "spindle_socket": "MT4"}),
        ("tailstock taper is MT2", {"tailstock_socket": "MT2"}),
        ("MT5 spindle MT3 tailstock", {"spindle_socket": "MT5", "tailstock_socket": "MT3"}),
        ('spindle bore 1-1/2"', {"bore": "1-1/2in"}),
        ('has a 1.5" spindle bore', {"bore": "1.5in"}),
        ("1 3/8in through the spindle", {"bore": "1-3/8in"}),
        ('Swing 13" between centers 40"', {"swing": "13in", "between_centres": "40in"}),
        ("R8 spindle", {"spindle_socket": "R8"}),
    ],
)  # fmt: skip
def test_what_is_plainly_said_is_taken(text: str, facts: dict[str, str]) -> None:
    assert told(text) == facts


@pytest.mark.parametrize(
    "text",
    [
        "6in centre height",
        "centre height 6-1/2in",
        "6 inch lathe",
        "6 x 24 lathe",
        "£900 10 x 24 lathe",
        "6in centre height, 12 x 36 lathe",
        "300x900 lathe",
        "12 x 36 mm lathe",
        "swing over the cross slide 7in",
        "18in swing in the gap",
        "about 13in swing",
        "13 or 14in swing",
        "4 jaw chuck D1-4 camlock",
        "MT3 drill chuck in the tailstock",
        "MT3 live center for the tailstock",
        "faceplate for L0 spindle",
        "not a D1-4 nose",
        "MT3 nose",
        "swing 13",
        "swing 900in",
        "13in swing. 14in swing",
        "Asking $900 in cash",
        "",
    ],
)
def test_what_is_not_plain_is_left(text: str) -> None:
    assert told(text) == {}


def test_a_swing_beside_a_centre_height_is_the_swing() -> None:
    assert told("6-1/2in centre height, 13in swing") == {"swing": "13in"}


def test_a_whole_advert_gives_its_facts_once() -> None:
    text = (
        "Tired 13x40 engine lathe with a gearbox. D1-4 camlock, spindle bore 1-1/2in.\n"
        "No. 3 Morse tailstock. Comes with a 6in 3 jaw chuck D1-4, a 10in faceplate L0 and\n"
        "an MT2 dead centre. $1,900"
    )
    assert told(text) == {
        "swing": "13in",
        "between_centres": "40in",
        "nose": "D1-4",
        "tailstock_socket": "MT3",
        "bore": "1-1/2in",
    }


@given(st.text(alphabet='0123456789 -/."x,swingMTDLboreetcamlk½', max_size=80) | st.text())
def test_no_text_is_a_fault(text: str) -> None:
    assert isinstance(machine_facts(text), MachineFacts)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("ENGINE LATHE FOR SALE, 12 in swing", "12in engine lathe"),
        ("A 14 inch centre lathe", "14in centre lathe"),
        ("12x36 lathe, tooling", "12in lathe"),
        ("knee mill with a vise", "knee mill"),
        ("A box of collets", ""),
    ],
)
def test_a_machine_is_called_by_its_size_and_sort(text: str, name: str) -> None:
    assert machine_called(text) == name


@pytest.mark.parametrize(
    ("sort", "taken"),
    [
        ("lathe", {"swing", "spindle_socket"}),
        (None, {"swing", "spindle_socket"}),
        ("mill", {"spindle_socket"}),
        ("drill", {"spindle_socket"}),
    ],
)
def test_a_swing_is_taken_for_a_lathe_alone(sort: Sort | None, taken: set[str]) -> None:
    said = machine_facts("12in swing, spindle taper MT3")
    assert set(facts_for(sort, said)) == taken


@pytest.mark.parametrize(
    ("known", "said", "same"),
    [
        (read_length("305mm"), read_length("12in"), True),
        (read_length("320mm"), read_length("12in"), False),
        ("D1-4", "D1-4", True),
        (None, read_length("12in"), False),
    ],
)
def test_a_length_rounded_in_another_unit_is_the_same(
    known: object, said: object, same: bool
) -> None:
    assert same_fact(known, said) is same


def test_a_nose_that_stands_alone_is_the_machines() -> None:
    assert machine_facts("13x40 gap bed lathe, D1-4, MT3 tailstock").nose == "D1-4"
    assert machine_facts("lathe, L00, with a 3 jaw chuck").nose == "L00"
    assert machine_facts("two 4 jaw chucks, D1-4 and D1-6").nose is None
    assert machine_facts("lathe, MT3, 5C").nose is None
