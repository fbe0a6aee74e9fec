"""A reckoning of a count sheet, or of a machine in the book: what most commands start from."""

from __future__ import annotations

import argparse
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.book import Book
    from kitreckon.book.sheet import Sheet
    from kitreckon.catalogue.load import OpenCatalogue
    from kitreckon.count import Machine, Visit
    from kitreckon.reckoning.model import Question, Reckoning
    from kitreckon.reports.voice import Voice


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A reckoning with all that is needed to say it."""

    sheet: Sheet
    reckoning: Reckoning
    catalogue: OpenCatalogue
    voice: Voice

    def questions(self, limit: int = 5) -> tuple[Question, ...]:
        """Return what to find out next."""
        from kitreckon.reckoning import next_questions

        return next_questions(self.reckoning, self.catalogue, limit)


def add_source(parser: argparse.ArgumentParser) -> None:
    """Add SHEET, --machine and the settings that may be given for one run."""
    parser.add_argument(
        "sheet", nargs="?", type=Path, metavar="SHEET", help="a count sheet; none: from the book"
    )
    parser.add_argument(
        "--machine", metavar="NAME", help="which machine of the book (its name or id)"
    )
    add_settings(parser)


def add_settings(parser: argparse.ArgumentParser) -> None:
    """Add the settings of one run: units, words, power."""
    parser.add_argument("--units", choices=("in", "mm"), help="units to show")
    parser.add_argument("--words", choices=("british", "american"), help="words to show")
    parser.add_argument("--language", metavar="CODE", help="language of the names of things")
    parser.add_argument(
        "--power",
        type=_share,
        metavar="0..1",
        help="bargaining power: 0 the seller's, 1 yours",
    )


def _share(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value <= 1:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number from 0 to 1")
    return value


def reckoned(options: Namespace) -> Reckoned:
    """Reckon the sheet, or the machine of the book, that the options name."""
    from kitreckon.commands.opening import open_catalogue, tell_problems, told_where_refused

    catalogue = open_catalogue(options)
    with told_where_refused(catalogue):
        if options.sheet is not None:
            result = reckon_sheet(source_sheet(options, catalogue), catalogue, options)
        else:
            result = _from_book(options, catalogue)
    tell_problems(result.catalogue)
    return result


def _from_book(options: Namespace, catalogue: OpenCatalogue) -> Reckoned:
    """Reckon a machine of the book; the others for sale in it may cap what it is worth."""
    from kitreckon.commands.opening import open_book

    with open_book(options) as book:
        machine = chosen(book, options.machine)
        return reckon_sheet(sheet_of(book, machine), catalogue, options, counts_of(book))


def reckon_sheet(
    sheet: Sheet,
    catalogue: OpenCatalogue,
    options: Namespace,
    book: Sequence[tuple[Machine, Visit]] = (),
) -> Reckoned:
    """Reckon one sheet with the settings of this run, among the machines of a book."""
    from kitreckon.catalogue.words import Style
    from kitreckon.commands.opening import open_catalogue
    from kitreckon.reckoning import reckon_among
    from kitreckon.reports.voice import Voice

    wanted = {
        name: value
        for name in ("units", "words", "language", "power")
        if (value := getattr(options, name, None)) is not None
    }
    sheet = replace(sheet, preferences=replace(sheet.preferences, **wanted))
    preferences = sheet.preferences
    if preferences.language != "en":
        catalogue = open_catalogue(options, preferences.language)
    reckoning = reckon_among(
        sheet.machine,
        sheet.visit,
        book,
        catalogue,
        preferences,
        shelf=sheet.shelf,
        own_prices=sheet.own_prices,
        purchases=sheet.purchases,
    )
    voice = Voice(catalogue.words, Style.of(preferences), catalogue.outfits)
    return Reckoned(sheet, reckoning, catalogue, voice)


def source_sheet(options: Namespace, catalogue: OpenCatalogue) -> Sheet:
    """Return the sheet given, or the machine of the book as a sheet."""
    from kitreckon.commands.opening import open_book, open_sheet

    if options.sheet is not None:
        sheet = open_sheet(options.sheet, catalogue)
        if options.machine not in (None, sheet.machine.id, sheet.machine.name):
            raise KitreckonError(
                f"the sheet is of {sheet.machine.name!r}, not of {options.machine!r}",
                where=str(options.sheet),
                want="--machine without a SHEET, for a machine of the book",
            )
        return sheet
    with open_book(options) as book:
        return sheet_of(book, chosen(book, options.machine))


def sheet_of(book: Book, machine: Machine) -> Sheet:
    """Return a machine of the book, with what of the user's own goes with it, as a sheet."""
    from kitreckon.book.sheet import Sheet

    return Sheet(
        machine,
        book.visit(machine.id),
        book.shelf(),
        book.own_prices(),
        book.preferences(),
        book.purchases(),
        book.corrections(),
        has_settings=book.settings_stored,
    )


def counts_of(book: Book) -> tuple[tuple[Machine, Visit], ...]:
    """Return the machines of a book, each with its count."""
    return tuple((machine, book.visit(machine.id)) for machine in book.machines())


def chosen(book: Book, name: str | None) -> Machine:
    """Return the machine meant; the only one when there is one and none was named."""
    machines = book.machines()
    if name is None and len(machines) == 1:
        return machines[0]
    found = [machine for machine in machines if name in (machine.id, machine.name)]
    if len(found) == 1:
        return found[0]
    there = ", ".join(f"{machine.name} ({machine.id})" for machine in machines)
    if not machines:
        raise KitreckonError("the book holds no machine", where=str(book.path), want="name a SHEET")
    what = f"{len(found)} machines are called {name!r}" if found else f"no machine {name!r}"
    if name is None:
        what = "the book holds more than one machine"
    raise KitreckonError(what, where=str(book.path), want=f"--machine with one of: {there}")
