"""What the screen says while the disk refuses, or the file changes behind its back."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from builders import the_catalogue
from faults.faulty_systems import WatchedSystem
from faults.terminals import example_copy
from kitreckon.book import Book
from kitreckon.book.generations import generations_folder
from kitreckon.count import Machine
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.widgets.ruled_list import RuledList

NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)
STATES = ("SAVED", "saving", "NOT SAVED", "READ ONLY")


class FullNow(WatchedSystem):
    """A disk that is full for as long as ``full`` says so."""

    full = False

    def before(self, name: str, arguments: tuple[Any, ...]) -> None:
        if self.full and name == "write":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.fixture
def disk() -> FullNow:
    return FullNow()


@pytest.fixture
def book(tmp_path: Path, disk: FullNow) -> Iterator[Book]:
    with Book.open(example_copy(tmp_path), lambda: NOON, system=disk) as opened:
        yield opened


def app_on(book: Book) -> KitreckonApp:
    return KitreckonApp(book, the_catalogue(), now=lambda: NOON, plain=False)


def state(app: KitreckonApp) -> str:
    """Return the word on the screen for whether it is saved."""
    strips = app.screen._compositor.render_strips()
    text = "\n".join("".join(segment.text for segment in strip) for strip in strips)
    return next(word for word in reversed(STATES) if word in text)


async def until(pilot: Any, holds: Callable[[], bool]) -> None:
    for _ in range(100):
        if holds():
            return
        await pilot.pause(0.02)
    raise AssertionError("it never came about")


async def test_a_full_disk_is_shown_and_nothing_is_lost_once_there_is_room(
    book: Book, disk: FullNow
) -> None:
    app = app_on(book)
    machine = book.machines()[0].id
    before = book.visit(machine)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_page("count")
        await pilot.pause()
        disk.full = True
        await pilot.press("space")
        await until(pilot, lambda: state(app) == "NOT SAVED")
        await pilot.press("space")
        await until(pilot, lambda: state(app) == "NOT SAVED")
        assert book.visit(machine) == before
        disk.full = False
        await pilot.press("ctrl+s")
        await until(pilot, lambda: state(app) == "SAVED")
        shown = app.session.visit
    assert book.visit(machine) == shown
    assert shown != before


async def test_a_file_changed_behind_the_back_is_never_called_saved(book: Book) -> None:
    app = app_on(book)
    theirs = book.path.read_bytes() + b" "
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_page("count")
        await pilot.pause()
        book.path.write_bytes(theirs)
        for _ in range(3):
            await pilot.press("space")
            await until(pilot, lambda: state(app) == "NOT SAVED")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert state(app) == "NOT SAVED"
        shown = app.session.visit
        copy = book.save_copy(book.path.with_name("copy.json"))
    assert book.path.read_bytes() == theirs
    with Book.open(copy) as saved:
        assert saved.visit(shown.machine_id) == shown


async def test_a_book_to_look_at_only_says_so_and_stays_as_it_is(book: Book) -> None:
    before = book.path.read_bytes()
    with Book.open(book.path, lambda: NOON) as second:
        app = app_on(second)
        async with app.run_test(size=(80, 24)) as pilot:
            app.open_page("count")
            await pilot.pause()
            assert state(app) == "READ ONLY"
            for key in ("space", "minus", "backspace", "ctrl+y"):
                await pilot.press(key)
                await pilot.pause()
                assert state(app) in ("READ ONLY", "NOT SAVED")
    assert book.path.read_bytes() == before


async def test_every_page_opens_on_a_damaged_book(tmp_path: Path) -> None:
    from kitreckon.screens.keys import PAGES

    path = example_copy(tmp_path)
    path.write_bytes(path.read_bytes().replace(b'"qty":1', b'"qty":"one"', 5))
    with Book.open(path, lambda: NOON) as damaged:
        assert damaged.read_only
        app = app_on(damaged)
        async with app.run_test(size=(80, 24)) as pilot:
            for page in PAGES:
                app.open_page(page.page)
                await pilot.pause()
                assert state(app) == "READ ONLY"


async def test_of_states_with_one_number_the_row_that_is_chosen_becomes_the_book(
    tmp_path: Path,
) -> None:
    path = tmp_path / "book.json"
    for name, place in (("ours", path), ("theirs", tmp_path / "their.json")):
        with Book.open(place, lambda: NOON) as book:
            for turn in (1, 2):
                machine = Machine("m", f"{name} {turn}", "bench-lathe")
                book.commit(machine.name, book.put(machine))
    (theirs,) = generations_folder(tmp_path / "their.json").iterdir()
    (generations_folder(path) / f"{theirs.stem}-1.json").write_bytes(theirs.read_bytes())
    with Book.open(path, lambda: NOON) as book:
        states = book.generations()
        assert [one.number for one in states] == [1, 1]
        for state in states:
            app = app_on(book)
            async with app.run_test(size=(80, 24)) as pilot:
                app.open_page("earlier")
                await pilot.pause()
                app.screen.query_one(RuledList).move_to(f"state:{state.file}")
                await pilot.press("enter")
                await pilot.pause()
            assert book.machines()[0].name == state.label
