"""``kitreckon demo``: the example, on a copy that is thrown away."""

from __future__ import annotations

import argparse
import shutil
import tempfile
from argparse import Namespace
from pathlib import Path

from kitreckon.commands.arguments import add_catalogue


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Open the interface on a copy of the example book; without a terminal print a reckoning."""
    from kitreckon.commands.open_ import on_terminal
    from kitreckon.commands.opening import examples_folder

    with tempfile.TemporaryDirectory(prefix="kitreckon-demo-") as folder:
        copy = Path(folder) / "book.json"
        shutil.copyfile(examples_folder() / "book.json", copy)
        options.book = copy
        return _show(options) if on_terminal() else _print(options)


def _show(options: Namespace) -> int:
    from kitreckon.commands.opening import open_book, open_catalogue
    from kitreckon.screens.app import run as run_interface

    with open_book(options) as book:
        return run_interface(book, open_catalogue(options), demo=True)


def _print(options: Namespace) -> int:
    """Print what the interface would show of the first machine of the example."""
    from kitreckon.commands.opening import open_book, open_catalogue
    from kitreckon.commands.reckon import reckoning_text
    from kitreckon.commands.reckoned import reckon_sheet, sheet_of

    catalogue = open_catalogue(options)
    with open_book(options) as book:
        sheet = sheet_of(book, book.machines()[0])
    print(reckoning_text(reckon_sheet(sheet, catalogue, options)), end="")
    return 0
