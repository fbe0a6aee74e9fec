"""``kitreckon compare``: two or more machines side by side."""

from __future__ import annotations

import argparse
from argparse import Namespace
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitreckon.commands.arguments import add_book, add_catalogue, add_format, add_json
from kitreckon.commands.reckoned import Reckoned, add_settings, reckon_sheet, sheet_of
from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.book.sheet import Sheet
    from kitreckon.catalogue.load import OpenCatalogue
    from kitreckon.reckoning.comparison import Comparison, Side


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "sheets",
        nargs="*",
        type=Path,
        metavar="SHEET",
        help="two or more count sheets; none: the machines for sale in the book",
    )
    parser.add_argument(
        "--tier",
        choices=("essential", "usual", "handy"),
        default="essential",
        help="equipped with what is essential (the default), usual or handy",
    )
    add_settings(parser)
    add_json(parser)
    add_format(parser)
    add_book(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Print the comparison."""
    from kitreckon.commands.opening import open_catalogue, tell_problems, told_where_refused
    from kitreckon.reckoning import compare

    catalogue = open_catalogue(options)
    with told_where_refused(catalogue):
        sheets = _sheets(options, catalogue)
        results = [reckon_sheet(sheet, catalogue, options) for sheet in sheets]
        first = results[0]
        comparison = compare([one.reckoning for one in results], options.tier, first.catalogue)
    tell_problems(first.catalogue)
    if options.json:
        from kitreckon.commands.printing import to_json

        print(to_json(comparison_data(comparison, first)))
        return 0
    from kitreckon.commands.printing import put
    from kitreckon.reports.comparing import comparison_report

    currency = first.reckoning.preferences.currency
    return put(comparison_report(comparison, currency, first.voice), options, "comparison")


def _sheets(options: Namespace, catalogue: OpenCatalogue) -> list[Sheet]:
    from kitreckon.commands.opening import Refusals, open_book, open_sheet

    if options.sheets:
        sheets, refusals = [], Refusals()
        for path in options.sheets:
            with refusals.noted():
                sheets.append(open_sheet(path, catalogue))
        refusals.refuse()
        return _told_apart(sheets)
    with open_book(options) as book:
        for_sale = [one for one in book.machines() if one.status == "for-sale"]
        if not for_sale:
            raise KitreckonError(
                "the book holds no machine for sale",
                where=str(book.path),
                want="name two or more count sheets",
            )
        return [sheet_of(book, one) for one in for_sale]


def _told_apart(sheets: list[Sheet]) -> list[Sheet]:
    """Give machines of one id their own: two sheets may call theirs the same."""
    apart: list[Sheet] = []
    for sheet in sheets:
        taken = {other.machine.id for other in apart}
        number, machine_id = 2, sheet.machine.id
        while machine_id in taken:
            machine_id = f"{sheet.machine.id}-{number}"
            number += 1
        machine = replace(sheet.machine, id=machine_id)
        visit = replace(sheet.visit, machine_id=machine_id)
        apart.append(replace(sheet, machine=machine, visit=visit))
    return apart


def comparison_data(comparison: Comparison, result: Reckoned) -> dict[str, Any]:
    """Return the comparison for other programs; money in minor units."""
    from kitreckon.commands.printing import minor

    voice, turn = result.voice, comparison.reversal
    return {
        "currency": result.reckoning.preferences.currency,
        "tier": comparison.tier,
        "machines": [_side(side, result) for side in comparison.sides],
        "cheaper": [
            {"first": first, "other": other, "chance": round(chance, 4)}
            for first, other, chance in comparison.cheaper
        ],
        "reversal": None
        if turn is None
        else {
            "fact": voice.words.say(turn.fact, voice.style),
            "chance": round(turn.chance, 4),
            "changes": minor(turn.changes),
        },
        "price_gap": comparison.price_gap.minor if comparison.price_gap is not None else None,
        "warnings": list(voice.why(comparison.warnings)),
    }


def _side(side: Side, result: Reckoned) -> dict[str, Any]:
    from kitreckon.commands.printing import minor, points
    from kitreckon.quantities.money import round_half_up
    from kitreckon.reports.comparing import PARTS

    return {
        "id": side.machine_id,
        "name": side.name,
        "class": side.machine_class,
        "price": minor(side.price),
        "total": points(side.total) if side.total is not None else None,
        "mean": minor(side.mean),
        "parts": {part: round_half_up(side.part(part)) for part in PARTS},
        "why": list(result.voice.why(side.reasons)),
        "walk_away": list(result.voice.why(side.walk_away)),
    }
