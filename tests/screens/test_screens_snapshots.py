"""Every page as text at three sizes, compared with what was stored and looked over.

Money is covered in them, so that a new price in the catalogue changes none. To store them anew
after looking them over: KITRECKON_STORE_SNAPSHOTS=1 python -m pytest tests/screens -k snapshots
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from builders import a_finding, a_lathe, a_mill, a_piece, a_visit, dollars, length
from kitreckon.book import Book
from kitreckon.count import Saying
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.keys import PAGES
from screen_text import screen_text

STORED = Path(__file__).parent / "snapshots"
SIZES = ((50, 20), (80, 24), (120, 40))


def counted_book(book: Book) -> Book:
    """A lathe with a few pieces of each sort, a mill, and one thing on the shelf."""
    visit = a_visit(
        a_piece("chuck-3-jaw", size="6in", mount="D1-4", back="direct"),
        a_piece("chuck-4-jaw", size="8in", mount="L0", condition="fair"),
        a_piece("faceplate", condition=None, unsafe="cracked"),
        a_piece("centre-live", mount="MT3", condition="poor"),
        a_piece("toolholder-quick-change", qty=5, mount="BXA"),
        a_piece("collets-5c", set_of=17, set_has=15),
        a_piece("rotary-table", condition=None),
        a_piece(None, id="p-typed", text="box of odd brass bits", condition=None),
        looks={"chuck-3-jaw": 1, "chuck-4-jaw": 1, "faceplate": 1, "centre-live": 1,
               "toolholder-quick-change": 5, "collets-5c": 1, "follow-rest": 0, "steady-rest": 0},
        findings=(a_finding("not-seen-running"),),
        sayings=(Saying("said-1", "seller", dollars(1700)),),
        clock_s=1860,
    )  # fmt: skip
    for each in (a_lathe(), a_mill(), visit, a_piece("caliper", size=length("6in"))):
        book.commit("fill", book.put(each))
    return book


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_page_looks_as_it_was_looked_over(
    size: tuple[int, int], book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    app = app_on(counted_book(book))
    changed = []
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        app.session.machine_id = "m1"
        app.session.covered = True
        made = app.session.reckoned_anew(lambda: False)
        assert made is not None
        app.session.take(made)
        for each in PAGES:
            app.open_page(each.page)
            await pilot.pause()
            if differs(f"{each.page}-{size[0]}x{size[1]}", screen_text(app)):
                changed.append(each.page)
    assert not changed, changed


def differs(name: str, shown: str) -> bool:
    """Compare a screen with the stored one; store it instead when asked to."""
    shown = re.sub(r"\d{4}-\d\d-\d\d \d\d:\d\d", "2025-01-01 00:00", shown)
    shown = re.sub(r"/[a-z]+/\S+", "/folder/book.json", shown)
    path = STORED / f"{name}.txt"
    if os.environ.get("KITRECKON_STORE_SNAPSHOTS"):
        STORED.mkdir(exist_ok=True)
        path.write_text(shown, encoding="utf-8")
    return not path.is_file() or path.read_text(encoding="utf-8") != shown
