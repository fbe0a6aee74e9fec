"""``kitreckon buy``: the best list of what to buy within a budget."""

from __future__ import annotations

import argparse
from argparse import Namespace
from typing import TYPE_CHECKING, Any

from kitreckon.commands.arguments import add_book, add_catalogue, add_format, add_json
from kitreckon.commands.reckoned import add_source, reckoned
from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.commands.reckoned import Reckoned
    from kitreckon.quantities import Money
    from kitreckon.reckoning.shopping import Alternative, ShoppingList


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_source(parser)
    parser.add_argument(
        "--budget", required=True, metavar="N", help="what may be spent, in the sheet's currency"
    )
    parser.add_argument(
        "--supply",
        action="append",
        choices=("used", "new-import", "new-name-brand"),
        help="only from here; may be given again (else from anywhere)",
    )
    add_json(parser)
    add_format(parser)
    add_book(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Print the list."""
    from kitreckon.reckoning import shopping

    result = reckoned(options)
    budget = read_price("--budget", options.budget, result.reckoning.preferences.currency)
    supplies = {"supplies": tuple(options.supply)} if options.supply else {}
    best = shopping(result.reckoning, budget, result.catalogue, **supplies)
    if options.json:
        from kitreckon.commands.printing import to_json

        print(to_json(shopping_data(best, result)))
        return 0
    from kitreckon.commands.printing import put
    from kitreckon.reports.shopping import buying_report

    document = buying_report(result.reckoning, best, result.catalogue, result.voice)
    return put(document, options, f"{result.reckoning.machine.name}-buy")


def read_price(flag: str, typed: str, currency: str) -> Money:
    """Return a price typed after a flag; KitreckonError names the flag."""
    from kitreckon.quantities import QuantityError, read_money

    try:
        return read_money(typed, currency)
    except QuantityError as error:
        raise KitreckonError(error.what, where=flag, want=error.want) from error


def shopping_data(best: ShoppingList, result: Reckoned) -> dict[str, Any]:
    """Return the list in the shape other programs rely on; money in minor units."""
    from kitreckon.commands.printing import points

    return {
        "currency": best.budget.currency,
        "buy": [
            {
                "want": line.want,
                "kind": line.kind,
                "qty": line.qty,
                "supply": line.supply,
                "cost": line.cost.minor,
                "tier": line.tier,
                "goes_with": line.goes_with,
                "piece": line.piece_id,
                "if_it_fits": line.if_it_fits,
            }
            for line in best.buy
        ],
        "total": best.total.minor,
        "total_range": points(best.total_range),
        "budget": best.budget.minor,
        "worth": best.worth,
        "runner_up": _alternative(best.runner_up),
        "a_little_more": _alternative(best.a_little_more),
        "proven_optimal": best.proven_optimal,
        "off_by_at_most": best.off_by_at_most,
        "left_out": [
            {"want": want, "why": result.voice.words.say(why, result.voice.style)}
            for want, why in best.left_out
        ],
    }


def _alternative(other: Alternative | None) -> dict[str, Any] | None:
    if other is None:
        return None
    return {
        "adds": list(other.adds),
        "drops": list(other.drops),
        "total": other.total.minor,
        "worth": other.worth,
    }
