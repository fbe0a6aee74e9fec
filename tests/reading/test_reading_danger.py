"""A danger that a text tells is never lost to a reassurance beside it."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


def danger(line: str) -> str:
    reading = reader().read_line(line)
    return reading.pieces[0].unsafe if reading.pieces else reading.unsafe


@pytest.mark.parametrize(
    "line",
    [
        "faceplate cracked, no wear",
        "faceplate, hairline crack in hub, no rust",
        "4 jaw chuck, body cracked, no play",
        "4 jaw chuck, no play body cracked",
        "chuck with crack in body, needs work",
        "3 jaw chuck no.2 has a crack",
        "3 jaw chuck, no cracks in jaws, body cracked",
        "faceplate split at the hub",
        "4 jaw chuck with a welded repair",
        "milling vise, not worn but cracked",
        "drive plate, brazed up after a fall",
        "3 jaw chuck, never used, cracked",
    ],
)
def test_a_danger_stays_one_whatever_stands_beside_it(line: str):
    assert danger(line)


@pytest.mark.parametrize(
    "line",
    [
        "faceplate, no cracks",
        "4 jaw chuck, not cracked",
        "4 jaw chuck, no sign of any cracks",
        "3 jaw chuck, no visible hairline cracks",
        "faceplate without cracks",
        "faceplate, free of cracks, checked for cracks",
        "drive plate, crack free",
        "milling vise, never been cracked",
    ],
)
def test_a_danger_that_is_denied_is_none(line: str):
    assert danger(line) == ""


REASSURING = [
    phrase
    for phrase in open_catalogue().rules["presence"]["here"]
    if "~" not in phrase and "crack" not in phrase
]


@settings(max_examples=150, deadline=None)
@given(
    before=st.sampled_from(["", *REASSURING]),
    after=st.sampled_from(["", *REASSURING]),
    joint=st.sampled_from([", ", "; ", " and ", " - "]),
)
def test_no_reassurance_makes_a_crack_unsaid(before: str, after: str, joint: str):
    reading = reader().read_line(f"4 jaw chuck, {before}{joint}body cracked{joint}{after}")
    assert any(piece.unsafe for piece in reading.pieces)


def test_an_advert_tells_the_danger_too():
    pieces = reader().read_advert("Lathe. Faceplate is cracked at the hub, no rust.").pieces
    assert [(p.kind, bool(p.unsafe)) for p in pieces] == [("faceplate", True)]


def test_never_used_hard_is_not_new():
    assert reader().read_line("4 jaw chuck, never used hard").pieces[0].condition != "new"
    assert reader().read_line("4 jaw chuck, never used").pieces[0].condition == "new"
