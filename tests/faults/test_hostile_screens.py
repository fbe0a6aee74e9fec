"""Hostile texts in every field, on every page of the page list, under every key of the key table.

A page or a key that is added to the tables is covered by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual import events
from textual.app import App
from textual.widgets import Input

from faults.hostile import HOSTILE, MARK, bad_characters, fill_hostile, hostile_catalogue
from kitreckon.book import Book
from kitreckon.catalogue.load import open_catalogue
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.keys import PAGES, Key, keys_of

KINDS = ("chuck-3-jaw", "chuck-4-jaw", "steady-rest", "centre-live")
NOON = datetime(2026, 3, 14, 12, 0, tzinfo=UTC)
LEAVING = ("app.leave",)
PAGE_NAMES = [each.page for each in PAGES]


@pytest.fixture(autouse=True)
def no_pauses(monkeypatch: pytest.MonkeyPatch) -> None:
    """Reckon and draw after every key at once, and look for that in steps of 4 ms, not of 20."""
    monkeypatch.setattr("kitreckon.screens.reckoner.RECKON_AFTER_S", 0.001)
    monkeypatch.setattr("textual._wait.SLEEP_GRANULARITY", 0.004)
    monkeypatch.setattr("textual._wait.SLEEP_IDLE", 0.0004)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(tmp_path / "book.json", lambda: NOON) as opened:
        fill_hostile(opened, KINDS)
        opened.draft.write({name: HOSTILE[n] for n, name in enumerate(PAGE_NAMES)})
        yield opened


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> object:
    return open_catalogue([hostile_catalogue(tmp_path_factory.mktemp("mine"), KINDS)])


@pytest.fixture
def app(book: Book, catalogue: object) -> KitreckonApp:
    return KitreckonApp(book, catalogue, now=lambda: NOON, plain=False)  # type: ignore[arg-type]


def shown(app: App[int]) -> str:
    """Return what the terminal would be sent as text, and check what goes with it."""
    lines = []
    for strip in app.screen._compositor.render_strips():
        lines.append("".join(segment.text for segment in strip))
        for segment in strip:
            meta = segment.style.meta if segment.style else {}
            assert MARK not in str(meta), "markup came alive"
            assert not (segment.style and segment.style.link), "a link came alive"
    return "\n".join(lines)


def check(app: KitreckonApp, doing: str) -> None:
    text = shown(app)
    assert not bad_characters(text), (doing, bad_characters(text))
    assert app.is_running, doing
    assert app._exception is None, doing


def test_the_catalogue_is_hostile_indeed(catalogue: object) -> None:
    kinds = catalogue.kinds  # type: ignore[attr-defined]
    assert catalogue.problems == ()  # type: ignore[attr-defined]
    assert any(name.startswith("[") for name in kinds["chuck-3-jaw"].american)


@pytest.mark.parametrize("page", PAGE_NAMES)
async def test_every_key_of_a_page_shows_hostile_texts_as_texts(
    app: KitreckonApp, page: str
) -> None:
    async with app.run_test(size=(100, 30), notifications=True, tooltips=True) as pilot:
        for key in keys_of(page):
            if key.action in LEAVING:
                continue
            app.open_page(page)
            for pressed in key.keys:
                await press(pilot, app, key, pressed)
                check(app, f"{page}: {pressed}")
            while len(app.screen_stack) > 2:
                app.pop_screen()


async def press(pilot: object, app: KitreckonApp, key: Key, pressed: str) -> None:
    line = app.screen.query("#line")
    if key.line == "empty" and line:
        line.only_one(Input).value = ""
    await pilot.press(pressed)  # type: ignore[attr-defined]


@pytest.mark.parametrize("page", PAGE_NAMES)
async def test_hostile_texts_pasted_into_a_page_are_texts(app: KitreckonApp, page: str) -> None:
    at = PAGE_NAMES.index(page)
    async with app.run_test(size=(50, 20), notifications=True, tooltips=True) as pilot:
        for text in (HOSTILE * 2)[at * 2 : at * 2 + 2]:
            while len(app.screen_stack) > 2:
                app.pop_screen()
            app.open_page(page)
            await pilot.pause()
            app.screen.query_one("#line", Input).post_message(events.Paste(text))
            await pilot.pause()
            check(app, f"{page}: pasted {text!r}")
            await pilot.press("enter")
            check(app, f"{page}: entered {text!r}")


async def test_the_machine_that_is_hostile_through_and_through_opens_on_every_page(
    app: KitreckonApp,
) -> None:
    async with app.run_test(size=(120, 40), notifications=True, tooltips=True) as pilot:
        for page in PAGE_NAMES:
            app.session.machine_id = list(app.session.machines)[1]
            app.open_page(page)
            await pilot.pause()
            check(app, page)


async def test_a_hostile_text_said_as_the_trouble_is_a_text(app: KitreckonApp) -> None:
    async with app.run_test(size=(80, 24), notifications=True, tooltips=True) as pilot:
        for text in HOSTILE[:11]:  # what is left of markup once the border has cleaned it
            app.session.problem = text
            app.show_page()
            await pilot.pause()
            check(app, f"trouble {text!r}")


async def test_hostile_names_of_files_and_folders_are_texts(
    tmp_path: Path, catalogue: object
) -> None:
    folder = tmp_path / "\x1b[31m[red]\n[$x]\x9b2J"
    folder.mkdir()
    path = folder / "\x1b]52;c;x\x07[@click=app.hostile]q[\u202e.json"
    with Book.open(path) as book:
        fill_hostile(book, KINDS)
    path.with_name(f"{path.stem} (conflict\x1b[2J\u202e){path.suffix}").write_text("x")
    path.write_bytes(path.read_bytes().replace(b'"order":1', b'"order":"\\u001b"', 1))
    with Book.open(path) as book:
        assert len(book.notices) >= 2
        assert not any(bad_characters(text) for text in (*book.notices, book.read_only))
        made = KitreckonApp(book, catalogue, now=lambda: NOON, plain=False)  # type: ignore[arg-type]
        async with made.run_test(size=(100, 30), notifications=True) as pilot:
            for page in PAGE_NAMES:
                made.open_page(page)
                await pilot.pause()
                check(made, page)
                await pilot.press("space", "down", "enter")
                check(made, page)


def test_there_are_pages_enough_to_paste_every_hostile_text() -> None:
    assert len(PAGE_NAMES) * 2 >= len(HOSTILE)
