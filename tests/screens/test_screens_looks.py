"""Sizes, looks and live resizing: every page stays legible, whatever the terminal can do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from rich.cells import cell_len
from rich.color import ColorType

from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.keys import PAGES
from screen_text import screen_text

AppOn = Callable[..., KitreckonApp]


async def test_without_colour_only_the_terminals_own_colours_are_sent(
    example_book: Book, app_on: AppOn
) -> None:
    app = KitreckonApp(example_book, app_on(example_book).session.catalogue, plain=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        for each in PAGES:
            app.open_page(each.page)
            await pilot.pause()
            colours = {
                colour
                for strip in app.screen._compositor.render_strips()
                for segment in strip
                if segment.style
                for colour in (segment.style.color, segment.style.bgcolor)
                if colour is not None
            }
            assert {c.type for c in colours} <= {ColorType.DEFAULT}, (each.page, colours)


async def test_plain_letters_only_are_ascii_on_every_page(
    example_book: Book, app_on: AppOn
) -> None:
    wanted = replace(example_book.preferences(), ascii_only=True)
    example_book.commit("look", example_book.put(wanted))
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        for each in PAGES:
            app.open_page(each.page)
            await pilot.pause()
            shown = screen_text(app)
            assert shown.isascii(), (each.page, [s for s in shown if not s.isascii()])


@pytest.mark.parametrize("look", ["dark", "light", "plain"])
async def test_each_look_can_be_chosen(look: str, example_book: Book, app_on: AppOn) -> None:
    example_book.commit("look", example_book.put(replace(example_book.preferences(), theme=look)))
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        assert app.theme == f"sheet-{look}"
        assert "3-jaw chuck" in screen_text(app)


async def test_live_resizing_loses_nothing(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(120, 40)) as pilot:
        await pilot.press("enter", "down")
        for size in ((50, 20), (1, 1), (10, 3), (200, 60), (80, 24)):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            assert all(cell_len(line) <= size[0] for line in screen_text(app).splitlines())
        shown = screen_text(app)
    assert "SAVED" in shown
    assert "> 1 of 1  4-jaw chuck" in shown


@pytest.mark.parametrize("size", [(50, 20), (80, 24), (120, 40), (200, 60)])
async def test_what_must_never_leave_the_screen_is_on_every_size(
    size: tuple[int, int], example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=size) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        shown = screen_text(app)
    for word in ("here", "none", "not looked", "ASK NEXT", "UNSAFE", "WALK AWAY", "SAVED", "TYPE"):
        assert word in shown, word
    assert "help" in shown.splitlines()[-1]


async def test_the_footer_names_only_keys_that_work_now(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(200, 60)) as pilot:
        await pilot.pause()
        assert "back" not in footer(app).replace("take back", "")
        await pilot.press("enter")
        assert "space here" in footer(app)
        await pilot.press("x")
        assert "space here" not in footer(app)
        await pilot.press("backspace", "ctrl+g")
        assert footer(app).strip() == "esc back"


def footer(app: KitreckonApp) -> str:
    page = app.screen_stack[1]
    return " ".join(f"{key} {word}" for key, word in page.query_one("KeyLine").pairs)
