"""A whole visit by keys alone: from an empty book to an offer that is saved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from kitreckon.book import Book
from kitreckon.count import Machine
from kitreckon.quantities import Money
from kitreckon.screens.app import KitreckonApp
from screen_text import screen_text, type_line, wait_until

AppOn = Callable[..., KitreckonApp]
NOON = datetime(2025, 6, 14, 12, 0, tzinfo=UTC)


async def test_from_an_empty_book_to_a_saved_offer(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "Paste an advert" in screen_text(app)
        await type_line(pilot, "barn lathe")
        await type_line(pilot, "engine lathe 10")
        for fact in ("D1-4", "MT5", "MT3", "1-1/2", "12in"):
            await type_line(pilot, fact)
        await pilot.press("down", "down")
        await type_line(pilot, "1900")
        await type_line(pilot, "1000 1400 1800")
        await pilot.press("ctrl+g", "c")
        await pilot.press("space")
        await type_line(pilot, "8in d1-4 g")
        await type_line(pilot, "faceplate cracked")
        await pilot.press("ctrl+g", "n")
        assert "USUAL  1 missing" in screen_text(app)
        await pilot.press("ctrl+g", "o", "ctrl+o")
        await type_line(pilot, "1500")
        await wait_until(pilot, lambda: "SAVED" in screen_text(app))
        shown = screen_text(app)
        assert "opening offer" in shown
        assert "faceplate: cracked" in shown
        await pilot.press("ctrl+q")
    stored = Book.open(book.path)
    machine = stored.machines()[0]
    assert (machine.name, machine.nose, machine.machine_class) == (
        "barn lathe",
        "D1-4",
        "engine-lathe-small",
    )
    visit = stored.visit(machine.id)
    assert [piece.kind for piece in visit.pieces] == ["chuck-3-jaw", "chuck-4-jaw", "faceplate"]
    assert visit.pieces[1].mount == "D1-4"
    assert visit.sayings[0].price == Money(150000, "USD")


async def test_an_advert_is_taken_into_a_new_machine(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        app.screen.pasted(
            "12 inch lathe. Comes with a 6in 3 jaw chuck, a steady rest and\n$900 obo"
        )
        await pilot.pause()
        await wait_until(pilot, lambda: "steady rest" in screen_text(app))
        await pilot.press("plus", "enter")
        await wait_until(pilot, lambda: bool(book.machines()))
    machine = book.machines()[0]
    kinds = [piece.kind for piece in book.visit(machine.id).pieces]
    assert "chuck-3-jaw" in kinds
    assert "steady-rest" in kinds


async def test_a_line_that_names_nothing_is_kept_as_typed(book: Book, app_on: AppOn) -> None:
    app = app_on(with_lathe(book))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await type_line(pilot, "qqx zzkw")
        await pilot.pause()
        assert "1 kept as typed" in screen_text(app)
    assert book.visit("machine-1").pieces[0].kind is None
    assert book.visit("machine-1").pieces[0].text == "qqx zzkw"


async def test_backspace_takes_back_and_ctrl_y_does_again(book: Book, app_on: AppOn) -> None:
    app = app_on(with_lathe(book))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "space", "space")
        assert len(book.visit("machine-1").pieces) == 2
        await pilot.press("backspace")
        assert len(book.visit("machine-1").pieces) == 1
        await pilot.press("ctrl+y")
        assert len(book.visit("machine-1").pieces) == 2


async def test_escape_goes_back_and_keeps_the_half_typed_line(book: Book, app_on: AppOn) -> None:
    app = app_on(with_lathe(book))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await type_line(pilot, "4 jaw 8in", enter=False)
        await pilot.press("escape")
        assert "MACHINES" in screen_text(app)
        await pilot.press("ctrl+g", "c")
        await pilot.pause()
        assert app.screen.line.value == "4 jaw 8in"


async def test_a_draft_is_on_disk_within_two_seconds(book: Book, app_on: AppOn) -> None:
    app = app_on(with_lathe(book))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await type_line(pilot, "steady", enter=False)
        await wait_until(pilot, lambda: "steady" in book.draft.read().values(), seconds=2.0)


async def test_money_is_covered_when_a_count_opens(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "ctrl+g", "o")
        assert "•••" in screen_text(app)
        assert "977" not in screen_text(app)
        await pilot.press("ctrl+o")
        assert "•••" not in screen_text(app)


async def test_the_clock_starts_stops_and_resumes(book: Book, app_on: AppOn) -> None:
    app = app_on(with_lathe(book))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "ctrl+t")
        assert book.visit("machine-1").clock_started_utc is not None
        await pilot.press("ctrl+t")
        assert book.visit("machine-1").clock_started_utc is None


async def test_a_demo_opens_from_an_empty_book(
    book: Book, example_book: Book, app_on: AppOn, tmp_path: Path
) -> None:
    app = app_on(book, open_demo=lambda: example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down", "down", "enter")
        await pilot.pause()
        assert "12 in engine lathe" in screen_text(app)
    assert not book.machines()


def with_lathe(book: Book) -> Book:
    lathe = Machine(
        book.next_id("machine"), "12in lathe", "engine-lathe-small", nose="D1-4", swing=None
    )
    book.commit("add", book.put(lathe))
    return book


async def test_a_kept_line_is_asked_about_later_and_its_answer_is_remembered(
    book: Book, app_on: AppOn
) -> None:
    app = app_on(with_lathe(book))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        await type_line(pilot, "qqx zzkw")
        app.session.questions, app.session.asked_of = (), "machine-1"
        app.screen.show_all()
        await pilot.pause()
        assert "ASK NEXT  What is “qqx zzkw”?" in screen_text(app)
        await pilot.press("ctrl+n")
        await type_line(pilot, "rotary table")
        await pilot.pause()
        assert "kept as typed" not in screen_text(app)
    assert [piece.kind for piece in book.visit("machine-1").pieces] == ["rotary-table"]
    assert [(c.text, c.kind) for c in book.corrections()] == [("qqx zzkw", "rotary-table")]


async def test_a_whole_visit_from_advert_to_what_to_buy(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 36)) as pilot:
        app.screen.pasted("Lathe with a 6in D1-4 3 jaw chuck and a steady rest.\nAsking $1200")
        await wait_until(pilot, lambda: "steady rest" in screen_text(app))
        await pilot.press("plus", "enter")
        await type_line(pilot, "engine lathe 10")
        await type_line(pilot, "D1-4")
        app.screen.take_row("bare_price")
        await type_line(pilot, "700 900 1200")
        await pilot.press("ctrl+g", "c")
        await wait_until(pilot, lambda: "ASK NEXT  nothing" not in screen_text(app))
        await pilot.press("ctrl+n")
        await wait_until(pilot, lambda: app.screen.page == "walk")
        await pilot.press("minus", "escape")
        await type_line(pilot, "faceplate 10in d1-4 g")
        await pilot.press("ctrl+g", "o", "ctrl+o")
        await type_line(pilot, "1100")
        assert "what you say first" in screen_text(app)
        await pilot.press("ctrl+g", "b")
        await type_line(pilot, "300")
        await pilot.pause()
        assert "BUY, IN THIS ORDER" in screen_text(app)
        assert "SAVED" in screen_text(app)
    machine = book.machines()[0]
    visit = book.visit(machine.id)
    assert machine.asking == Money(120000, "USD")
    assert {"chuck-3-jaw", "steady-rest", "faceplate"} <= {piece.kind for piece in visit.pieces}
    assert any(look.want.startswith("finding:") for look in visit.looks)
    assert visit.sayings[0].price == Money(110000, "USD")


async def test_the_clock_does_not_run_while_the_program_is_closed(
    book: Book, app_on: AppOn
) -> None:
    app = app_on(with_lathe(book))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "ctrl+t", "ctrl+q")
    assert book.visit("machine-1").clock_started_utc is None


async def test_a_clock_left_running_by_a_kill_stops_at_the_last_thing_done(
    book: Book, app_on: AppOn
) -> None:
    lathe = with_lathe(book)
    running = replace(lathe.visit("machine-1"), clock_started_utc="2025-06-14T11:30:00+00:00")
    lathe.commit("clock", lathe.put(running))  # at noon
    app = app_on(lathe, now=lambda: NOON + timedelta(hours=9))
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_until(pilot, lambda: book.visit("machine-1").clock_started_utc is None)
    assert book.visit("machine-1").clock_s == 30 * 60
