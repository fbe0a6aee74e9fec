"""One thing has one name and one figure, wherever the screens tell it."""

from __future__ import annotations

from collections.abc import Callable

from builders import dollars
from kitreckon.book import Book
from kitreckon.quantities import Range
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.figures import value_told
from screen_text import screen_text, wait_until

AppOn = Callable[..., KitreckonApp]


def cells_of(app: KitreckonApp, row_id: str) -> tuple[str, ...]:
    rows = app.screen.sheet.rows  # type: ignore[attr-defined]
    return next(row.cells for row in rows if row.id == row_id)


async def test_what_the_tooling_is_worth_is_what_it_adds_to_the_limit(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 44)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "o")
        await wait_until(pilot, lambda: "worth to you in all" in screen_text(app))
        added = cells_of(app, "adds:limit")[1].lstrip("+")
        assert cells_of(app, "bundle:worth")[1] == added
        app.screen.take_row("bundle:worth")  # type: ignore[attr-defined]
        await pilot.pause()
        assert f"WORTH TO YOU  {added} on average, mostly" in screen_text(app)


async def test_a_piece_has_the_same_figure_in_its_row_and_beside_it(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 44)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "o")
        await pilot.pause()
        session = app.session
        reckoning = session.reckoning()
        assert reckoning is not None
        for piece_id, value in reckoning.values.items():
            worth = next(p for p in value_told(session, value) if p.label == session.label("worth"))
            shown = cells_of(app, f"piece:{piece_id}")[1]
            assert worth.text.split(" ")[0] == shown


async def test_a_comparison_says_what_its_chance_leaves_out(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 44)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "v")
        await wait_until(pilot, lambda: "WHAT WOULD REVERSE IT" in screen_text(app))
        shown = " ".join(screen_text(app).split())
    assert "by prices and by what was counted or looked for" in shown
    assert "4 % likely by itself, and not weighed in the chance of being cheaper" in shown


async def test_a_machine_has_one_total_in_its_row_and_beside_it(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 44)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "v")
        await wait_until(pilot, lambda: "mostly" in screen_text(app))
        row = app.screen.sheet.row_id  # type: ignore[attr-defined]
        total = cells_of(app, row)[1]
        assert f"{total} on average, mostly" in " ".join(screen_text(app).split())


async def test_a_bar_among_what_is_missing_stands_by_its_figure_and_is_explained(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 40)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "n")
        await wait_until(pilot, lambda: "ESSENTIAL" in screen_text(app))
        shown = screen_text(app)
        heading = next(line for line in shown.splitlines() if "ESSENTIAL" in line)
        assert "3 missing, 387  ██" in heading
        assert "worth if there, how likely" in shown
        await pilot.press("equals_sign")
        await wait_until(pilot, lambda: "the dearest of the three" in screen_text(app))


async def test_the_chance_that_a_thing_fits_has_its_source(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 44)) as pilot:
        await pilot.press("enter", "ctrl+g", "n")
        await wait_until(pilot, lambda: "IF IT FITS" in screen_text(app))
        rows = app.screen.sheet.rows  # type: ignore[attr-defined]
        unsettled = next(row.id for row in rows if row.id.startswith("fits:"))
        app.screen.take_row(unsettled)  # type: ignore[attr-defined]
        await pilot.pause()
        assert "SOURCE" in screen_text(app)


def test_three_figures_that_are_one_are_told_once(example_book: Book, app_on: AppOn) -> None:
    session = app_on(example_book).session
    session.covered = False
    assert session.range(Range(*[dollars(900)] * 3)) == "900"
    assert session.range(Range(dollars(900), dollars(1000), dollars(1200))) == "900 / 1,000 / 1,200"
