"""What the seller keeps is here and out of the deal: nothing counted is wiped for it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from builders import the_catalogue
from kitreckon.book import Book
from kitreckon.count import Machine, Piece
from kitreckon.reading import Reader
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.line import Meaning, Typing, meaning
from screen_text import screen_text, type_line

AppOn = Callable[..., KitreckonApp]


def meant(text: str, in_hand: str = "steady-rest") -> Meaning:
    catalogue = the_catalogue()
    reader = Reader(catalogue.kinds, catalogue.rules)
    return meaning(text, catalogue.kinds[in_hand], reader, (), Typing())


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("taper attachment, he keeps it", "taper-attachment"),
        ("he keeps 8in 4jaw", "chuck-4-jaw"),
        ("he's keeping the 4 jaw", "chuck-4-jaw"),
        ("4 jaw chuck, which he wants to keep", "chuck-4-jaw"),
        ("the seller keeps the vise", "milling-vise"),
        ("4 jaw chuck, not for sale", "chuck-4-jaw"),
        ("4 jaw chuck stays with him", "chuck-4-jaw"),
    ],
)
def test_a_thing_he_keeps_is_here_and_his(text: str, kind: str) -> None:
    found = meant(text)
    assert (found.does, found.kind, found.details.his) == ("thing", kind, True)


@pytest.mark.parametrize("text", ["he keeps it", "he's keeping it", "keeps it", "not for sale"])
def test_without_a_name_it_is_the_row_in_hand_that_he_keeps(text: str) -> None:
    found = meant(text)
    assert (found.does, found.details.his) == ("row", True)


@pytest.mark.parametrize("text", ["he does not keep the 4 jaw", "4 jaw, he won't keep it"])
def test_what_he_does_not_keep_is_here_and_not_his(text: str) -> None:
    found = meant(text)
    assert (found.does, found.kind, found.details.his) == ("thing", "chuck-4-jaw", None)
    assert ("his", True) in found.details.denied


@pytest.mark.parametrize("text", ["he keeps it well oiled", "he keeps the 4 jaw on the shelf"])
def test_how_and_where_he_keeps_it_is_not_that_it_is_his(text: str) -> None:
    assert meant(text).details.his is None


@pytest.mark.parametrize(
    "text", ["3 jaw chuck, he keeps the 4 jaw", "3 jaw chuck and 4 jaw chuck, he keeps them"]
)
def test_one_of_several_that_he_keeps_is_asked_for_by_itself(text: str) -> None:
    assert (meant(text).does, meant(text).ask) == ("ask", "count.which-kept")


async def count_after(book: Book, app_on: AppOn, *lines: str) -> tuple[Piece, ...]:
    lathe = Machine(book.next_id("machine"), "lathe", "engine-lathe-small", nose="L00")
    book.commit("add", book.put(lathe))
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        for line in lines[:-1]:
            await type_line(pilot, line)
        await pilot.press(*("space" if sign == " " else sign for sign in lines[-1]))
        await pilot.pause()
        assert "none here" not in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
    return book.visit(lathe.id).pieces


async def test_he_keeps_is_said_of_the_piece_that_was_counted(book: Book, app_on: AppOn) -> None:
    (piece,) = await count_after(book, app_on, "4 jaw 8in L00", "he keeps 8in 4jaw")
    assert (piece.kind, piece.mount, str(piece.size), piece.his) == (
        "chuck-4-jaw", "L00", "8in", True,
    )  # fmt: skip


async def test_another_size_that_he_keeps_is_another_piece(book: Book, app_on: AppOn) -> None:
    pieces = await count_after(book, app_on, "4 jaw 8in L00", "he keeps 10in 4jaw")
    assert [(str(piece.size), piece.his) for piece in pieces] == [("8in", False), ("10in", True)]


async def test_some_of_several_that_he_keeps_leave_the_others(book: Book, app_on: AppOn) -> None:
    pieces = await count_after(book, app_on, "5 boring bars", "he keeps 2 boring bars")
    assert [(piece.qty, piece.his) for piece in pieces] == [(3, False), (2, True)]
