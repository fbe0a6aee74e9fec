"""A plural that only announces what is named after it counts nothing twice."""

from __future__ import annotations

from functools import cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


THREE_AND_FOUR = {"chuck-3-jaw": 1, "chuck-4-jaw": 1}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2 chucks (3 and 4 jaw)", THREE_AND_FOUR),
        ("2 chucks (3 & 4)", THREE_AND_FOUR),
        ("2 chucks (one is three jaws, one four)", THREE_AND_FOUR),
        ("2 chucks (one 3 jaw, one 4 jaw)", THREE_AND_FOUR),
        ("two chucks: 3 jaw and 4 jaw", THREE_AND_FOUR),
        ("3 chucks - 3 jaw, 4 jaw and 6 jaw", {**THREE_AND_FOUR, "chuck-6-jaw": 1}),
        ("two steadies, a fixed one and a travelling one", {"steady-rest": 1, "follow-rest": 1}),
        ("two 3 jaw chucks, 4 jaw", {"chuck-3-jaw": 2, "chuck-4-jaw": 1}),
        ("two chucks and a faceplate", {**THREE_AND_FOUR, "faceplate": 1}),
        ("two 3 jaw chucks and a faceplate", {"chuck-3-jaw": 2, "faceplate": 1}),
    ],
)
def test_what_is_announced_is_counted_once(text: str, expected: dict[str, int]):
    pieces = reader().read_advert(f"Lathe for sale with {text}.").pieces
    assert {piece.kind: piece.qty for piece in pieces} == expected
    assert len(pieces) == len(expected)


def test_what_was_named_before_it_was_announced_is_counted_once():
    pieces = reader().read_advert("Lathe with 3 jaw. Two chucks (3 and 4 jaw).").pieces
    assert {piece.kind: piece.qty for piece in pieces} == THREE_AND_FOUR
