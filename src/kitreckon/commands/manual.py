"""``kitreckon manual``: the manual page, made from the parser so that it cannot drift."""

from __future__ import annotations

import argparse
from argparse import Namespace

from kitreckon import __version__


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "--roff", action="store_true", help="as a man page, for man -l - or kitreckon.1"
    )


def run(options: Namespace) -> int:
    """Print the manual page."""
    from kitreckon.commands.arguments import COMMANDS, build_parser

    parser = build_parser(COMMANDS)
    print(man_page(parser) if options.roff else plain_manual(parser), end="")
    return 0


_EXIT = (
    ("0", "done"),
    ("1", "the input was refused, or a file could not be read or written"),
    ("2", "wrong usage, or no terminal"),
    ("130", "interrupted from the keyboard"),
    ("141", "the pipe was closed"),
    ("143", "ended by a signal"),
)
_ENVIRONMENT = (
    ("KITRECKON_BOOK", "the book to use when --book is not given"),
    ("XDG_DATA_HOME", "where the data folder lies; ~/.local/share when it is not set"),
    ("NO_COLOR", "any value: the terminal interface shows no colours"),
)


def plain_manual(parser: argparse.ArgumentParser) -> str:
    """Return the help of the program and of every command, one after another."""
    from kitreckon.commands.arguments import subparsers

    parts = [parser.format_help()]
    parts += [command.format_help() for command in subparsers(parser).values()]
    parts.append("exit codes:\n" + "".join(f"  {code:4} {text}\n" for code, text in _EXIT))
    parts.append("environment:\n" + "".join(f"  {name:16} {text}\n" for name, text in _ENVIRONMENT))
    return "\n".join(parts)


def man_page(parser: argparse.ArgumentParser) -> str:
    """Return the page in the language of man pages."""
    from kitreckon.commands.arguments import subparsers

    lines = [
        f'.TH KITRECKON 1 "" "kitreckon {__version__}" "User Commands"',
        ".SH NAME",
        r"kitreckon \- count the tooling of a used lathe or mill and reckon what it adds",
        ".SH SYNOPSIS",
        ".B kitreckon\n[\\fIoptions\\fR] [\\fICOMMAND\\fR] ...",
        ".SH DESCRIPTION",
        _roff(parser.description or ""),
        ".SH OPTIONS",
        *_options(parser),
        ".SH COMMANDS",
    ]
    for name, command in subparsers(parser).items():
        lines += [f".SS {name}", _roff(command.description or ""), *_options(command)]
    lines += [".SH EXIT STATUS", *_terms(_EXIT), ".SH ENVIRONMENT", *_terms(_ENVIRONMENT)]
    return "\n".join(lines) + "\n"


def _options(parser: argparse.ArgumentParser) -> list[str]:
    lines = []
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction | argparse._HelpAction):
            continue
        name = ", ".join(action.option_strings) or str(action.metavar or action.dest)
        if action.option_strings and action.metavar:
            name += f" {action.metavar}"
        choices = f" ({', '.join(map(str, action.choices))})" if action.choices else ""
        lines += [".TP", rf"\fB{_roff(name)}\fR", _roff((action.help or "") + choices)]
    return lines


def _terms(rows: tuple[tuple[str, str], ...]) -> list[str]:
    return [line for term, text in rows for line in (".TP", rf"\fB{_roff(term)}\fR", _roff(text))]


def _roff(text: str) -> str:
    escaped = text.replace("\\", r"\e").replace("-", r"\-")
    return r"\&" + escaped if escaped.startswith((".", "'")) else escaped
