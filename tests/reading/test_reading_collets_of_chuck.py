"""Collets named with a collet chuck are of its series, where nothing else is said of them."""

from __future__ import annotations

from functools import cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader
from kitreckon.reading.to_pieces import pieces_of


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


@pytest.mark.parametrize(
    ("line", "series", "many"),
    [
        ("ER25 collet chuck MT2 with 10 collets", "ER25", 10),
        ("R8 collet chuck ER40 with 15 collets", "ER40", 15),
        ("ER32 collet chuck, 8 collets", "ER32", 8),
        ("ER32 collet chuck MT3 with wrench, 7 collets", "ER32", 7),
    ],
)
def test_collets_are_of_the_series_of_their_chuck(line: str, series: str, many: int):
    read = reader().read_line(line).pieces[-1]
    assert (read.kind, read.qty) == ("collets-er", many)
    assert [piece.mount for piece in pieces_of(read)] == [series]


@pytest.mark.parametrize(
    ("line", "kind", "mount"),
    [
        ("ER25 collet chuck, R8 collets", "collets-r8", "R8"),
        ("ER25 collet chuck MT2 with 10 ER32 collets", "collets-er", "ER32"),
        ("collet chuck MT2 with 10 ER collets", "collets-er", None),
    ],
)
def test_what_is_said_of_the_collets_themselves_stands(line: str, kind: str, mount: str | None):
    read = reader().read_line(line).pieces[-1]
    assert (read.kind, read.interface) == (kind, mount)


def test_an_advert_gives_its_collets_the_series_of_their_chuck():
    advert = "Lathe, 10 in swing. Comes with an ER25 collet chuck MT2 with 10 collets."
    collets = [p for p in reader().read_advert(advert).pieces if p.kind == "collets-er"]
    assert [piece.interface for piece in collets] == ["ER25"]
