"""What the seller says is there stays his word until somebody looks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import count

import pytest

from builders import a_finding, a_lathe, a_piece, a_visit, length, the_catalogue
from kitreckon.book import Book
from kitreckon.count import Piece, Visit
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.details import Details
from kitreckon.screens.marking import (
    add_named,
    none_here,
    one_here,
    row_of,
    said_piece,
    say_about,
)
from kitreckon.screens.rows import CountRow, count_rows, tally
from screen_text import screen_text, type_line, wait_until

AppOn = Callable[..., KitreckonApp]
ids = (f"new-{n}" for n in count())


def new_id() -> str:
    return next(ids)


def said(kind: str, **fields: object) -> Piece:
    return replace(a_piece(kind, condition=None), seen=False, **fields)  # type: ignore[arg-type]


def rows_of(visit: Visit) -> list[CountRow]:
    lathe = a_lathe()
    return count_rows(lathe, the_catalogue().outfits[lathe.machine_class], visit)


def row_with(visit: Visit, kind: str) -> CountRow:
    return next(row for row in rows_of(visit) if any(p.kind == kind for p in row.pieces))


def test_a_row_that_is_only_said_is_counted_apart() -> None:
    visit = a_visit(said("faceplate"), a_piece("chuck-4-jaw"), looks={"faceplate": 1})
    here, only_said, none, _, _ = tally(rows_of(visit))
    assert (here, only_said, none) == (1, 1, 0)
    assert row_with(visit, "faceplate").state == "said"


def test_a_row_counts_as_said_while_one_of_its_pieces_is_unseen() -> None:
    visit = a_visit(
        a_piece("centre-dead", id="a"), said("centre-dead", id="b"), looks={"dead-centres": 2}
    )
    looked = a_visit(*visit.pieces, looks={row_with(visit, "centre-dead").id: 2})
    row = row_with(looked, "centre-dead")
    assert (len(row.pieces), row.state) == (2, "said")


def test_one_mark_sees_what_was_said_and_adds_nothing() -> None:
    visit = a_visit(said("centre-dead", qty=2), looks={})
    row = row_with(visit, "centre-dead")
    after = one_here(visit, row, new_id)
    assert [(p.qty, p.seen) for p in after.pieces] == [(2, True)]
    assert one_here(after, row_with(after, "centre-dead"), new_id).pieces[0].qty == 3


def test_none_here_takes_off_what_was_said() -> None:
    visit = a_visit(said("faceplate"), looks={"faceplate": 1})
    after = none_here(visit, row_with(visit, "faceplate"))
    assert after.pieces == ()
    assert [look.seen for look in after.looks] == [0]


def test_details_typed_for_what_was_said_mark_it_seen() -> None:
    visit = a_visit(said("faceplate"), looks={"faceplate": 1})
    row = row_with(visit, "faceplate")
    after = say_about(visit, row, Details(condition="fair"), new_id)
    assert (after.pieces[0].seen, after.pieces[0].condition) == (True, "fair")


@pytest.mark.parametrize(
    ("details", "same"),
    [
        (Details(), True),
        (Details(size=length("6in"), condition="good"), True),
        (Details(size=length("8in")), False),
        (Details(mount="L0"), True),
        (Details(seen=False), False),
    ],
)
def test_naming_it_finds_what_was_said_unless_it_is_another(details: Details, same: bool) -> None:
    visit = a_visit(said("chuck-3-jaw", size=length("6in")), looks={"chuck-3-jaw": 1})
    row = row_of(rows_of(visit), "chuck-3-jaw", details)
    assert row is not None
    assert (said_piece(row, "chuck-3-jaw", details) is not None) is same
    after = add_named(visit, row, "chuck-3-jaw", "", details, new_id)
    assert len(after.pieces) == (1 if same else 2)
    assert after.pieces[0].seen is same


ADVERT = "12 inch lathe. Comes with a 6in 3 jaw chuck, a steady rest and a faceplate.\n$900"


async def test_what_an_advert_says_is_shown_as_said_until_it_is_seen(
    book: Book, app_on: AppOn
) -> None:
    lathe = a_lathe()
    book.commit("add", book.put(lathe))
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        app.screen.pasted(ADVERT)  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "steady rest" in screen_text(app))
        await pilot.press("plus", "enter")
        await wait_until(pilot, lambda: "3 said" in screen_text(app))
        assert [p.seen for p in book.visit(lathe.id).pieces] == [False] * 3
        app.screen.take_row("chuck-3-jaw")  # type: ignore[attr-defined]
        await pilot.pause()
        shown = screen_text(app)
        assert "said 1 of 1" in shown
        assert "1 said, seen now" in shown
        await pilot.press("space")
        await wait_until(pilot, lambda: "2 said" in screen_text(app))
        assert "1 here" in screen_text(app)
        await type_line(pilot, "faceplate 10in", enter=False)
        await pilot.pause()
        assert "seen, as he said: 10in" in screen_text(app)
        await pilot.press("enter")
        await wait_until(pilot, lambda: "1 said" in screen_text(app))
    seen = {p.kind: (p.qty, p.seen) for p in book.visit(lathe.id).pieces}
    assert seen["chuck-3-jaw"] == (1, True)
    assert seen["faceplate"] == (1, True)
    assert seen["steady-rest"] == (1, False)


async def test_the_next_open_row_is_also_one_that_is_only_said(book: Book, app_on: AppOn) -> None:
    lathe = a_lathe()
    wants = the_catalogue().outfits[lathe.machine_class].wants
    visit = a_visit(
        said("faceplate"), looks={want.id: 0 for want in wants if want.kind != "faceplate"}
    )
    for each in (lathe, visit):
        book.commit("add", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter", "tab")
        await pilot.pause()
        assert app.screen.sheet.row_id == "faceplate"  # type: ignore[attr-defined]


async def test_all_counts_fit_one_narrow_line(book: Book, app_on: AppOn) -> None:
    lathe = a_lathe()
    typed = a_piece(None, id="p-typed", text="odd brass bits", condition=None)
    for each in (lathe, a_visit(said("faceplate"), typed)):
        book.commit("add", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(50, 20)) as pilot:
        await pilot.press("enter")
        await pilot.pause()
        counts = next(line for line in screen_text(app).splitlines() if " said " in line)
    assert "0 here  1 said  0 none" in counts
    assert "1 typed" in counts
    assert "…" not in counts


async def test_the_offer_says_what_is_only_the_sellers_word(book: Book, app_on: AppOn) -> None:
    for each in (a_lathe(), a_visit(said("faceplate"), a_piece("chuck-4-jaw"))):
        book.commit("add", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(100, 40)) as pilot:
        await pilot.press("enter", "ctrl+g", "o")
        await wait_until(
            pilot,
            lambda: "only the seller's word, nobody has looked: 1 of these" in screen_text(app),
        )


TOLD = "Lathe, 13in swing. D1-4 camlock, No. 3 Morse tailstock.\nComes with a steady rest. $900"


async def test_what_an_advert_says_of_the_machine_fills_what_is_not_known(
    book: Book, app_on: AppOn
) -> None:
    lathe = a_lathe(swing=length("12in"), nose="D1-4", tailstock_socket=None)
    book.commit("add", book.put(lathe))
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.screen.pasted(TOLD)  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "SAID OF THE MACHINE" in screen_text(app))
        shown = screen_text(app)
        assert "you have 12in" in shown
        assert "MT3" in shown
        await pilot.press("plus", "enter")
        await wait_until(pilot, lambda: bool(book.visit(lathe.id).pieces))
    machine = book.machines()[0]
    assert machine == replace(lathe, tailstock_socket="MT3")


async def test_an_advert_starts_a_machine_with_the_facts_it_says(book: Book, app_on: AppOn) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.screen.pasted(TOLD)  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "swing over the bed" in screen_text(app))
        app.screen.take_row("fact:nose")  # type: ignore[attr-defined]
        await pilot.press("space")
        app.screen.take_row("fact:tailstock_socket")  # type: ignore[attr-defined]
        await pilot.press("minus", "enter")
        await wait_until(pilot, lambda: bool(book.machines()))
    machine = book.machines()[0]
    assert (str(machine.swing), machine.nose, machine.tailstock_socket) == ("13in", None, None)


async def test_a_machine_from_an_advert_is_called_by_size_and_sort_and_asked_its_class(
    book: Book, app_on: AppOn
) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.screen.pasted(  # type: ignore[attr-defined]
            "Lovely old engine lathe out of a school, 12in swing, with a steady rest. £900"
        )
        await wait_until(pilot, lambda: "steady rest" in screen_text(app))
        await pilot.press("plus", "enter")
        await wait_until(pilot, lambda: getattr(app.screen, "page", "") == "machine")
        await wait_until(pilot, lambda: "not your money" in screen_text(app))
        assert app.screen.sheet.row_id == "machine_class"  # type: ignore[attr-defined]
    machine = book.machines()[0]
    assert (machine.name, machine.asking) == ("12in engine lathe", None)


async def test_what_he_asks_in_an_advert_is_shown_while_our_money_is_covered(
    book: Book, app_on: AppOn
) -> None:
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.session.covered = True
        app.screen.pasted("12in lathe, $1,450.\nComes with a steady rest.")  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "1,450" in screen_text(app))


FAULTS = """12in lathe with a steady rest. No cracks, ways are not worn.
Half nuts worn out. Back gear has one tooth missing. Slight play in the cross slide.
Belt guard is missing but it is perfectly safe."""


async def test_faults_an_advert_tells_are_taken_into_the_walk_as_said(
    book: Book, app_on: AppOn
) -> None:
    lathe = a_lathe()
    book.commit("add", book.put(lathe))
    app = app_on(book)
    async with app.run_test(size=(100, 40)) as pilot:
        app.screen.pasted(FAULTS)  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "FAULTS HE TELLS OF" in screen_text(app))
        shown = screen_text(app)
        assert "worn near the headstock" not in shown
        assert "crack in a main casting" not in shown
        app.screen.take_row("fault:guards-missing")  # type: ignore[attr-defined]
        await pilot.pause()
        assert "CAUTION" in screen_text(app)
        await pilot.press("enter")
        await wait_until(pilot, lambda: bool(book.visit(lathe.id).findings))
        found = {f.kind: (f.seen, f.note) for f in book.visit(lathe.id).findings}
        assert found == {
            "half-nut-wear": (False, "Half nuts worn out"),
            "headstock-gear-tooth": (False, "Back gear has one tooth missing"),
            "guards-missing": (False, "Belt guard is missing"),
        }
        await wait_until(pilot, lambda: "nothing is marked" in screen_text(app))
        assert "cross slide" in screen_text(app), "what is unsure stays to be taken or dropped"
        await pilot.press("ctrl+g", "o")
        await wait_until(pilot, lambda: "counted on his word against himself" in screen_text(app))
        await pilot.press("ctrl+g", "c")
        asked = "Is it so, as he says: broken tooth in a headstock gear?"
        await wait_until(pilot, lambda: asked in screen_text(app))
        await pilot.press("ctrl+n")
        await wait_until(pilot, lambda: getattr(app.screen, "page", "") == "walk")
        assert app.screen.sheet.row_id == "headstock-gear-tooth"  # type: ignore[attr-defined]
        shown = screen_text(app)
        assert "Back gear has one tooth missing" in shown
        assert "(said)" in shown
        await pilot.press("space")
        await wait_until(pilot, lambda: "(said)" not in screen_text(app))
        app.screen.take_row("half-nut-wear")  # type: ignore[attr-defined]
        await pilot.press("minus")
        await pilot.pause()
    left = {f.kind: f.seen for f in book.visit(lathe.id).findings}
    assert left == {"headstock-gear-tooth": True, "guards-missing": False}


async def test_what_he_tells_against_what_was_seen_is_shown_and_left_unmarked(
    book: Book, app_on: AppOn
) -> None:
    lathe = a_lathe()
    visit = a_visit(looks={"finding:half-nut-wear": 0}, findings=(a_finding("belts-perished"),))
    for each in (lathe, visit):
        book.commit("add", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(100, 40)) as pilot:
        app.screen.pasted("Half nuts worn. Belts are perished. No tailstock.")  # type: ignore[attr-defined]
        await wait_until(pilot, lambda: "tailstock missing" in screen_text(app))
        lines = screen_text(app).splitlines()
        nuts = next(line for line in lines if "half nuts worn" in line)
        assert nuts.split()[:2] != ["take", "half"]
        assert "you looked, none" in nuts
        assert not any("belts cracked" in line for line in lines), "found already"
        app.screen.take_row("fault:half-nut-wear")  # type: ignore[attr-defined]
        await pilot.press("space", "enter")
        await wait_until(pilot, lambda: len(book.visit(lathe.id).findings) == 3)
    visit = book.visit(lathe.id)
    assert visit.looked("finding:half-nut-wear") is None
