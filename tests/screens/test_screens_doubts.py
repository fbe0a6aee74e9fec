"""Facts of a machine that cannot all be so are told on its page, before and after Enter."""

from __future__ import annotations

from collections.abc import Callable

from builders import a_lathe, a_visit, length
from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from screen_text import screen_text, type_line, wait_until

AppOn = Callable[..., KitreckonApp]

NO_SOCKET = "this spindle can have no MT3 socket"
IS_IT_HEIGHT = "a swing of 2.2in is far from"


def one_line(app: KitreckonApp) -> str:
    """Return the screen with the columns beside each other taken apart and wraps undone."""
    left, right = [], []
    for line in screen_text(app).splitlines():
        before, _, after = line.partition("│")
        left.append(before)
        right.append(after)
    return " ".join(" ".join((*left, *right)).split())


async def test_a_socket_the_bore_leaves_no_room_for_is_told(book: Book, app_on: AppOn) -> None:
    lathe = a_lathe(spindle_socket="MT3", bore=length("1-3/8in"))
    book.commit("a lathe", book.put(lathe) + book.put(a_visit()))
    app = app_on(book)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open_page("machine")
        await pilot.pause()
        page = app.screen
        assert page.take_row("spindle_socket")  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: NO_SOCKET in one_line(app))
        alarmed = {row.id for row in page.rows() if row.look == "alarm"}  # type: ignore[attr-defined]
        assert alarmed == {"spindle_socket", "bore"}


async def test_a_centre_height_that_cannot_be_is_doubted_before_enter(
    book: Book, app_on: AppOn
) -> None:
    book.commit("a lathe", book.put(a_lathe(post_height=None)) + book.put(a_visit()))
    app = app_on(book)
    async with app.run_test(size=(120, 40)) as pilot:
        app.open_page("machine")
        await pilot.pause()
        assert app.screen.take_row("centre_height")  # type: ignore[attr-defined]
        assert IS_IT_HEIGHT not in one_line(app)
        await type_line(pilot, "1.1in", enter=False)
        await wait_until(pilot, lambda: IS_IT_HEIGHT in one_line(app))
        await pilot.press("enter")
        await pilot.pause()
        alarmed = {row.id for row in app.screen.rows() if row.look == "alarm"}  # type: ignore[attr-defined]
        assert {"swing", "centre_height"} <= alarmed
