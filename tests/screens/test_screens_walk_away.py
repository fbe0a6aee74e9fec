"""WALK AWAY stands above every page exactly while the offer says so of what was found."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, length, the_catalogue
from kitreckon.book import Book
from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Finding, Reading
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.session import Session
from screen_text import screen_text

BROKEN = "headstock-gear-tooth"


def with_a_limit() -> Catalogue:
    """The catalogue, but a tooth counts as broken only from 0.3 mm on."""
    known = the_catalogue()
    rule = replace(known.findings[BROKEN], reading="play", limit_mm=0.3)
    rules = {**known.findings, BROKEN: rule}
    return Catalogue(lambda name: rules if name == "findings" else getattr(known, name))


@pytest.mark.parametrize(
    ("finding", "ends"),
    [
        (a_finding(BROKEN), True),
        (a_finding(BROKEN, amount=dollars(100)), False),
        (a_finding(BROKEN, value=length("0.2mm")), False),
        (a_finding(BROKEN, value=length("0.4mm")), True),
        (a_finding("not-seen-running"), False),
        (a_finding("of no list"), False),
    ],
)
def test_the_band_says_what_the_offer_says_of_a_finding(
    finding: Finding, ends: bool, book: Book
) -> None:
    for each in (a_lathe(), a_visit(findings=(finding,))):
        book.commit("fill", book.put(each))
    session = Session(book, with_a_limit(), machine_id="m1")
    reckoning = session.reckoning()
    assert reckoning is not None
    assert [reason.id for reason in reckoning.offer.stop] == ["finding-walk-away"] * ends
    assert len(session.walk_away()) == ends


async def test_a_broken_tooth_with_an_own_amount_is_no_alarm(
    book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    finding = a_finding(BROKEN, amount=dollars(100))
    for each in (a_lathe(), a_visit(findings=(finding,))):
        book.commit("fill", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.open_page("walk")
        await pilot.pause()
        row = next(row for row in app.screen.sheet.rows if row.id == BROKEN)  # type: ignore[attr-defined]
        assert row.look != "alarm"
        assert "WALK AWAY broken tooth" not in " ".join(screen_text(app).split())


def test_what_a_reading_shows_is_the_grade_the_reckoning_takes(book: Book) -> None:
    catalogue = the_catalogue()
    worn = next(c for c in catalogue.kinds["chuck-3-jaw"].checks if c.poor_over_mm is not None)
    over = length(f"{(worn.poor_over_mm or 0) + 1}mm")
    session = Session(book, catalogue)
    piece = a_piece("chuck-3-jaw", readings=(Reading(worn.reading, over),))
    assert session.grade_of(piece) == "poor"
    assert session.grade_of(replace(piece, condition=None)) == "poor"
    assert session.grade_of(replace(piece, readings=())) == "good"


async def test_compare_begins_with_the_machine_to_walk_away_from_and_never_prefers_it(
    book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    wreck = a_lathe(id="m2", name="wreck", asking=dollars(300))
    broken = replace(a_visit(findings=(a_finding(BROKEN),)), machine_id="m2")
    for each in (a_lathe(), a_visit(), wreck, broken):
        book.commit("fill", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(100, 40)) as pilot:
        app.open_page("compare")
        await pilot.pause()
        rows = app.screen.sheet.rows  # type: ignore[attr-defined]
        assert rows[0].look == "alarm"
        assert "wreck: walk away: broken tooth" in rows[0].cells[0]
        assert [row.id for row in rows if row.id.startswith("machine:")][-1] == "machine:m2"
        assert not any(row.id.startswith(("sure:", "reversal")) for row in rows)


@pytest.mark.parametrize(("fact", "said"), [(True, "yes, a fact"), (False, "no, a fact")])
async def test_the_walk_knows_what_the_facts_of_the_machine_tell(
    fact: bool, said: str, book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    for each in (a_lathe(features=(("three-phase", fact),)), a_visit()):
        book.commit("fill", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.open_page("walk")
        await pilot.pause()
        rows = {row.id: row for row in app.screen.sheet.rows}  # type: ignore[attr-defined]
        assert rows["motor-three-phase"].cells[1] == said
        assert rows["motor-missing"].cells[1] == "not looked"


async def test_missing_names_what_the_chance_of_a_thing_nobody_looked_for_rests_on(
    book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    for each in (a_lathe(), a_visit()):
        book.commit("fill", book.put(each))
    app = app_on(book)
    async with app.run_test(size=(100, 30)) as pilot:
        app.open_page("missing")
        await pilot.pause()
        app.screen.take_row("open:steady-rest")  # type: ignore[attr-defined]
        await pilot.pause()
        assert "judgement, with no page behind it" in " ".join(screen_text(app).split())
