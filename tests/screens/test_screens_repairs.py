"""Typing what a repair costs, seeing what it does, and paying it off the list."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from builders import a_lathe, a_piece, dollars, the_catalogue
from kitreckon.book import Book
from kitreckon.count import Look, Visit
from kitreckon.reading import Reader
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.details import Details, with_details
from kitreckon.screens.line import Meaning, Typing, meaning
from screen_text import screen_text, type_line, wait_until

AppOn = Callable[..., KitreckonApp]
CALIPER = a_piece("caliper", id="piece-1")


@cache
def reader() -> Reader:
    return Reader(the_catalogue().kinds, the_catalogue().rules)


def meant(text: str, typing: Typing | None = None) -> Meaning:
    kind = the_catalogue().kinds["chuck-3-jaw"]
    return meaning(text, kind, reader(), (), typing or Typing())


# the line


@pytest.mark.parametrize(
    ("text", "repair", "what"),
    [
        ("repair 40", 40, ""),
        ("repair: 12.50", 12.5, ""),
        ("repairs $1,200", 1200, ""),
        ("put right 40", 40, ""),
        ("repair 40 for a jaw screw", 40, "a jaw screw"),
        ("repair 40 for a jaw screw, g", 40, "a jaw screw"),
        ("g, repair 40", 40, ""),
        ("repair 40 for ", 40, ""),
    ],
)
def test_a_repair_is_about_the_row_in_hand(text: str, repair: float, what: str) -> None:
    found = meant(text)
    assert found.does == "row"
    assert (found.details.repair, found.details.repair_of) == (dollars(repair), what)
    assert found.details.condition == ("good" if "g" in text.replace(",", "").split() else None)


def test_a_repair_is_in_the_users_money() -> None:
    repair = meant("repair 40", Typing(currency="GBP")).details.repair
    assert repair is not None
    assert (repair.minor, repair.currency) == (4000, "GBP")


def test_its_figure_is_no_quantity_and_no_size_of_a_thing_that_is_named() -> None:
    found = meant("4 jaw 8in d1-4, repair 40, f")
    assert (found.does, found.kind) == ("thing", "chuck-4-jaw")
    details = found.details
    assert (details.qty, str(details.size), details.condition) == (None, "8in", "fair")
    assert details.repair == dollars(40)


def test_the_sellers_own_price_for_a_piece_is_told_apart_from_a_repair() -> None:
    details = meant("he wants 30, repair 12 for new belts; ask again").details
    assert details.floor == dollars(30)
    assert (details.repair, details.repair_of) == (dollars(12), "new belts")
    assert details.note == "ask again"


def test_an_amount_in_a_note_is_left_there() -> None:
    details = meant("good; repair 40 says he").details
    assert (details.repair, details.note) == (None, "repair 40 says he")


@pytest.mark.parametrize(
    ("text", "why"), [("repair -40", "'-40' is not a price"), ("repair 1.234", "two ways")]
)
def test_an_amount_that_is_none_is_refused_and_says_why(text: str, why: str) -> None:
    found = meant(text)
    assert found.does == "ask"
    assert why in found.why


@pytest.mark.parametrize("text", ["repaired", "put right", "repair 0"])
def test_what_was_put_right_has_no_repair_to_pay(text: str) -> None:
    broken = replace(CALIPER, repair=dollars(8), repair_of="battery door")
    mended = with_details(broken, meant(text).details)
    assert (mended.repair, mended.repair_of) == (None, "")


def test_another_figure_keeps_what_has_to_be_done() -> None:
    broken = replace(CALIPER, repair=dollars(8), repair_of="battery door")
    dearer = with_details(broken, Details(repair=dollars(12)))
    assert (dearer.repair, dearer.repair_of) == (dollars(12), "battery door")


# the pages


@pytest.fixture
def small_book(book: Book) -> Book:
    """A lathe of which only the caliper was looked for, and is there."""
    machine = a_lathe(id="machine-1")
    visit = Visit("machine-1", (CALIPER,), (Look("caliper", 1),))
    book.commit("a lathe", book.put(machine) + book.put(visit))
    return book


async def test_the_count_takes_a_repair_and_shows_what_it_leaves(
    small_book: Book, app_on: AppOn
) -> None:
    app = app_on(small_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter")
        app.screen.take_row("caliper")  # type: ignore[attr-defined]
        await type_line(pilot, "repair 4 for battery door", enter=False)
        assert "note at caliper" in screen_text(app)
        assert "putting it right costs •••: battery door" in screen_text(app)
        await pilot.press("enter")
        app.screen.take_row("caliper")  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "PUT RIGHT  •••, battery door; with that" in flat(app))
        assert "repair, good" in screen_text(app)
        await pilot.press("ctrl+o")
        assert "PUT RIGHT  4, battery door; with that taken off it is worth" in flat(app)
        (piece,) = small_book.visit("machine-1").pieces
        assert (piece.repair, piece.repair_of) == (dollars(4), "battery door")
        await type_line(pilot, "repair 4000")
        app.screen.take_row("caliper")  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "putting it right costs more than it gains" in flat(app))


async def test_a_price_that_is_none_is_refused_and_the_line_stays(
    small_book: Book, app_on: AppOn
) -> None:
    app = app_on(small_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter")
        app.screen.take_row("caliper")  # type: ignore[attr-defined]
        await type_line(pilot, "repair -4")
        assert "is not a price" in screen_text(app)
        assert small_book.visit("machine-1").pieces == (CALIPER,)
        assert app.screen.line.value == "repair -4"  # type: ignore[attr-defined]


async def test_what_is_put_right_off_the_list_works_and_is_no_purchase(
    small_book: Book, app_on: AppOn
) -> None:
    broken = replace(CALIPER, repair=dollars(4), repair_of="battery door")
    visit = small_book.visit("machine-1")
    small_book.commit("broken", small_book.put(replace(visit, pieces=(broken,))))
    app = app_on(small_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "b")
        await type_line(pilot, "50")
        row = next(line for line in screen_text(app).splitlines() if "put right" in line)
        assert row.split()[1:4] == ["caliper", "1", "4"]
        await type_line(pilot, "paid 6", enter=False)
        assert "note caliper as put right for 6" in screen_text(app)
        await pilot.press("enter")
        await wait_until(pilot, lambda: not small_book.visit("machine-1").pieces[0].repair)
        assert "put right" not in screen_text(app).split("TYPE")[0]
        await pilot.press("backspace")
        await wait_until(pilot, lambda: bool(small_book.visit("machine-1").pieces[0].repair))
        await pilot.press("ctrl+y")
        await wait_until(pilot, lambda: not small_book.visit("machine-1").pieces[0].repair)
    (piece,) = small_book.visit("machine-1").pieces
    assert piece.note == "put right for 6 on 2025-06-14"
    assert small_book.purchases() == ()


async def test_what_is_owned_is_put_right_on_the_shelf(book: Book, app_on: AppOn) -> None:
    owned = replace(CALIPER, repair=dollars(4))
    machine = a_lathe(id="machine-1")
    visit = Visit("machine-1", (), (Look("caliper", 0),))
    book.commit("a lathe", book.put(machine) + book.put(visit) + book.put(owned))
    app = app_on(book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "b")
        await type_line(pilot, "50")
        await pilot.press("space")
        await wait_until(pilot, lambda: not book.shelf()[0].repair)
        await pilot.press("ctrl+g", "s")
        await type_line(pilot, "repair 9 for jaws")
        await wait_until(pilot, lambda: bool(book.shelf()[0].repair))
    (piece,) = book.shelf()
    assert (piece.repair, piece.repair_of) == (dollars(9), "jaws")


def flat(app: KitreckonApp) -> str:
    """The screen in one line, gaps of the margin closed."""
    lines = [line.strip() for line in screen_text(app).splitlines()]
    return " ".join(lines)


async def test_missing_keeps_a_want_open_that_is_met_only_if_a_piece_fits(
    book: Book, app_on: AppOn
) -> None:
    chuck = a_piece("chuck-4-jaw", size="8in", repair=dollars(40))
    for each in (a_lathe(), Visit("m1", (chuck,), (Look("chuck-4-jaw", 1),))):
        book.commit("fill", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.session.budget = dollars(400)
        app.open_page("missing")
        await pilot.pause()
        rows = {row.id: row for row in app.screen.sheet.rows}  # type: ignore[attr-defined]
        assert "60 %" in rows[f"fits:chuck-4-jaw:{chuck.id}"].cells[-1]
        app.screen.take_row(f"fits:chuck-4-jaw:{chuck.id}")  # type: ignore[attr-defined]
        await pilot.pause()
        assert "whether it fits this machine is not known" in " ".join(screen_text(app).split())
        app.open_page("buy")
        await pilot.pause()
        assert "4-jaw chuck, if it fits" in " ".join(screen_text(app).split())
