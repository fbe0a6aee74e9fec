"""What a row of the count asks for follows the machine; what is counted on it keeps its words."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from builders import a_lathe, a_visit, length, the_catalogue
from kitreckon.book import Book
from kitreckon.reckoning import reckon
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.count_text import CountText, want_size
from kitreckon.screens.session import Session
from screen_text import type_line

AppOn = Callable[..., KitreckonApp]

LATHE = a_lathe(spindle_socket="MT3", tailstock_socket="MT2", bore=length("0.75in"))


@pytest.fixture
def session(book: Book, app_on: AppOn) -> Session:
    book.commit("a lathe", book.put(LATHE) + book.put(a_visit()))
    session = app_on(book).session
    session.machine_id = LATHE.id
    return session


def asked(session: Session, kind: str) -> set[str]:
    outfit = session.outfit(LATHE)
    assert outfit is not None
    return {want_size(session, want) for want in outfit.wants if want.kind == kind}


@pytest.mark.parametrize(
    "kind",
    ["drill-chuck-arbor", "die-holder", "drills-taper-shank", "centre-dead", "centre-bull-nose"],
)
def test_what_goes_in_the_tailstock_is_asked_for_with_its_taper(
    kind: str, session: Session
) -> None:
    assert asked(session, kind) == {"MT2"}


def test_a_sleeve_is_asked_for_with_the_taper_of_the_spindle(session: Session) -> None:
    assert asked(session, "taper-sleeve") == {"MT3"}


def test_a_chuck_is_asked_for_in_the_size_that_suits_the_swing(session: Session) -> None:
    assert asked(session, "chuck-3-jaw") == {"6in"}


def test_the_count_asks_for_the_sizes_that_are_missing(session: Session) -> None:
    outfit = session.outfit(LATHE)
    assert outfit is not None
    none = a_visit(looks={want.id: 0 for want in outfit.wants})
    gaps = reckon(LATHE, none, the_catalogue(), session.preferences).gaps
    for gap in gaps:
        want = outfit.want(gap.want)
        assert want is not None
        if want.size.sizes_mm or want.size.text:
            continue
        missing = " ".join(filter(None, (session.size(gap.size), gap.mount or "")))
        assert want_size(session, want) == missing, want.id
    assert sum(gap.mount == "MT2" for gap in gaps) >= 5


async def test_a_chuck_counted_on_its_row_still_holds_its_collets(
    book: Book, app_on: AppOn
) -> None:
    book.commit("a lathe", book.put(LATHE) + book.put(a_visit()))
    app = app_on(book)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_page("count")
        await pilot.pause()
        await type_line(pilot, "ER25 collet chuck MT3 with 10 collets")
        await pilot.pause()
        collets = next(p for p in book.visit(LATHE.id).pieces if p.kind == "collets-er")
        assert collets.mount == "ER25"
        fit = app.session.fit_of(collets)
        assert fit is not None
        assert [adapter.already_here for adapter in fit.adapters] == [True]


def test_what_is_told_of_a_wanted_thing_is_in_the_users_words(session: Session) -> None:
    outfit = session.outfit(LATHE)
    assert outfit is not None
    assert any("centre" in want.note for want in outfit.wants)
    text = CountText(session)
    told = " ".join(p.text for row in session.counted() for p in text.detail(row))
    assert "center" in told
    assert "centre" not in told
