"""What a user does to a small book, step by step, and what the book must hold after each."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from kitreckon.book import Book
from kitreckon.book.system import System
from kitreckon.count import Look, Machine, Piece, Visit

LATHE = Machine("machine-1", "12in lathe", "engine-lathe-small", nose="D1-4")
CHUCK = Piece("piece-1", "chuck-3-jaw", text="6in three jaw, D1-4", note="a long note " * 8)
STEADY = Piece("piece-2", "steady-rest", text="steady, one or two")
Step = Callable[[Book], Any]


def noon() -> datetime:
    return datetime(2026, 3, 14, 12, 0, tzinfo=UTC)


def open_book(path: Path, system: System | None = None) -> Book:
    return Book.open(path, noon, system=system)


def begin(path: Path, system: System | None = None) -> None:
    """Make a book with a machine and a chuck, by two writes."""
    with open_book(path, system) as book:
        book.commit("add a lathe", book.put(LATHE))
        book.commit("count a chuck", book.put(CHUCK, LATHE.id))


def shorten_note(book: Book) -> Any:
    return book.commit("note", book.put(Piece("piece-1", "chuck-3-jaw"), LATHE.id))


def add_two(book: Book) -> Any:
    both = book.put(STEADY, LATHE.id) + book.put(Look("steady-rest", 1), LATHE.id)
    return book.commit("a steady", both)


def drop_chuck(book: Book) -> Any:
    return book.commit("no chuck", book.drop(CHUCK, LATHE.id))


def undo(book: Book) -> Any:
    return book.undo()


def redo(book: Book) -> Any:
    return book.redo()


def restore(book: Book) -> Any:
    return book.restore(2)


STEPS: tuple[Step, ...] = (shorten_note, add_two, drop_chuck, undo, redo, restore, add_two)


def content(book: Book) -> tuple[Any, ...]:
    """Return all that a screen could show of the book."""
    return (
        book.machines(),
        tuple(book.visit(machine.id) for machine in book.machines()),
        book.preferences(),
        book.undo_label,
        book.redo_label,
        len(book.history.actions),
    )


def content_on_disk(path: Path, system: System | None = None) -> tuple[Any, ...]:
    """Return what a second program sees, opened while the first one still runs."""
    with open_book(path, system) as other:
        return content(other)


def expected_contents(path: Path, system: System | None = None) -> list[tuple[Any, ...]]:
    """Return the content before the steps and after each of them, when nothing goes wrong."""
    begin(path, system)
    with open_book(path, system) as book:
        found = [content(book)]
        for step in STEPS:
            step(book)
            found.append(content(book))
    return found


def counted(book: Book) -> Visit:
    return book.visit(LATHE.id)
