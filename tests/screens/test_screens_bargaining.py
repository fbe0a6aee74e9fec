"""Once he has said a price, nothing on the offer page is above it."""

from __future__ import annotations

from collections.abc import Callable

from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from screen_text import screen_text, type_line, wait_until

AppOn = Callable[..., KitreckonApp]


async def test_what_to_say_stays_under_what_he_says_now(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 50)) as pilot:
        await pilot.press("ctrl+g", "o")
        app.session.covered = False
        await pilot.pause()
        limit = app.session.reckoning().offer.limit
        await type_line(pilot, str(limit.minor // 100 - 200))
        await wait_until(pilot, lambda: app.session.saved == "saved")
        price = limit.minor - limit.minor % 100 - 20_000
        assert app.session.reckoning().offer.limit.minor == price
        steps = next(row for row in app.screen.sheet.rows if row.id == "steps").cells[0]
        figures = [int(each.replace(",", "")) for each in steps.split(", ")]
        assert figures
        assert max(figures) * 100 < price


async def test_a_figure_of_mine_over_what_he_asks_is_spoken_against(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("ctrl+g", "o")
        app.session.covered = False
        await type_line(pilot, "1000")
        await pilot.press(*"me", "space", *"1100")
        await pilot.pause()
        assert "1,100 is more than he asks now, 1,000" in screen_text(app)
        app.session.covered = True
        assert "more than" not in app.screen.will("me 1100")
