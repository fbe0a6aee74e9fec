"""The count tells of a thing that is wanted as a set how many sets are here, not how many parts."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from builders import a_lathe, a_piece, a_visit
from kitreckon.book import Book
from kitreckon.count import Piece
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.count_text import CountText

AppOn = Callable[..., KitreckonApp]


def shown(book: Book, app_on: AppOn, *pieces: Piece) -> list[tuple[str, str]]:
    seen = {pieces[0].kind or "": sum(piece.qty for piece in pieces if piece.seen)}
    visit = a_visit(*pieces, looks=seen if any(seen.values()) else None)
    book.commit("a lathe", book.put(a_lathe()) + book.put(visit))
    session = app_on(book).session
    session.machine_id = a_lathe().id
    text = CountText(session)
    drawn = [text.row(row) for row in session.counted() if row.pieces]
    return [(row.cells[0], row.cells[1]) for row in drawn]


@pytest.mark.parametrize(
    ("piece", "cells"),
    [
        (a_piece("collets-er", qty=18), ("1 of 1", "ER collets, 18")),
        (a_piece("boring-bars", qty=9), ("1 of 1", "boring bars, 9")),
        (a_piece("drills", qty=12), ("<1 of 1", "twist drills, 12")),
        (a_piece("drills", qty=12, seen=False), ("said <1 of 1", "twist drills, 12")),
        (a_piece("drills", set_of=29), ("1 of 1", "twist drills")),
        (a_piece("drills", qty=2, set_of=29), ("2 of 1", "twist drills")),
        (a_piece("chuck-key", qty=3), ("3 of 2", "chuck key")),
    ],
)
def test_loose_parts_are_shown_as_sets(
    book: Book, app_on: AppOn, piece: Piece, cells: tuple[str, str]
) -> None:
    assert shown(book, app_on, piece) == [cells]


def test_a_set_and_loose_parts_are_added_up(book: Book, app_on: AppOn) -> None:
    pieces = a_piece("drills", set_of=29), a_piece("drills", id="more", qty=12)
    assert shown(book, app_on, *pieces) == [("2 of 1", "twist drills")]
