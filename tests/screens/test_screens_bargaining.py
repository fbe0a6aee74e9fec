"""Once he has said a price, nothing on the offer page is above it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kitreckon.book import Book
from kitreckon.errors import KitreckonError
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.machine import three_prices
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


@pytest.mark.parametrize(
    ("typed", "who", "price", "note"),
    [
        ("2300", "seller", 2300, ""),
        ("he 2300", "seller", 2300, ""),
        ("He says 2300 with the vise", "seller", 2300, "with the vise"),
        ("he wants 2,300", "seller", 2300, ""),
        ("she: 2300", "seller", 2300, ""),
        ("they asked 2300", "seller", 2300, ""),
        ("me 1200", "me", 1200, ""),
        ("I said 1200 as it stands", "me", 1200, "as it stands"),
    ],
)
async def test_who_said_a_price_may_be_named(
    example_book: Book, app_on: AppOn, typed: str, who: str, price: int, note: str
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("ctrl+g", "o")
        await pilot.pause()
        saying = app.screen.saying(typed)
    assert (saying.who, saying.price.minor, saying.note) == (who, price * 100, note)


async def test_who_said_it_is_no_price(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("ctrl+g", "o")
        await pilot.pause()
        assert "is not a price" in app.screen.will("he keeps the vise")
        assert "'he' is not a price" in app.screen.will("he")


def test_low_and_high_without_a_typical_price_are_asked_about() -> None:
    for text in ("900-1500", "900 to 1500", "900/1500"):
        with pytest.raises(KitreckonError, match="900 1200 1600"):
            three_prices(text, "USD")
    for text in ("900-1200-1500", "900 - 1200 - 1500", "1500 900 1200"):
        assert [price.minor for price in three_prices(text, "USD")] == [90_000, 120_000, 150_000]
