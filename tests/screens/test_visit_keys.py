"""How many keys a visit takes: the pencil is the rival."""

from __future__ import annotations

from collections.abc import Callable

from textual.pilot import Pilot

from kitreckon.book import Book
from kitreckon.count import Machine
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.count import CountPage
from screen_text import screen_text, type_line

AppOn = Callable[..., KitreckonApp]
MOST_KEYS = 150

# the first 36 rows of the sheet in order: "." one here, "-" none, ">" passed, else typed
WALK = (
    "6in d1-4", "8in d1-4", "2", ".", ">", ".", ".", "2", "-", ".", "-", ".", ".", ">", ".",
    "10in", ".", "3", "-", "axa", ".", ">", ">", ".", "-", "-", ".", ".", "-", ">", "6", "-",
    ">", ">", "-", "-",
)  # fmt: skip
OUTSIDE = ("angle plate", "v block", "surface plate", "height gauge", "rotary table")


async def test_a_scripted_visit_takes_at_most_150_keys(book: Book, app_on: AppOn) -> None:
    lathe = Machine(book.next_id("machine"), "12in lathe", "engine-lathe-small", nose="D1-4")
    book.commit("add", book.put(lathe))
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        page = app.screen
        assert isinstance(page, CountPage)
        rows = [row.id for row in page.count_rows[:36]]
        keys = 0
        for row, mark in zip(rows, WALK, strict=True):
            assert page.sheet.row_id == row, screen_text(app)
            keys += await _mark(pilot, mark, stays=row)
        for text in OUTSIDE:
            keys += await type_line(pilot, text)
        await pilot.pause()
    visit = book.visit(lathe.id)
    wanted = {row.kind for row in page.count_rows if row.want}
    assert len(visit.looks) == 36 - WALK.count(">")
    assert len(visit.pieces) == 25
    assert sum(piece.size is not None or piece.mount is not None for piece in visit.pieces) == 4
    assert sum(piece.kind not in wanted for piece in visit.pieces) == 5
    assert keys <= MOST_KEYS, f"{keys} keys"
    print(f"keys: {keys}")


async def _mark(pilot: Pilot[int], mark: str, stays: str) -> int:
    named = {".": "space", "-": "minus", ">": "down"}
    if mark in named:
        await pilot.press(named[mark])
        page = pilot.app.screen
        assert isinstance(page, CountPage)
        if page.sheet.row_id != stays:
            return 1
        await pilot.press("down")  # fewer are here than are wanted: go on by hand
        return 2
    return await type_line(pilot, mark)
