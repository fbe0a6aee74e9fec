"""``kitreckon form``: a blank paper count form, on one or two pages."""

from __future__ import annotations

import argparse
from argparse import Namespace

from kitreckon.commands.arguments import add_catalogue, add_format, add_style
from kitreckon.errors import KitreckonError


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "machine_class", nargs="?", metavar="CLASS", help="class of machine; none: list them"
    )
    add_style(parser)
    add_format(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Print the form, or the classes there are."""
    from kitreckon.catalogue.shapes import nearest
    from kitreckon.catalogue.words import Style
    from kitreckon.commands.opening import open_catalogue, tell_problems
    from kitreckon.commands.printing import put
    from kitreckon.reports.form import form_report
    from kitreckon.reports.voice import Voice

    catalogue = open_catalogue(options, options.language)
    voice = Voice(catalogue.words, Style(options.units, options.words))
    outfits = catalogue.outfits
    if options.machine_class not in outfits:
        tell_problems(catalogue)
    if options.machine_class is None:
        for name in outfits:
            print(f"{name:24}{voice.term('class', name)}")
        return 0
    outfit = outfits.get(options.machine_class)
    if outfit is None:
        raise KitreckonError(
            f"unknown class {options.machine_class!r}",
            want=nearest(options.machine_class, tuple(outfits)),
        )
    document = form_report(outfit, catalogue, voice)
    tell_problems(catalogue)
    return put(document, options, f"form-{outfit.machine_class}")
