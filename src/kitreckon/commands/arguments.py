"""What can be typed after ``kitreckon``: the table of commands and the parser made from it."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Sequence
from importlib import import_module
from pathlib import Path
from typing import Any

from kitreckon import __version__

Run = Callable[[argparse.Namespace], int]

# Command -> what it does. The module has the command's name ("import" is import_).
COMMANDS: dict[str, str] = {
    "demo": "try it on a throw-away copy of the example book",
    "read": "read an advert, or typed lines, into pieces",
    "reckon": "reckon a count sheet: fit, cover, missing, value, offer",
    "buy": "the best list of what to buy within a budget",
    "compare": "two or more machines side by side",
    "identify": "name an unmarked taper, socket, thread, nose or collet",
    "report": "write a report: for you, the seller, the shop, the heirs, ...",
    "form": "a blank paper count form for a class of machine",
    "import": "take a count sheet, a CSV file or a whole book into the book",
    "export": "write a machine's count, or the whole book, out of the book",
    "history": "list earlier generations of the book, or go back to one",
    "check": "find the faults of catalogue files and count sheets",
    "completion": "print a completion script for bash, zsh or fish",
    "manual": "print the manual page",
}


def read_arguments(given: Sequence[str]) -> tuple[Run, argparse.Namespace]:
    """Return the command's function and its options; argparse exits 2 on wrong usage."""
    parser = build_parser(given)
    head, name, rest = _split(given)
    if name not in COMMANDS:
        options = parser.parse_args(given)
        return options.run, options
    options = parser.parse_args(head)
    del options.run  # the command's own takes its place
    # intermixed: people type a sheet before, between or after the options
    options = subparsers(parser)[name].parse_intermixed_args(rest, options)
    return options.run, options


def _split(given: Sequence[str]) -> tuple[list[str], str, list[str]]:
    """Return what stands before the command, the command, and what stands after it."""
    words = list(given)
    spot = 0
    while spot < len(words) and words[spot].startswith("-"):
        spot += 2 if words[spot] in ("--book", "--catalogue") else 1
    name = words[spot] if spot < len(words) else ""
    return words[:spot], name, words[spot + 1 :]


def subparsers(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """Return the parser of each command."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def build_parser(wanted: Iterable[str]) -> argparse.ArgumentParser:
    """Return the parser, whole for the commands in ``wanted``; of the others it knows the name."""
    from kitreckon.commands import open_

    parser = argparse.ArgumentParser(
        prog="kitreckon",
        description="Count the tooling that comes with a used lathe or mill, and reckon what it "
        "adds to your offer. Without a command: open the terminal interface on the book.",
        epilog="kitreckon COMMAND --help says more of a command.",
    )
    parser.add_argument("--version", action="version", version=f"kitreckon {__version__}")
    open_.add_arguments(parser)
    parser.set_defaults(run=open_.run)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    for name, does in COMMANDS.items():
        command = commands.add_parser(name, help=does, description=f"{name}: {does}.")
        if name in wanted:
            module: Any = import_module(f"kitreckon.commands.{module_name(name)}")
            module.add_arguments(command)
            command.set_defaults(run=module.run)
    return parser


def module_name(command: str) -> str:
    """Return the module of a command; a Python keyword takes an underscore."""
    return "import_" if command == "import" else command


def add_catalogue(parser: argparse.ArgumentParser) -> None:
    """Add --catalogue: folders of catalogue files laid over the built-in ones."""
    parser.add_argument(
        "--catalogue",
        metavar="DIR",
        type=Path,
        action="append",
        default=argparse.SUPPRESS,
        help="lay this folder of catalogue files over the built-in ones; may be given again",
    )


def add_book(parser: argparse.ArgumentParser) -> None:
    """Add --book: another book than the default one."""
    parser.add_argument(
        "--book",
        metavar="FILE",
        type=Path,
        default=argparse.SUPPRESS,
        help="the book to use (else $KITRECKON_BOOK, else the one in your data folder)",
    )


def add_json(parser: argparse.ArgumentParser) -> None:
    """Add --json: data for other programs."""
    parser.add_argument("--json", action="store_true", help="print JSON for other programs")


def add_style(parser: argparse.ArgumentParser) -> None:
    """Add --units, --words and --language for commands that know no sheet's settings."""
    parser.add_argument("--units", choices=("in", "mm"), default="in", help="units to show")
    parser.add_argument(
        "--words", choices=("british", "american"), default="american", help="words to show"
    )
    parser.add_argument(
        "--language", metavar="CODE", default="en", help="language of the names of things"
    )


def add_format(parser: argparse.ArgumentParser) -> None:
    """Add --format, --output and --overwrite."""
    parser.add_argument(
        "--format",
        choices=("text", "markdown", "html", "csv"),
        default="text",
        help="how to write it: HTML prints well, CSV holds the tables",
    )
    add_output(parser)


def add_output(parser: argparse.ArgumentParser) -> None:
    """Add --output and --overwrite."""
    parser.add_argument(
        "-o",
        "--output",
        metavar="FILE",
        type=Path,
        help="write to this file, or into this folder, not to the screen",
    )
    parser.add_argument(
        "--overwrite", action="store_true", help="write over the file if it is there already"
    )
