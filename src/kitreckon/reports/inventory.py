"""Everything that is here, for the shop's own list or for the insurer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from kitreckon.catalogue.model import Judgement
from kitreckon.count import Machine, Piece, Purchase
from kitreckon.quantities import Money
from kitreckon.reckoning.depreciation import book_value
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


@dataclass(frozen=True, slots=True)
class WrittenOff:
    """The age of each purchase in years, by its id, and how things are written off."""

    ages: Mapping[str, float]
    judgement: Judgement


def inventory_report(
    reckonings: Sequence[Reckoning],
    spares: Sequence[Spare],
    voice: Voice,
    shelf: Reckoning | None = None,
    written_off: WrittenOff | None = None,
) -> Document:
    """Return the pieces of one or more machines, what replacing each costs, the shelf, spares.

    The reckonings are of one book or sheet: they share their settings and their shelf.
    shelf: the shelf reckoned as if counted, for what replacing it costs. written_off: how old
    what was bought is, for what it stands at in the books.
    """
    first = reckonings[0]
    several = len(reckonings) > 1
    parts: list[Part] = [
        Paragraph(voice.say("report-inventory-lead", currency=first.preferences.currency))
    ]
    for reckoning in reckonings:
        heading = reckoning.machine.name if several else voice.say("report-pieces")
        facts = Facts(voice.machine_facts(reckoning.machine))
        table = _machine_table(reckoning, voice)
        parts += [Heading(heading), facts, table] if several else [facts, Heading(heading), table]
    parts += [*_shelf(first, shelf, voice), *_spares(reckonings, spares, voice)]
    if written_off is not None:
        parts += _bought(first.purchases, written_off, voice)
    title = voice.say("report-inventory-all")
    if not several:
        title = voice.say("report-inventory-title", machine=first.machine.name)
    return Document(title, tuple(parts))


def _machine_table(reckoning: Reckoning, voice: Voice) -> Table:
    """Return the machine itself, what belongs to it, and the sum of what replacing that costs."""
    pieces = [piece for piece in reckoning.visit.pieces if not piece.his]
    rows = [_machine_row(reckoning.machine, voice)]
    rows += [_row(reckoning, piece, voice) for piece in pieces]
    rows.append(_sum_row("report-total-new", _total(reckoning, pieces), voice))
    return Table(_columns(voice), tuple(rows))


def _machine_row(machine: Machine, voice: Voice) -> tuple[Cell, ...]:
    bare = machine.bare_price
    figure = voice.rounded(bare.typical) if bare is not None else Amount("?")
    note = voice.say("report-inventory-machine") if bare is not None else ""
    number = machine.serial_number
    name = f"{machine.name}, {number}" if number else machine.name
    return (Amount("1", 1), name, "", figure, "", note)


def _sum_row(label: str, total: Money, voice: Voice) -> tuple[Cell, ...]:
    return ("", voice.say(label), "", voice.rounded(total), "", "")


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
        figure = voice.rounded(value.replacement_mean) if value.priced else Amount("?")
    return (
        voice.count(piece),
        voice.thing(piece),
        voice.condition(piece),
        figure,
        piece.photo,
        piece.note,
    )


def _total(reckoning: Reckoning, pieces: Sequence[Piece]) -> Money:
    total = Money.zero(reckoning.preferences.currency)
    for piece in pieces:
        value = reckoning.values.get(piece.id)
        if value is not None and value.priced:
            total += value.replacement_mean
    return whole(total)


def _shelf(first: Reckoning, valued: Reckoning | None, voice: Voice) -> Iterator[Part]:
    if not first.shelf:
        return
    yield Heading(voice.say("report-shelf"))
    source = valued if valued is not None else first
    rows = [_row(source, piece, voice) for piece in first.shelf]
    if valued is not None:
        rows.append(_sum_row("report-inventory-shelf-total", _total(valued, first.shelf), voice))
    yield Table(_columns(voice), tuple(rows))


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


def _bought(purchases: Sequence[Purchase], written_off: WrittenOff, voice: Voice) -> Iterator[Part]:
    """List what was bought, and what it stands at in the books; no market price."""
    if not purchases:
        return
    judgement = written_off.judgement
    years = round(judgement.book_years)
    yield Heading(voice.say("report-bought"))
    columns = (
        voice.left("report-bought-on"),
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.right("report-paid"),
        voice.right("report-book-value"),
    )
    rows: list[tuple[Cell, ...]] = []
    for purchase in purchases:
        age = written_off.ages.get(purchase.id)
        rows.append(
            (
                purchase.on_date,
                Amount(str(purchase.qty), purchase.qty),
                voice.kind(purchase.kind),
                voice.rounded(purchase.price),
                _stands_at(purchase.price, age, judgement, voice),
            )
        )
    yield Table(columns, tuple(rows))
    share = round(judgement.book_salvage * 100)
    yield Paragraph(voice.say("report-book-value-how", years=years, share=share))


def _stands_at(paid: Money, age: float | None, judgement: Judgement, voice: Voice) -> Amount:
    if age is None:
        return Amount("?")
    salvage = paid.minor * judgement.book_salvage
    left = book_value(paid.minor, salvage, round(judgement.book_years), age)
    return voice.rounded(Money(round(left), paid.currency))
