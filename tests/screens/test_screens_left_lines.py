"""A line left half typed is told of, and never joined to the words typed next."""

from __future__ import annotations

from collections.abc import Callable

from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from screen_text import screen_text

AppOn = Callable[..., KitreckonApp]


async def test_what_is_typed_next_takes_the_place_of_a_line_left(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "c", *"kneecap", "ctrl+g", "m")
        await pilot.pause()
        await pilot.press("ctrl+g", "c")
        await pilot.pause()
        assert app.screen.line.value == "kneecap"  # type: ignore[attr-defined]
        assert "LEFT HALF TYPED" in screen_text(app)
        await pilot.press(*"vise")
        await pilot.pause()
        assert app.screen.line.value == "vise"  # type: ignore[attr-defined]
        assert "LEFT HALF TYPED" not in screen_text(app)


async def test_a_line_left_can_be_gone_on_with(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "c", *"vis", "ctrl+g", "m")
        await pilot.press("ctrl+g", "c")
        await pilot.pause()
        await pilot.press("right", "e")
        await pilot.pause()
        assert app.screen.line.value == "vise"  # type: ignore[attr-defined]


async def test_the_first_page_tells_of_a_line_left_on_another(
    example_book: Book, app_on: AppOn
) -> None:
    name = example_book.machines()[0]
    example_book.draft.write({f"count/{name.id}": "8in four j"})
    app = app_on(example_book)
    async with app.run_test(size=(100, 24)) as pilot:
        await pilot.pause()
        assert f"Count, {name.name}: “8in four j”" in screen_text(app)
        await pilot.press("x")
        await pilot.pause()
        assert "LEFT HALF TYPED" not in screen_text(app)
