"""``kitreckon import``: count sheets, CSV tables and whole books into the book."""

from __future__ import annotations

import argparse
from argparse import Namespace
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitreckon.commands.arguments import add_book, add_catalogue
from kitreckon.commands.streams import complain
from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.book import Book
    from kitreckon.book.sheet import Sheet
    from kitreckon.catalogue.load import OpenCatalogue


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "files", nargs="+", type=Path, metavar="FILE", help="a count sheet, a .csv or a book"
    )
    known = parser.add_mutually_exclusive_group()
    known.add_argument(
        "--merge",
        action="store_true",
        help="put a second count of a machine that is in the book together with the first",
    )
    known.add_argument(
        "--as-new", action="store_true", help="add it as another machine though one is called so"
    )
    parser.add_argument(
        "--machine", metavar="NAME", help="CSV: the machine of the book the things belong to"
    )
    parser.add_argument(
        "--column",
        metavar="OURS=THEIRS",
        action="append",
        default=[],
        help='CSV: which heading is which, as "thing=Bezeichnung"; may be given again',
    )
    add_book(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Read every file first; only when all are sound is anything stored."""
    from kitreckon.commands.opening import open_book, open_catalogue

    catalogue = open_catalogue(options)
    with open_book(options) as book:
        if book.read_only:
            raise KitreckonError(f"cannot save here: {book.read_only}", where=str(book.path))
        sheets: list[Sheet] = []
        for file in options.files:
            sheets += _sheets(file.expanduser(), book, catalogue, options)
        for sheet in sheets:
            for line in take_sheet(book, sheet, options):
                print(line)
    return 0


def _sheets(file: Path, book: Book, catalogue: OpenCatalogue, options: Namespace) -> list[Sheet]:
    from kitreckon.commands.opening import open_sheet, read_bytes

    data = read_bytes(file)
    if file.suffix.lower() in (".csv", ".tsv"):
        return [_from_csv(file, data, book, catalogue, options)]
    if data.lstrip()[:1] == b"{":
        return _from_book(file)
    return [open_sheet(file, catalogue)]


def _from_book(file: Path) -> list[Sheet]:
    """Return every machine of another book as a sheet; that book is only looked at."""
    from kitreckon.book import Book
    from kitreckon.commands.reckoned import sheet_of

    with Book.open(file) as other:
        return [sheet_of(other, machine) for machine in other.machines()]


def _from_csv(
    file: Path, data: bytes, book: Book, catalogue: OpenCatalogue, options: Namespace
) -> Sheet:
    from kitreckon.book.sheet import Sheet
    from kitreckon.commands.reckoned import chosen
    from kitreckon.count import Look, Visit
    from kitreckon.reading import Reader
    from kitreckon.reports.count_csv import read_count_csv

    machine = chosen(book, options.machine)
    preferences = book.preferences()
    reader = Reader(catalogue.kinds, catalogue.rules, book.corrections())
    table = read_count_csv(
        data.decode("utf-8-sig", "replace"),
        str(file),
        reader,
        catalogue.kinds,
        preferences.currency,
        _columns(options.column),
    )
    for notice in table.notices:
        complain(str(notice))
    outfit = catalogue.outfits.get(machine.machine_class)
    looks = tuple(
        Look(want.id, 0)
        for want in (outfit.wants if outfit else ())
        if any(kind in table.absent for kind in want.any_of)
    )
    visit = Visit(machine.id, tuple(table.pieces), looks)
    options.merge = True  # the machine is in the book: its things join those counted there
    return Sheet(machine, visit, preferences=preferences)


def _columns(given: Iterable[str]) -> dict[str, str]:
    from kitreckon.catalogue.shapes import nearest
    from kitreckon.reports.count_csv import HEADINGS

    columns = {}
    for pair in given:
        ours, sign, theirs = pair.partition("=")
        if not sign or ours not in HEADINGS:
            raise KitreckonError(
                f"--column {pair!r} names no column of ours", want=nearest(ours, tuple(HEADINGS))
            )
        columns[ours] = theirs
    return columns


def take_sheet(book: Book, sheet: Sheet, options: Namespace) -> list[str]:
    """Store one sheet as one action; return lines that say what was done."""
    _check_currency(book, sheet)
    known = _known(book, sheet, options)
    changes: Any = ()
    if not book.machines():
        changes += book.put(sheet.preferences)
    if known is None:
        machine = replace(sheet.machine, id=_free_id(book, sheet.machine.id))
        changes += book.put(machine) + book.put(replace(sheet.visit, machine_id=machine.id))
        said = [f"added {machine.name} ({machine.id}): {_pieces(len(sheet.visit.pieces))}"]
    else:
        merged, said = _merged(book, sheet, known)
        changes += merged
    changes += _own_records(book, sheet)
    action = book.commit(f"import {sheet.machine.name}", changes)
    return said if action.n else [f"{sheet.machine.name}: nothing new"]


def _pieces(count: int) -> str:
    return f"{count} piece{'' if count == 1 else 's'}"


def _check_currency(book: Book, sheet: Sheet) -> None:
    theirs, ours = sheet.preferences.currency, book.preferences().currency
    if book.machines() and theirs != ours:
        raise KitreckonError(
            f"the sheet is in {theirs}, the book in {ours}",
            where=sheet.machine.name,
            want="prices in the book's currency, or another book (--book)",
        )


def _known(book: Book, sheet: Sheet, options: Namespace) -> str | None:
    """Return the id of the machine in the book that this is a second count of, if it is."""
    if options.as_new:
        return None
    alike = [
        machine.id
        for machine in book.machines()
        if machine.id == sheet.machine.id or machine.name == sheet.machine.name
    ]
    if not alike:
        return None
    if not options.merge:
        raise KitreckonError(
            f"{sheet.machine.name!r} is in the book already",
            want="--merge to put both counts together, or --as-new to add another",
        )
    return alike[0]


def _free_id(book: Book, wanted: str) -> str:
    taken = {machine.id for machine in book.machines()}
    return wanted if wanted and wanted not in taken else book.next_id("machine")


def _merged(book: Book, sheet: Sheet, machine_id: str) -> tuple[Any, list[str]]:
    from kitreckon.book.merging import merge_machines, merge_visits

    visit = replace(sheet.visit, machine_id=machine_id)
    merged = merge_visits(book.visit(machine_id), visit)
    said = [
        f"merged {sheet.machine.name} ({machine_id}): {_pieces(len(merged.added))} added, "
        f"{len(merged.same)} there already"
    ]
    said += [
        f"  differs, the book's word stands: {piece.kind or piece.text} ({piece.id})"
        for piece in merged.differing
    ]
    known = book.machine(machine_id)
    machine = merge_machines(known, sheet.machine) if known is not None else sheet.machine
    return book.put(machine) + book.put(merged.visit), said


def _own_records(book: Book, sheet: Sheet) -> Any:
    """Return the changes that add what goes with the user, not with the machine, once."""
    from kitreckon.book.merging import merge_shelves

    changes: Any = ()
    there = {piece.id for piece in book.shelf()}
    for piece in merge_shelves(book.shelf(), sheet.shelf):
        new = piece.id not in there
        changes += book.put(replace(piece, id=book.next_id("shelf")) if new else piece)
    records: tuple[tuple[str, Any, Any], ...] = (
        ("price", book.own_prices(), sheet.own_prices),
        ("bought", book.purchases(), sheet.purchases),
        ("correction", book.corrections(), sheet.corrections),
    )
    for prefix, ours, theirs in records:
        known = {replace(one, id="") for one in ours}
        for one in theirs:
            if replace(one, id="") not in known:
                changes += book.put(replace(one, id=book.next_id(prefix)))
    return changes
