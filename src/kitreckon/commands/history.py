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
    parser.add_argument("--restore", metavar="N", type=int, help="make generation N the book again")
    add_book(parser)


def run(options: Namespace) -> int:
    """List the generations, newest first, or restore one."""
    from kitreckon.commands.opening import open_book

    with open_book(options) as book:
        if options.restore is None:
            print(_listing(book))
            return 0
        if book.read_only and not book.changed_outside:
            raise KitreckonError(f"cannot save here: {book.read_only}", where=str(book.path))
        book.restore(options.restore)
        print(f"generation {options.restore} is the book again, as generation {book.generation}")
    return 0


def _listing(book: Book) -> str:
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
            Amount(str(one.number), one.number),
            one.saved_utc,
            Amount(str(one.machines), one.machines),
            Amount(str(one.pieces), one.pieces),
            one.label,
            "" if one.good else "damaged",
        )
        for one in book.generations()
    )
    title = f"{book.path}: generation {book.generation}"
    return to_text(Document(title, (Table(columns, rows),))).rstrip("\n")
