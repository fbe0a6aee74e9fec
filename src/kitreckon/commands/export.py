"""``kitreckon export``: a machine's count as sheet or CSV, or the whole book, into a file."""

from __future__ import annotations

import argparse
import sys
from argparse import Namespace
from typing import TYPE_CHECKING

from kitreckon.commands.arguments import add_book, add_catalogue, add_output
from kitreckon.commands.reckoned import add_source, source_sheet
from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.book.sheet import Sheet
    from kitreckon.catalogue.load import OpenCatalogue


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "what", choices=("sheet", "csv", "book"), help="a count sheet, a CSV table, or the book"
    )
    add_source(parser)
    parser.add_argument(
        "--raw", action="store_true", help="CSV for another program: no guard against formulas"
    )
    add_output(parser)
    add_book(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Write what was asked for."""
    from kitreckon.commands.opening import open_catalogue, tell_problems, told_where_refused

    if options.what == "book":
        return _book(options)
    catalogue = open_catalogue(options)
    with told_where_refused(catalogue):
        sheet = source_sheet(options, catalogue)
    if options.what == "sheet":
        from kitreckon.book.sheet import write_sheet

        text, ending = write_sheet(sheet), ".yaml"
    else:
        text, ending = count_csv(sheet, catalogue, raw=options.raw), ".csv"
    tell_problems(catalogue)
    return _put(text, options, sheet.machine.name, ending)


def count_csv(sheet: Sheet, catalogue: OpenCatalogue, *, raw: bool) -> str:
    """Return a sheet's pieces, and what was looked for and not there, as CSV."""
    from kitreckon.catalogue.words import Style
    from kitreckon.reports.count_csv import write_count_csv

    style = Style.of(sheet.preferences)
    names = {kind: catalogue.words.name(kind, style) for kind in catalogue.kinds}
    outfit = catalogue.outfits.get(sheet.machine.machine_class)
    absent = [
        want.kind
        for look in sheet.visit.looks
        if look.seen == 0 and outfit is not None
        for want in outfit.wants
        if want.id == look.want
    ]
    return write_count_csv(sheet.visit.pieces, dict.fromkeys(absent), names, raw=raw)


def _put(text: str, options: Namespace, name: str, ending: str) -> int:
    if options.output is None:
        # csv brings its own line ends: the stream must not turn them into others
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode("utf-8", "replace"))
        return 0
    from kitreckon.commands.printing import shown_path
    from kitreckon.commands.write_file import named_in, write_file

    target = named_in(options.output, name, ending)
    bom = ending == ".csv" and not options.raw
    print(shown_path(write_file(target, text, overwrite=options.overwrite, bom=bom)))
    return 0


def _book(options: Namespace) -> int:
    from kitreckon.commands.opening import open_book
    from kitreckon.commands.printing import shown_path
    from kitreckon.commands.write_file import refuse_existing, write_file

    if options.output is None:
        raise KitreckonError("no file to copy the book to", want="-o FILE")
    if options.sheet is not None or options.machine is not None:
        raise KitreckonError(
            "the book is copied whole", want="no SHEET and no --machine; or export sheet"
        )
    with open_book(options) as book:
        if not book.machines():
            raise KitreckonError("the book is empty: nothing to copy", where=str(book.path))
        target = refuse_existing(options.output, overwrite=options.overwrite)
        if target == book.path:
            raise KitreckonError(
                "this is the book itself", where=str(target), want="the name of another file"
            )
        if target.exists():
            write_file(target, book.text_of_copy(), overwrite=True)
        else:
            book.save_copy(target)
    print(shown_path(target))
    return 0
