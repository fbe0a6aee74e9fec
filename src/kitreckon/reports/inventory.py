"""Everything that is here, for the shop's own list or for the insurer."""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.count import Piece
from kitreckon.quantities import Money
from kitreckon.reckoning.model import Reckoning
from kitreckon.reports.document import (
    Amount,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice, whole


def inventory_report(reckoning: Reckoning, voice: Voice) -> Document:
    """Return the list of pieces with what replacing each would cost, and what is on the shelf."""
    pieces = [piece for piece in reckoning.visit.pieces if not piece.his]
    parts: list[Part] = [
        Paragraph(voice.say("report-inventory-lead", currency=reckoning.preferences.currency)),
        Facts(voice.machine_facts(reckoning.machine)),
        Heading(voice.say("report-pieces")),
        Table(_columns(voice), tuple(_row(reckoning, piece, voice) for piece in pieces)),
        Facts(((voice.say("report-total-new"), voice.money(_total(reckoning, pieces))),)),
        *_shelf(reckoning, voice),
    ]
    title = voice.say("report-inventory-title", machine=reckoning.machine.name)
    return Document(title, tuple(parts))


def _columns(voice: Voice) -> tuple[Column, ...]:
    return (
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.left("report-state"),
        voice.right("report-replacement"),
        voice.left("report-photo"),
        voice.left("report-note"),
    )


def _row(reckoning: Reckoning, piece: Piece, voice: Voice) -> tuple[Cell, ...]:
    value = reckoning.values.get(piece.id)
    figure: Cell = Amount("")
    if value is not None:
        figure = voice.rounded(value.replacement.typical) if value.priced else Amount("?")
    return (
        voice.count(piece),
        voice.thing(piece),
        voice.condition(piece),
        figure,
        piece.photo,
        piece.note,
    )


def _total(reckoning: Reckoning, pieces: list[Piece]) -> Money:
    total = Money.zero(reckoning.preferences.currency)
    for piece in pieces:
        value = reckoning.values.get(piece.id)
        if value is not None and value.priced:
            total += value.replacement.typical
    return whole(total)


def _shelf(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    if not reckoning.shelf:
        return
    yield Heading(voice.say("report-shelf"))
    rows = tuple(_row(reckoning, piece, voice) for piece in reckoning.shelf)
    yield Table(_columns(voice), rows)
