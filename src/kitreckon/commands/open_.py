"""``kitreckon`` alone: the terminal interface on the book."""

from __future__ import annotations

import argparse
import sys
from argparse import Namespace

from kitreckon.commands.arguments import add_book, add_catalogue
from kitreckon.commands.streams import complain

NO_TERMINAL = 2


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the program takes without a command."""
    parser.add_argument("--no-mouse", action="store_true", help="leave the mouse to the terminal")
    add_book(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Open the interface; without a terminal say what works without one."""
    if not on_terminal():
        complain("no terminal: the interface needs one")
        complain("kitreckon reckon SHEET and kitreckon read FILE work without; see --help")
        return NO_TERMINAL
    from kitreckon.commands.interface import run_interface
    from kitreckon.commands.opening import open_book, open_catalogue
    from kitreckon.commands.throw_away import throw_away
    from kitreckon.screens.app import run as run_app

    with throw_away() as copies, open_book(options) as book:
        catalogue = open_catalogue(options, book.preferences().language)
        return run_interface(
            lambda: run_app(book, catalogue, no_mouse=options.no_mouse, open_demo=copies.open),
            book.path.parent,
        )


def on_terminal() -> bool:
    """Return whether both keyboard and screen are a terminal."""
    streams = (sys.stdin, sys.stdout)
    return all(stream is not None and stream.isatty() for stream in streams)
