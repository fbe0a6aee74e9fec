"""``kitreckon history``: earlier generations of the book, and going back to one."""

from __future__ import annotations

import argparse
from argparse import Namespace
from typing import TYPE_CHECKING

from kitreckon.commands.arguments import add_book
from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.book import Book


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    change = parser.add_mutually_exclusive_group()
    change.add_argument(
        "--restore", metavar="N", help="make generation N, as it is listed, the book again"
    )
    change.add_argument(
        "--accept",
        action="store_true",
        help="take a book that was changed outside the program as it is",
    )
    add_book(parser)


def run(options: Namespace) -> int:
    """List the generations, newest first, or restore one."""
    from kitreckon.commands.opening import open_book

    with open_book(options) as book:
        if options.accept:
            _accept(book)
        elif options.restore is not None:
            _restore(book, options.restore)
        else:
            print(_listing(book))
    return 0


def _restore(book: Book, name: str) -> None:
    if book.read_only and not book.changed_outside:
        raise KitreckonError(f"cannot save here: {book.read_only}", where=str(book.path))
    state = book.restore(name)
    print(f"generation {state.name} is the book again, as generation {book.generation}")


def _accept(book: Book) -> None:
    if not book.changed_outside:
        raise KitreckonError("the book was not changed outside", where=str(book.path))
    book.accept()
    print(f"the book is taken as it is, as generation {book.generation}")


def _listing(book: Book) -> str:
    from kitreckon.commands.printing import shown_path
    from kitreckon.reports.document import Amount, Column, Document, Table
    from kitreckon.reports.rendering.text import to_text

    columns = (
        Column("Number", "right"),
        Column("Saved (UTC)"),
        Column("Machines", "right"),
        Column("Pieces", "right"),
        Column("Last action"),
        Column(""),
    )
    rows = tuple(
        (
            Amount(one.name, one.number),
            one.saved_utc[:19].replace("T", " "),
            Amount(str(one.machines), one.machines),
            Amount(str(one.pieces), one.pieces),
            one.label,
            "" if one.good else "damaged",
        )
        for one in book.generations()
    )
    title = f"{shown_path(book.path)}: generation {book.generation}"
    return to_text(Document(title, (Table(columns, rows),))).rstrip("\n")
