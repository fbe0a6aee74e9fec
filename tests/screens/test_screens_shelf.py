"""The shelf takes every thing named on a line, and keeps the words of what is not settled."""

from __future__ import annotations

from collections.abc import Callable

from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from screen_text import screen_text, type_line

AppOn = Callable[..., KitreckonApp]


async def test_every_thing_named_on_a_line_goes_on_the_shelf(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("ctrl+g", "s")
        await type_line(pilot, "29 pc drill set, MT2 live centre, 1/2 drill chuck")
        await pilot.pause()
    kinds = [(piece.kind, piece.mount) for piece in book.shelf()]
    assert kinds == [("drills", None), ("centre-live", "MT2"), ("drill-chuck", None)]
    drills, _, chuck = book.shelf()
    assert (drills.set_of, str(chuck.size)) == (29, "1/2")


async def test_the_line_says_beforehand_what_else_goes_on_the_shelf(
    book: Book, app_on: AppOn
) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.press("ctrl+g", "s")
        await pilot.pause()
        assert "MT2" in app.screen.will("dial indicator, MT2 live centre")  # type: ignore[attr-defined]


async def test_words_that_are_not_settled_stay_on_the_row(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "s")
        await type_line(pilot, "qwerty")
        await pilot.pause()
        assert "“qwerty”" in screen_text(app)
        assert "not settled" not in screen_text(app)
    assert [(piece.kind, piece.text) for piece in book.shelf()] == [(None, "qwerty")]


async def test_that_there_is_none_puts_nothing_on_the_shelf(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "s")
        await type_line(pilot, "no steady rest")
        await pilot.pause()
        assert "put nothing on the shelf" in screen_text(app)
    assert book.shelf() == ()
