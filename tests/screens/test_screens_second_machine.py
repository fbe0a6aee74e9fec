"""A machine that is started is the one whose page opens, whichever stood at the arrow."""

from __future__ import annotations

from collections.abc import Callable

from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from screen_text import screen_text, type_line

AppOn = Callable[..., KitreckonApp]


async def test_what_is_typed_after_a_second_machine_is_started_is_about_the_second(
    book: Book, app_on: AppOn
) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await type_line(pilot, "lathe one")
        await type_line(pilot, "5")  # its class
        await pilot.press("ctrl+g", "l")
        await pilot.pause()
        await type_line(pilot, "mill two")
        assert app.session.machine.name == "mill two"
        await type_line(pilot, "6")
        await pilot.pause()
    machines = {machine.name: machine.machine_class for machine in book.machines()}
    assert set(machines) == {"lathe one", "mill two"}
    assert machines["lathe one"] != machines["mill two"] != ""
    assert machines["lathe one"] != ""


async def test_what_an_advert_asks_is_proposed_for_a_machine_whose_price_is_not_known(
    book: Book, app_on: AppOn
) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await type_line(pilot, "lathe one")
        await type_line(pilot, "5")
        await pilot.press("ctrl+g", "a")
        await pilot.pause()
        app.screen.pasted("13 inch lathe with a 3 jaw chuck. Vise $100 each. Asking $2,850.")
        await pilot.pause()
        assert "2,850" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
    assert [str(machine.asking.minor) for machine in book.machines()] == ["285000"]
