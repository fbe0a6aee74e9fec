"""One text, one meaning: through a sheet, a table, a typed line and an advert alike."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from builders import a_lathe, the_catalogue
from kitreckon.book import Book
from kitreckon.book.count_table import read_count_csv
from kitreckon.book.sheet import read_sheet
from kitreckon.count import Piece
from kitreckon.reading import Reader
from kitreckon.reading.to_pieces import pieces_of
from kitreckon.screens.app import KitreckonApp
from screen_text import screen_text, type_line, wait_until

AppOn = Callable[..., KitreckonApp]
READER = Reader(the_catalogue().kinds, the_catalogue().rules)
HEAD = "format: 1\nsubject: count\nmachine: {name: lathe, class: engine-lathe-small}\n"
TEXTS = [
    "two 4 jaw chucks, 6in and 8in",
    "r8 collets, set of 18, 2 missing",
    "8in 4 jaw chuck D1-4, worn, no key",
    "faceplate 11in D1-4, cracked",
    "3 lathe dogs",
]


def bare(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces without their names, words and whether they were seen."""
    return [replace(piece, id="", text="", seen=True) for piece in pieces]


def read_as(text: str) -> list[Piece]:
    return bare([piece for read in READER.read_line(text).pieces for piece in pieces_of(read)])


@pytest.mark.parametrize("text", TEXTS)
def test_each_text_says_something_that_could_be_lost(text: str) -> None:
    for piece in read_as(text):
        assert piece != Piece("", piece.kind)


@pytest.mark.parametrize("text", TEXTS)
def test_a_line_of_a_sheet_is_what_was_read(text: str) -> None:
    sheet = read_sheet(f"{HEAD}pieces:\n  - {text}\n", "a", the_catalogue())
    assert bare(sheet.visit.pieces) == read_as(text)


@pytest.mark.parametrize("text", TEXTS)
def test_a_row_of_a_table_is_what_was_read(text: str) -> None:
    table = read_count_csv(f'item\n"{text}"\n', "a", READER, the_catalogue().kinds, "USD")
    assert bare(table.pieces) == read_as(text)


@pytest.mark.parametrize("text", TEXTS)
async def test_a_typed_line_is_what_was_read(text: str, book: Book, app_on: AppOn) -> None:
    lathe = a_lathe()
    book.commit("add", book.put(lathe))
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        await type_line(pilot, text)
        await wait_until(pilot, lambda: bool(book.visit(lathe.id).pieces))
    assert bare(book.visit(lathe.id).pieces) == read_as(text)


@pytest.mark.parametrize("text", TEXTS)
async def test_an_advert_is_what_was_read(text: str, book: Book, app_on: AppOn) -> None:
    lathe = a_lathe()
    book.commit("add", book.put(lathe))
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        app.screen.pasted(text)  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "ADVERT" in screen_text(app))
        await pilot.press("plus", "enter")
        await wait_until(pilot, lambda: bool(book.visit(lathe.id).pieces))
    assert bare(book.visit(lathe.id).pieces) == read_as(text)
    assert [piece.seen for piece in book.visit(lathe.id).pieces] == [False] * len(read_as(text))
