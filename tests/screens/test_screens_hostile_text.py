"""Text from users and files is drawn as it stands: never as markup, never as control codes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from builders import dollars
from kitreckon.book import Book
from kitreckon.count import Finding, Machine, OwnPrice, Piece, Purchase, Saying, Visit
from kitreckon.quantities import Range
from kitreckon.screens.app import KitreckonApp
from screen_text import screen_text, type_line


def hostile_book(book: Book, text: str) -> Book:
    lathe = Machine(
        book.next_id("machine"), text, "engine-lathe-small", nose="D1-4", serial_number=text,
        seller=text, place=text, note=text, asking=dollars(900),
        bare_price=Range(dollars(500), dollars(700), dollars(900)),
    )  # fmt: skip
    pieces = (
        Piece("piece-1", "chuck-3-jaw", text=text, note=text, unsafe=text, photo=text),
        Piece("piece-2", None, text=text, note=text, parts_missing=(text,)),
    )
    visit = Visit(
        lathe.id,
        pieces,
        findings=(Finding("finding-1", "not-runnable", note=text), Finding("finding-2", text)),
        sayings=(Saying("saying-1", "seller", dollars(800), note=text),),
    )
    book.commit(text, book.put(lathe))
    book.commit(text, book.put(visit))
    price = OwnPrice("price-1", "chuck-3-jaw", "used", Range(*[dollars(9)] * 3), 2025, note=text)
    bought = Purchase("purchase-1", "faceplate", "used", dollars(9), "2025-01-01", note=text)
    shelf = replace(pieces[0], id="piece-9", note=text)
    book.commit(text, [*book.put(price), *book.put(bought), *book.put(shelf)])
    return book


async def test_a_bracketed_name_keeps_its_brackets(
    book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    app = app_on(hostile_book(book, "[@click=app.quit]q[/]"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert "[@click=app.quit]q[/]" in screen_text(app)


async def test_typed_markup_is_kept_as_typed(
    book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    app = app_on(hostile_book(book, "lathe"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("enter")
        app.screen.line.value = "[/] qqx [b"
        await pilot.pause()
        await type_line(pilot, "")
        await pilot.pause()
    assert "[/] qqx [b" in [piece.text for piece in book.visit("machine-1").pieces]
