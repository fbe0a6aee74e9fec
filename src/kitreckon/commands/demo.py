"""``kitreckon demo``: the example, on a copy that is thrown away."""

from __future__ import annotations

import argparse
from argparse import Namespace
from typing import TYPE_CHECKING

from kitreckon.commands.arguments import add_catalogue

if TYPE_CHECKING:
    from kitreckon.book import Book


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Open the interface on a copy of the example book; without a terminal print a reckoning."""
    from kitreckon.commands.interface import run_interface
    from kitreckon.commands.open_ import on_terminal
    from kitreckon.commands.opening import data_folder, open_catalogue
    from kitreckon.commands.throw_away import throw_away

    with throw_away() as copies:
        book = copies.open()
        if not on_terminal():
            return _print(book, options)
        from kitreckon.screens.app import run as run_app

        catalogue = open_catalogue(options)
        return run_interface(
            lambda: run_app(book, catalogue, demo=True, open_demo=copies.open), data_folder()
        )


def _print(book: Book, options: Namespace) -> int:
    """Print what the interface would show of the first machine of the example."""
    from kitreckon.commands.opening import open_catalogue, tell_problems
    from kitreckon.commands.reckon import reckoning_text
    from kitreckon.commands.reckoned import counts_of, reckon_sheet, sheet_of

    sheet = sheet_of(book, book.machines()[0])
    result = reckon_sheet(sheet, open_catalogue(options), options, counts_of(book))
    tell_problems(result.catalogue)
    print(reckoning_text(result), end="")
    return 0
