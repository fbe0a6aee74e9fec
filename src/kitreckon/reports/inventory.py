"""Everything that is here, for the shop's own list or for the insurer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from kitreckon.count import Piece
from kitreckon.quantities import Money
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.shelf import Spare
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


def inventory_report(
    reckonings: Sequence[Reckoning], spares: Sequence[Spare], voice: Voice
) -> Document:
    """Return the pieces of one or more machines, what replacing each costs, the shelf, spares.

    The reckonings are of one book or sheet: they share their settings and their shelf.
    """
    first = reckonings[0]
    currency = first.preferences.currency
    several = len(reckonings) > 1
    parts: list[Part] = [Paragraph(voice.say("report-inventory-lead", currency=currency))]
    total = Money.zero(currency)
    for reckoning in reckonings:
        pieces = [piece for piece in reckoning.visit.pieces if not piece.his]
        heading = reckoning.machine.name if several else voice.say("report-pieces")
        facts = Facts(voice.machine_facts(reckoning.machine))
        table = Table(_columns(voice), tuple(_row(reckoning, piece, voice) for piece in pieces))
        parts += [Heading(heading), facts, table] if several else [facts, Heading(heading), table]
        total += _total(reckoning, pieces)
    parts.append(Facts(((voice.say("report-total-new"), voice.money(total)),)))
    parts += [*_shelf(first, voice), *_spares(reckonings, spares, voice)]
    title = voice.say("report-inventory-all")
    if not several:
        title = voice.say("report-inventory-title", machine=first.machine.name)
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


def _spares(
    reckonings: Sequence[Reckoning], spares: Sequence[Spare], voice: Voice
) -> Iterator[Part]:
    """Say what no machine uses, and where it would fill what is missing."""
    if not spares:
        return
    yield Heading(voice.say("report-spares"))
    names = {reckoning.machine.id: reckoning.machine.name for reckoning in reckonings}
    pieces = {
        (reckoning.machine.id, piece.id): piece
        for reckoning in reckonings
        for piece in reckoning.visit.pieces
    }
    pieces |= {("", piece.id): piece for piece in reckonings[0].shelf}
    columns = (
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.left("report-spare-from"),
        voice.left("report-spare-fills"),
        voice.right("report-part-out"),
    )
    rows: list[tuple[Cell, ...]] = []
    for spare in spares:
        wanted = dict.fromkeys(names[machine_id] for machine_id, _ in spare.fills)
        rows.append(
            (
                Amount(str(spare.units), spare.units),
                voice.thing(pieces[spare.machine_id, spare.piece_id]),
                names.get(spare.machine_id) or voice.say("report-spare-shelf"),
                ", ".join(wanted),
                voice.rounded(spare.fetches),
            )
        )
    yield Table(columns, tuple(rows))
