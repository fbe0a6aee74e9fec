"""What the other pages do: advert, walk, offer, buy, shelf, catalogue, earlier, settings."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from textual import events
from textual.pilot import Pilot

from builders import a_lathe, a_visit, dollars
from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.keys import PAGES
from screen_text import screen_text, type_line, wait_until

AppOn = Callable[..., KitreckonApp]
ADVERT = "12 inch lathe. Comes with a 6in 3 jaw chuck, a steady rest and 2 dead centres\n$900 obo"


async def test_any_page_leads_to_any_other_by_one_key_and_a_letter(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        for each in (*PAGES, PAGES[0]):
            await pilot.press("ctrl+g", each.letter)
            await pilot.pause()
            assert app.screen.page == each.page  # type: ignore[attr-defined]


async def test_escape_goes_back_page_by_page(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "ctrl+g", "o", "ctrl+g", "b")
        seen = []
        for _ in range(5):
            seen.append(app.screen.page)  # type: ignore[attr-defined]
            await pilot.press("escape")
            await pilot.pause()
        assert seen == ["buy", "offer", "count", "machines", "machines"]


async def test_every_action_is_in_the_palette(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter")
        titles = {each.title for each in app.get_system_commands(app.screen)}
        assert {"Offer", "clock", "take back", "money", "none"} <= titles
        await pilot.press("ctrl+p")
        await pilot.pause()
        await pilot.press(*"offer", "enter")
        await wait_until(pilot, lambda: getattr(app.screen, "page", "") == "offer")


async def test_a_proposal_of_an_advert_is_dropped_alone(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        await take_advert(pilot, app, "down", "minus", "enter")  # past what he asks
    kinds = [piece.kind for piece in book.visit(book.machines()[0].id).pieces]
    assert "chuck-3-jaw" not in kinds
    assert "steady-rest" in kinds


async def test_taking_an_advert_is_one_action(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        await take_advert(pilot, app, "enter")
        assert len(book.history.actions) == 1
        await pilot.press("backspace")
        assert book.machines() == ()


async def open_advert(pilot: Pilot[int], app: KitreckonApp) -> None:
    app.screen.pasted(ADVERT)  # type: ignore[attr-defined]
    await wait_until(pilot, lambda: "steady rest" in screen_text(app))
    await pilot.press("plus")


async def take_advert(pilot: Pilot[int], app: KitreckonApp, *keys: str) -> None:
    await open_advert(pilot, app)
    await pilot.press(*keys)
    await wait_until(pilot, lambda: bool(app.session.book.machines()))


async def test_the_walk_notes_findings_and_what_is_not_so(
    example_book: Book, app_on: AppOn
) -> None:
    machine = example_book.machines()[1].id
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down", "enter", "ctrl+g", "f")
        first = app.screen.sheet.row_id  # type: ignore[attr-defined]
        before = len(example_book.visit(machine).findings)
        assert "FOUND" in screen_text(app).split("ENTER WILL")[1]
        await type_line(pilot, "150")
        assert len(example_book.visit(machine).findings) == before, "no figure makes it found"
        await pilot.press(*["backspace"] * 3)
        await pilot.press("space")
        assert "WALK AWAY  nothing" not in screen_text(app)
        await type_line(pilot, "bed worn")
        assert len(example_book.visit(machine).findings) == before + 1, "words find a row only"
        app.screen.take_row(first)  # type: ignore[attr-defined]
        await pilot.press("minus")
    visit = example_book.visit(machine)
    assert first not in [finding.kind for finding in visit.findings]
    assert visit.looked(f"finding:{first}") is not None


async def test_his_counter_offer_is_answered_before_it_is_noted(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "o")
        await type_line(pilot, "50", enter=False)
        assert "Accept" in screen_text(app)
        await pilot.press("ctrl+o")
        assert "Accept" not in screen_text(app), "the answer is covered with the money"
        before = len(example_book.visit(example_book.machines()[0].id).sayings)
        await pilot.press("enter")
    said = example_book.visit(example_book.machines()[0].id).sayings
    assert len(said) == before + 1
    assert said[-1].price == dollars(50)


async def test_he_keeps_a_piece_is_shown_as_what_if_and_stored_only_when_noted(
    example_book: Book, app_on: AppOn
) -> None:
    machine = example_book.machines()[0].id
    app = app_on(example_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "o")
        page = app.screen
        page.take_row(f"piece:{example_book.visit(machine).pieces[0].id}")  # type: ignore[attr-defined]
        await pilot.press("space")
        assert "WHAT IF" in screen_text(app)
        assert not any(piece.his for piece in example_book.visit(machine).pieces)
        await pilot.press("minus")
    assert example_book.visit(machine).pieces[0].his


async def test_a_budget_gives_a_list_and_a_purchase_is_recorded(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "b")
        await type_line(pilot, "800")
        await pilot.pause()
        assert "BUY, IN THIS ORDER" in screen_text(app)
        await type_line(pilot, "paid 45 used")
    bought = example_book.purchases()[-1]
    assert (bought.supply, bought.price) == ("used", dollars(45))


async def test_a_thing_goes_on_the_shelf_and_off_again(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "s")
        await type_line(pilot, "dial indicator")
        assert [piece.kind for piece in book.shelf()] == ["dial-indicator"]
        await pilot.press("minus")
        assert book.shelf() == ()


async def test_an_own_price_of_a_kind_is_noted(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "k")
        await type_line(pilot, "faceplate", enter=False)
        await pilot.press(*["backspace"] * 9)
        await type_line(pilot, "used 40 60 90")
    price = book.own_prices()[0]
    assert (price.kind, price.supply, price.price.typical) == ("faceplate", "used", dollars(60))


async def test_an_earlier_state_is_made_the_book_again(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await type_line(pilot, "first lathe")
        await pilot.press("ctrl+g", "l")
        await type_line(pilot, "second lathe")
        await pilot.press("ctrl+g", "e")
        assert len(book.machines()) == 2
        await pilot.press("enter")
        assert len(book.machines()) == 1


async def test_a_setting_is_stored_and_shown_at_once(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g", "u", "space")
        assert book.preferences().units == "mm"
        assert "millimeters" in screen_text(app)


@pytest.mark.parametrize(
    ("facts", "name"),
    [((".938in", ".778in", "3-3/16in"), "MT3"), (("", "", "", "1-1/2in", "8tpi"), "1-1/2-8")],
)
async def test_measures_are_named(
    facts: tuple[str, ...], name: str, book: Book, app_on: AppOn
) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("ctrl+g", "i")
        for fact in facts:
            await type_line(pilot, fact)
        assert f"= {name} " in screen_text(app)


async def test_a_read_only_book_says_so_and_changes_nothing(book: Book, app_on: AppOn) -> None:
    book.close()
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "READ ONLY" in screen_text(app)
        assert "CANNOT SAVE" in screen_text(app)
        await type_line(pilot, "a lathe")
        assert not app.session.machines


async def test_what_an_advert_says_is_missing_is_kept_until_the_sort_of_machine_is_set(
    book: Book, app_on: AppOn
) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.screen.pasted("12 inch lathe with a 6in 3 jaw chuck.\nNo follow rest.")  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "follow rest" in screen_text(app))
        await pilot.press("plus", "enter")
        await wait_until(pilot, lambda: bool(book.machines()))
    look = book.visit(book.machines()[0].id).looked("follow-rest")
    assert look is not None
    assert look.seen == 0


async def test_the_machine_at_the_arrow_is_the_one_every_page_is_about(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("down", "ctrl+g", "m")
        assert "MACHINE  13 in lathe" in screen_text(app)


async def test_the_money_key_covers_an_open_sheet_of_reasons_too(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "o", "equals_sign")
        assert "HOW THIS CAME ABOUT" in screen_text(app)
        await pilot.press("ctrl+o")
        await pilot.pause()
        shown = screen_text(app)
    assert "HOW THIS CAME ABOUT" not in shown
    assert "•••" in shown


async def test_letters_typed_ahead_after_the_go_key_open_one_page(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+g")
        menu = app.screen
        for letter in "obb":
            menu.on_key(events.Key(letter, letter))  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: getattr(app.screen, "page", "") == "offer")


async def test_what_was_not_taken_of_an_advert_stays(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        await take_advert(pilot, app, "down", "space", "enter")
        assert app.screen.page == "advert"  # type: ignore[attr-defined]
        assert "left to be taken" in screen_text(app)
        assert "3-jaw chuck" in screen_text(app)
        await pilot.press("ctrl+g", "c", "ctrl+g", "a")
        assert "3-jaw chuck" in screen_text(app)


async def test_what_was_seen_outranks_an_advert(example_book: Book, app_on: AppOn) -> None:
    app = app_on(example_book)
    machine = example_book.machines()[0].id
    before = example_book.visit(machine)
    async with app.run_test(size=(100, 30)) as pilot:
        app.screen.pasted("Comes with a steady rest.\nDial indicator sold.")  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "counted already" in screen_text(app))
        await pilot.press("enter")
    assert example_book.visit(machine) == before


async def test_a_purchase_is_noted_for_the_row_at_the_arrow(
    example_book: Book, app_on: AppOn
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter", "ctrl+o", "ctrl+g", "b")
        await type_line(pilot, "800")
        await pilot.press("space", "down", "down")
        row = app.screen.sheet.row_in_hand  # type: ignore[attr-defined]
        await type_line(pilot, "paid 45 used")
        named = app.session.name(example_book.purchases()[-1].kind)
    assert row.cells[0] == named


async def test_buy_tells_why_an_essential_is_not_on_the_list(book: Book, app_on: AppOn) -> None:
    for each in (a_lathe(), a_visit(looks={"taper-sleeve": 0, "centre-live": 0})):
        book.commit("fill", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.session.budget = dollars(400)
        app.open_page("buy")
        await pilot.pause()
        rows = app.screen.sheet.rows  # type: ignore[attr-defined]
        told = [row.cells[0] for row in rows if row.id.startswith("left:")]
        assert "of use only with" in " ".join(told)
