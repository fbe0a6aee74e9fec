"""``kitreckon import``: count sheets, CSV tables and whole books into the book."""

from __future__ import annotations

import argparse
from argparse import Namespace
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitreckon.commands.arguments import add_book, add_catalogue
from kitreckon.commands.opening import is_table
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
    parser.add_argument(
        "--language", metavar="CODE", help="also read names in this language (else the book's)"
    )
    add_book(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Read every file first; only when all are sound is anything stored."""
    from kitreckon.commands.opening import Refusals, open_book, open_catalogue, tell_problems

    if not any(map(is_table, options.files)):
        _refuse_for_tables(options)
    with open_book(options) as book:
        language = options.language or book.preferences().language
        catalogue = open_catalogue(options, language)
        if book.read_only:
            raise KitreckonError(f"cannot save here: {book.read_only}", where=str(book.path))
        taking, refusals = Taking(book, options), Refusals()
        for file in options.files:
            with refusals.noted():
                for sheet in _sheets(file, book, catalogue, options):
                    with refusals.noted():
                        taking.take(sheet, file)
        tell_problems(catalogue)
        refusals.refuse()
        for line in taking.store():
            print(line)
    return 0


def _sheets(given: Path, book: Book, catalogue: OpenCatalogue, options: Namespace) -> list[Sheet]:
    from kitreckon.commands.opening import is_book, open_sheet, read_bytes, user_path

    file = user_path(given)
    data = read_bytes(file)
    if is_table(file):
        return [_from_csv(file, data, book, catalogue, options)]
    if is_book(data):
        return _from_book(file)
    return [open_sheet(file, catalogue)]


def _refuse_for_tables(options: Namespace) -> None:
    """Refuse what says something of a table alone where there is none."""
    if options.machine is not None or options.column:
        flag = "--machine" if options.machine is not None else "--column"
        raise KitreckonError(
            f"{flag} is for a table, and none of these files is one",
            want="a file that ends in .csv or .tsv",
        )


def _from_book(file: Path) -> list[Sheet]:
    """Return every machine of another book as a sheet; that book is only looked at."""
    from kitreckon.book import Book
    from kitreckon.commands.reckoned import sheet_of

    with Book.open(file, look_only=True) as other:
        for notice in other.notices:
            complain(f"{file}: {notice}")
        return [sheet_of(other, machine) for machine in other.machines()]


def _from_csv(
    file: Path, data: bytes, book: Book, catalogue: OpenCatalogue, options: Namespace
) -> Sheet:
    from kitreckon.book.count_table import read_count_csv
    from kitreckon.book.sheet import Sheet, none_seen
    from kitreckon.commands.opening import text_of
    from kitreckon.commands.reckoned import chosen
    from kitreckon.count import Visit
    from kitreckon.reading import Reader

    if not book.machines():
        raise KitreckonError(
            "a table is of a machine of the book, and the book holds none",
            where=str(file),
            want="import a count sheet first, or make the machine in kitreckon",
        )
    machine = chosen(book, options.machine)
    preferences = book.preferences()
    reader = Reader(catalogue.kinds, catalogue.rules, book.corrections())
    table = read_count_csv(
        text_of(data, str(file)),
        str(file),
        reader,
        catalogue.kinds,
        preferences.currency,
        _columns(options.column),
    )
    for notice in table.notices:
        complain(str(notice))
    if table.kept and catalogue.language == "en":
        complain("names in another language are read with --language, as --language de")
    outfit = catalogue.outfits.get(machine.machine_class)
    looks = none_seen(table.absent, outfit, table.pieces)
    visit = Visit(machine.id, tuple(table.pieces), looks)
    return Sheet(machine, visit, preferences=preferences)


def _columns(given: Iterable[str]) -> dict[str, str]:
    from kitreckon.book.count_table import HEADINGS
    from kitreckon.catalogue.shapes import nearest

    columns = {}
    for pair in given:
        ours, sign, theirs = pair.partition("=")
        if not sign or not theirs.strip():
            raise KitreckonError(
                f"--column {pair!r} names no heading", want=f"--column {ours or 'thing'}=HEADING"
            )
        if ours not in HEADINGS:
            raise KitreckonError(
                f"--column {pair!r} names no column of ours", want=nearest(ours, tuple(HEADINGS))
            )
        columns[ours] = theirs
    return columns


class Taking:
    """Sheets on their way into a book: all of them are one action, and one write."""

    def __init__(self, book: Book, options: Namespace) -> None:
        self.book = book
        self.options = options
        self.machines = {machine.id: machine for machine in book.machines()}
        self.visits = {machine_id: book.visit(machine_id) for machine_id in self.machines}
        self.shelf = book.shelf()
        self.records: dict[str, list[Any]] = {
            "price": list(book.own_prices()),
            "bought": list(book.purchases()),
            "correction": list(book.corrections()),
        }
        new = not (self.machines or self.records["price"] or self.records["bought"])
        self.wants_settings = new and not book.settings_stored
        self.currency = "" if self.wants_settings else book.preferences().currency
        self.changes: Any = ()
        self.names: list[str] = []
        self.said: list[str] = []

    def take(self, sheet: Sheet, file: Path) -> None:
        """Take one sheet in, which a file held; nothing is stored before ``store``."""
        self._take_settings(sheet, file)
        known = self._known(sheet, file)
        if known is None:
            self._add(sheet)
        else:
            self._merge(sheet, known)
        self._take_own(sheet)
        self.names.append(sheet.machine.name)

    def store(self) -> list[str]:
        """Store what was taken; return lines that say what was done."""
        book = self.book
        for machine_id, machine in self.machines.items():
            self.changes += book.put(machine) + book.put(self.visits[machine_id])
        for piece in self.shelf:
            self.changes += book.put(piece)
        for records in self.records.values():
            for record in records:
                self.changes += book.put(record)
        label = self.names[0] if len(self.names) == 1 else f"{len(self.names)} counts"
        action = book.commit(f"import {label}", self.changes)
        return self.said if action.n else [f"{name}: nothing new" for name in self.names]

    def _take_settings(self, sheet: Sheet, file: Path) -> None:
        """Take the first settings written for a new book; those of the user always stay."""
        theirs = sheet.preferences
        self.currency = self.currency or theirs.currency
        if theirs.currency != self.currency:
            named = "" if sheet.has_settings else ", for it names no currency"
            raise KitreckonError(
                f"the sheet is in {theirs.currency}{named}; the book is in {self.currency}",
                where=f"{file}: {sheet.machine.name}",
                want="prices in the book's currency, or another book (--book)",
            )
        if self.wants_settings and sheet.has_settings:
            self.changes += self.book.put(theirs)
            self.wants_settings = False
            self.said.append(f"settings are those of {sheet.machine.name}")

    def _known(self, sheet: Sheet, file: Path) -> str | None:
        """Return the id of the machine that this is a second count of, if it is one."""
        if self.options.as_new:
            return None
        meant = (sheet.machine.id, sheet.machine.name)
        alike = [one.id for one in self.machines.values() if one.id in meant or one.name in meant]
        if not alike:
            return None
        if not (self.options.merge or is_table(file)):  # a table is of a machine of the book
            raise KitreckonError(
                f"{sheet.machine.name!r} is in the book already",
                where=str(file),
                want="--merge to put both counts together, or --as-new to add another",
            )
        return alike[0]

    def _add(self, sheet: Sheet) -> None:
        wanted = sheet.machine.id
        taken = not wanted or wanted in self.machines
        machine = replace(sheet.machine, id=self.book.next_id("machine") if taken else wanted)
        self.machines[machine.id] = machine
        self.visits[machine.id] = replace(sheet.visit, machine_id=machine.id)
        self.said.append(f"added {machine.name} ({machine.id}): {_pieces(sheet.visit.pieces)}")

    def _merge(self, sheet: Sheet, machine_id: str) -> None:
        from kitreckon.book.merging import merge_machines, merge_visits

        theirs = replace(sheet.visit, machine_id=machine_id)
        merged = merge_visits(self.visits[machine_id], theirs)
        self.visits[machine_id] = merged.visit
        self.machines[machine_id] = merge_machines(self.machines[machine_id], sheet.machine)
        self.said.append(
            f"merged {sheet.machine.name} ({machine_id}): {_pieces(merged.added)} added, "
            f"{len(merged.same)} there already"
        )
        self.said += [
            f"  differs, the book's word stands: {piece.kind or piece.text} ({piece.id})"
            for piece in merged.differing
        ]
        self.said += [
            f"  more of them than the book had, now {piece.qty}: {piece.kind or piece.text} "
            f"({piece.id})"
            for piece in merged.grown
        ]

    def _take_own(self, sheet: Sheet) -> None:
        """Take what goes with the user, not with the machine, once."""
        from kitreckon.book.merging import merge_shelves

        there = {piece.id for piece in self.shelf}
        self.shelf = tuple(
            piece if piece.id in there else replace(piece, id=self.book.next_id("shelf"))
            for piece in merge_shelves(self.shelf, sheet.shelf)
        )
        for prefix, theirs in (
            ("price", sheet.own_prices),
            ("bought", sheet.purchases),
            ("correction", sheet.corrections),
        ):
            self._take_records(prefix, theirs)

    def _take_records(self, prefix: str, theirs: Iterable[Any]) -> None:
        ours = self.records[prefix]
        known = {replace(one, id="") for one in ours}
        for one in theirs:
            if replace(one, id="") not in known:
                ours.append(replace(one, id=self.book.next_id(prefix)))


def _pieces(pieces: Sequence[object]) -> str:
    return f"{len(pieces)} piece{'' if len(pieces) == 1 else 's'}"
