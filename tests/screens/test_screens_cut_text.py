"""What is cut for want of room can be read beside the row; in few lines the line stays."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.page import Page
from screen_text import screen_text, type_line, wait_until

AppOn = Callable[..., KitreckonApp]


def told(page: object) -> str:
    assert isinstance(page, Page)
    return " ".join(f"{each.label} {each.text}" for each in page.whole(page.sheet.row_id or ""))


async def test_his_word_and_the_answer_to_it_can_be_read_whole(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "o")
        app.session.covered = False
        await type_line(pilot, "1750")
        await pilot.pause()
        (said,) = app.screen.own_lines()
        assert said.is_cut(80)
        detail = list(app.screen.whole(app.screen.sheet.row_id))
        assert (detail[0].label, detail[0].text) == (said.label, said.text)
        assert not detail[0].one_line


async def test_a_cell_that_is_cut_or_dropped_can_be_read_beside_the_row(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(50, 20)) as pilot:
        for page, column in (("n", 3), ("v", 0), ("b", 0)):
            await pilot.press("ctrl+g", page)
            await pilot.pause()
            if page == "b":
                await type_line(pilot, "300")
                await pilot.pause()
            row = app.screen.sheet.row_in_hand
            assert row is not None
            assert row.sort == "row"
            for cell in row.cells:
                if any(sign.isalnum() for sign in cell):
                    assert cell in told(app.screen) + screen_text(app), (page, column)


async def test_why_nothing_can_be_saved_can_be_read_whole(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    long = "another copy has held this book open since the morning of that day " * 4
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "m")
        await pilot.pause()
        app.session.problem = long.strip()
        app.session.saved = "not-saved"
        app.screen.show_around()
        await pilot.pause()
        assert long.strip() in told(app.screen)


async def test_the_help_does_not_stop_in_the_middle_of_a_sentence(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "o", "question_mark")
        await pilot.pause()
        assert app.screen.sheet.row_id == "about:0"
        assert app.session.label("offer.says") in told(app.screen)


async def test_the_line_is_there_in_twelve_lines(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(50, 12)) as pilot:
        await pilot.press("ctrl+g", "c")
        await pilot.pause()
        assert "TYPE >" in screen_text(app)
        assert "ENTER WILL" in screen_text(app)


async def test_what_enter_will_do_can_be_read_whole(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(50, 20)) as pilot:
        await pilot.press("ctrl+g", "f")
        await pilot.pause()
        end = " ".join(app.screen.will("").split()[-4:])
        assert end not in screen_text(app)
        await pilot.press("ctrl+l")
        await wait_until(
            pilot, lambda: end in " ".join(screen_text(app).replace("\u2502", " ").split())
        )


@pytest.mark.parametrize("size", [(20, 6), (16, 5), (30, 8), (50, 9), (80, 7)])
async def test_in_the_smallest_windows_the_line_is_seen_and_its_keys_work(
    example_book: Book, app_on: AppOn, size: tuple[int, int]
) -> None:
    app = app_on(example_book)
    machine = example_book.machines()[0].id
    before = example_book.visit(machine)
    async with app.run_test(size=size) as pilot:
        await pilot.press("enter", *"vise")
        await pilot.pause()
        assert "vise" in screen_text(app)
        await pilot.press("enter")
        await wait_until(pilot, lambda: example_book.visit(machine) != before)
        await pilot.press("ctrl+g", "o")
        await pilot.pause()
        assert app.screen.page == "offer"
