"""``kitreckon report``: one count, told to the buyer, the seller, the shop, the heirs, ..."""

from __future__ import annotations

import argparse
from argparse import Namespace
from collections.abc import Callable
from contextlib import suppress
from typing import TYPE_CHECKING

from kitreckon.commands.arguments import add_book, add_catalogue, add_format
from kitreckon.commands.buy import read_price
from kitreckon.commands.reckoned import (
    Reckoned,
    add_source,
    chosen,
    reckon_sheet,
    reckoned,
    sheet_of,
)

if TYPE_CHECKING:
    from kitreckon.reckoning.model import Reckoning
    from kitreckon.reports.document import Document
    from kitreckon.reports.inventory import WrittenOff

MOST_HOURS = 100_000


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "kind",
        choices=tuple(REPORTS),
        help="; ".join(f"{name}: {about}" for name, (about, _) in REPORTS.items()),
        metavar="KIND",
    )
    add_source(parser)
    parser.add_argument(
        "--price", metavar="N", help="handshake: the price agreed; else a line to write it on"
    )
    parser.add_argument(
        "--hours", metavar="N", type=_hours, help="sale: hours there are for selling singly"
    )
    parser.add_argument(
        "--raw", action="store_true", help="CSV for another program: no guard against formulas"
    )
    add_format(parser)
    add_book(parser)
    add_catalogue(parser)


def _hours(text: str) -> float:
    try:
        hours = float(text)
    except ValueError:
        hours = -1.0
    if not 0 <= hours <= MOST_HOURS:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of hours up to {MOST_HOURS:,}")
    return hours


def run(options: Namespace) -> int:
    """Write the report."""
    from kitreckon.commands.printing import put

    if options.kind == "inventory" and options.sheet is None and options.machine is None:
        return _whole_inventory(options)
    result = reckoned(options)
    _, make = REPORTS[options.kind]
    name = f"{result.reckoning.machine.name}-{options.kind}"
    return put(make(result, options), options, name)


def _buyer(result: Reckoned, options: Namespace) -> Document:
    from kitreckon.reports.buyer import buyer_report

    questions = result.questions()
    return buyer_report(result.reckoning, questions, result.catalogue, result.voice)


def _seller(result: Reckoned, options: Namespace) -> Document:
    from kitreckon.reports.seller import seller_report

    return seller_report(result.reckoning, result.voice)


def _shopping(result: Reckoned, options: Namespace) -> Document:
    from kitreckon.reports.shopping import shopping_report

    return shopping_report(result.reckoning, result.voice)


def _inventory(result: Reckoned, options: Namespace) -> Document:
    from kitreckon.reckoning.shelf import spares
    from kitreckon.reports.inventory import inventory_report

    reckoning, catalogue = result.reckoning, result.catalogue
    spare = spares([reckoning], catalogue)
    shelf = _shelf_reckoned(result, options)
    written_off = _written_off(result)
    return inventory_report(
        [reckoning], spare, result.voice, catalogue, shelf, written_off, named=True
    )


def _written_off(result: Reckoned) -> WrittenOff:
    """Return how old what was bought is today, and how it is written off."""
    from datetime import date

    from kitreckon.reports.inventory import WrittenOff

    today, ages = date.today(), {}
    for purchase in result.reckoning.purchases:
        with suppress(ValueError):  # a date no calendar has leaves the age open
            ages[purchase.id] = (today - date.fromisoformat(purchase.on_date)).days / 365.25
    return WrittenOff(ages, result.catalogue.judgement)


def _shelf_reckoned(result: Reckoned, options: Namespace) -> Reckoning:
    """Return the shelf reckoned as if it were counted: what replacing each thing costs."""
    from dataclasses import replace

    from kitreckon.count import Visit

    sheet = result.sheet
    visit = Visit(sheet.machine.id, pieces=sheet.shelf)
    counted = replace(sheet, visit=visit, shelf=())
    return reckon_sheet(counted, result.catalogue, options).reckoning


def _whole_inventory(options: Namespace) -> int:
    """Write one inventory of all that is owned: machines that are, the shelf, what was bought."""
    from kitreckon.commands.opening import open_book, open_catalogue, tell_problems
    from kitreckon.commands.printing import put
    from kitreckon.reckoning.shelf import spares
    from kitreckon.reports.inventory import inventory_report

    catalogue = open_catalogue(options)
    with open_book(options) as book:
        if not book.machines():
            chosen(book, None)  # says what is wanted
        machines = sorted(book.machines(), key=lambda machine: machine.status != "owned")
        results = [
            reckon_sheet(sheet_of(book, machine), catalogue, options) for machine in machines
        ]
    tell_problems(catalogue)
    reckonings = [result.reckoning for result in results]
    shelf = _shelf_reckoned(results[0], options)
    owned = [reckoning for reckoning in reckonings if reckoning.machine.status == "owned"]
    spare, written_off = spares(owned, catalogue), _written_off(results[0])
    document = inventory_report(reckonings, spare, results[0].voice, catalogue, shelf, written_off)
    return put(document, options, "inventory")


def _sale(result: Reckoned, options: Namespace) -> Document:
    from kitreckon.reckoning.sale import sale
    from kitreckon.reports.sale import sale_report

    sheet = result.sheet
    plan = sale(
        sheet.machine,
        sheet.visit,
        result.catalogue,
        sheet.preferences,
        own_prices=sheet.own_prices,
        purchases=sheet.purchases,
        hours=options.hours,
    )
    currency = sheet.preferences.currency
    return sale_report(sheet.machine, sheet.visit, plan, result.catalogue, currency, result.voice)


def _heirs(result: Reckoned, options: Namespace) -> Document:
    from kitreckon.reports.heirs import heirs_report

    return heirs_report(result.reckoning, result.catalogue, result.voice)


def _handshake(result: Reckoned, options: Namespace) -> Document:
    from kitreckon.reports.handshake import agreed_price, handshake_report

    visit = result.reckoning.visit
    price = agreed_price(visit)
    if options.price is not None:
        price = read_price("--price", options.price, result.reckoning.preferences.currency)
    return handshake_report(result.reckoning.machine, visit, price, result.voice)


def _moving(result: Reckoned, options: Namespace) -> Document:
    from kitreckon.reports.moving import moving_report

    reckoning = result.reckoning
    return moving_report(reckoning.machine, reckoning.visit, result.catalogue, result.voice)


REPORTS: dict[str, tuple[str, Callable[[Reckoned, Namespace], Document]]] = {
    "buyer": ("all figures, for you alone", _buyer),
    "seller": ("what is missing, faulty, dangerous; no offer", _seller),
    "shopping": ("what to buy, with boxes to tick", _shopping),
    "inventory": ("everything you own, for shop or insurer", _inventory),
    "sale": ("what goes with the machine, what to sell singly", _sale),
    "heirs": ("plain words for who has to deal with it", _heirs),
    "handshake": ("what was agreed, to sign", _handshake),
    "moving": ("getting it home", _moving),
}
