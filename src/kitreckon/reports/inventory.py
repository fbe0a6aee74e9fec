"""Everything that is owned, for the shop's own list or for the insurer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import Catalogue, Judgement
from kitreckon.count import Machine, Piece, Purchase
from kitreckon.quantities import Money
from kitreckon.reckoning.chain import again
from kitreckon.reckoning.depreciation import book_value
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.shelf import Spare
from kitreckon.reports.document import (
    Amount,
    Caution,
    Cell,
    Document,
    Facts,
    Heading,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice
from kitreckon.reports.whole_parts import whole_parts


@dataclass(frozen=True, slots=True)
class WrittenOff:
    """The age of each purchase in years, by its id, and how things are written off."""

    ages: Mapping[str, float]
    judgement: Judgement


def inventory_report(
    reckonings: Sequence[Reckoning],
    spares: Sequence[Spare],
    voice: Voice,
    catalogue: Catalogue,
    shelf: Reckoning | None = None,
    written_off: WrittenOff | None = None,
    *,
    named: bool = False,
) -> Document:
    """Return what is owned: machines with what belongs to them, the shelf, spares, purchases.

    The reckonings are of one book or sheet: they share their settings and their shelf. Of them
    the machines are listed that are owned by their state; one asked for by name is listed
    whatever its state, which is then said. shelf: the shelf reckoned as if counted, for what
    replacing it costs. written_off: how old what was bought is, for what it stands at in the books.
    """
    first = reckonings[0]
    listed = [row for row in reckonings if named or row.machine.status == "owned"]
    parts: list[Part] = [
        Paragraph(voice.say("report-inventory-lead", currency=first.preferences.currency))
    ]
    for reckoning in listed:
        parts += _machine(reckoning, catalogue, voice)
    rest = "; ".join(row.machine.name for row in reckonings if row not in listed)
    if rest:
        parts.append(Paragraph(voice.say("report-inventory-left-out", machines=rest)))
    parts += [*_shelf(first, shelf, catalogue, voice), *_spares(listed, spares, first.shelf, voice)]
    if written_off is not None:
        parts += _bought(first.purchases, written_off, voice)
    title = voice.say("report-inventory-all")
    if named and len(listed) == 1:
        title = voice.say("report-inventory-title", machine=first.machine.name)
    return Document(title, tuple(parts))


def _machine(reckoning: Reckoning, catalogue: Catalogue, voice: Voice) -> Iterator[Part]:
    """Return a machine, and what was seen with it; what is only said to be there stands apart."""
    machine = reckoning.machine
    yield Heading(machine.name)
    if machine.status != "owned":
        sold = machine.status == "sold"
        yield Caution(voice.say("report-inventory-sold" if sold else "report-inventory-for-sale"))
    yield Facts(voice.machine_facts(machine))
    yield _machine_table(machine, voice)
    yield Heading(voice.say("report-pieces"), 3)
    mine = [piece for piece in reckoning.visit.pieces if not piece.his]
    seen = [piece for piece in mine if piece.seen]
    yield _pieces_table(seen, _as_sound(reckoning, catalogue), "report-total-new", voice)
    said = [voice.thing(piece) for piece in mine if not piece.seen]
    if said:
        yield Heading(voice.say("report-inventory-only-said"), 3)
        yield Paragraph(voice.say("report-inventory-not-seen", things="; ".join(said)))


def _machine_table(machine: Machine, voice: Voice) -> Table:
    """Return what such a machine sells for, and who says so: what a new one costs nobody knows."""
    bare = machine.bare_price
    figure, note = Amount("?"), voice.say("report-inventory-no-price")
    if bare is not None:
        figure = voice.rounded(bare.typical)
        note = voice.say("report-inventory-machine", range=voice.span(bare))
    number = machine.serial_number
    name = f"{machine.name}, {number}" if number else machine.name
    columns = (
        voice.right("report-qty"),
        voice.left("report-machine"),
        voice.right("report-used"),
        voice.left("report-note"),
    )
    return Table(columns, ((Amount("1", 1), name, figure, note),))


def _as_sound(reckoning: Reckoning, catalogue: Catalogue) -> Reckoning:
    """Return the reckoning as if nothing were unsafe: a sound thing replaces a cracked one."""
    pieces = reckoning.visit.pieces
    if not any(piece.unsafe for piece in pieces):
        return reckoning
    sound = tuple(replace(piece, unsafe="") for piece in pieces)
    return again(reckoning, catalogue, visit=replace(reckoning.visit, pieces=sound))


def _pieces_table(
    pieces: Sequence[Piece], valued: Reckoning | None, total: str, voice: Voice
) -> Table:
    """Return pieces with what replacing each costs, and the sum of that."""
    columns = (
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.left("report-state"),
        voice.right("report-replacement"),
        voice.left("report-photo"),
        voice.left("report-note"),
    )
    values = valued.values if valued is not None else {}
    known = [p.id for p in pieces if p.id in values and values[p.id].priced]
    costs = whole_parts([values[piece_id].replacement_mean for piece_id in known])
    shown = {name: voice.amount(cost) for name, cost in zip(known, costs, strict=True)}
    rows: list[tuple[Cell, ...]] = [
        (
            voice.count(piece),
            voice.thing(piece),
            voice.condition(piece),
            shown.get(piece.id, Amount("?" if piece.id in values else "")),
            piece.photo,
            piece.note,
        )
        for piece in pieces
    ]
    if valued is not None:
        cost = sum(costs, Money.zero(valued.preferences.currency))
        rows.append(("", voice.say(total), "", voice.amount(cost), "", ""))
    return Table(columns, tuple(rows))


def _shelf(
    first: Reckoning, valued: Reckoning | None, catalogue: Catalogue, voice: Voice
) -> Iterator[Part]:
    if not first.shelf:
        return
    yield Heading(voice.say("report-shelf"))
    sound = _as_sound(valued, catalogue) if valued is not None else None
    yield _pieces_table(first.shelf, sound, "report-inventory-shelf-total", voice)


def _spares(
    reckonings: Sequence[Reckoning], spares: Sequence[Spare], shelf: Sequence[Piece], voice: Voice
) -> Iterator[Part]:
    """Say what no machine uses, and where it would fill what is missing."""
    names = {reckoning.machine.id: reckoning.machine.name for reckoning in reckonings}
    pieces = {
        (reckoning.machine.id, piece.id): piece
        for reckoning in reckonings
        for piece in reckoning.visit.pieces
        if piece.seen
    }
    pieces |= {("", piece.id): piece for piece in shelf}
    spares = [spare for spare in spares if (spare.machine_id, spare.piece_id) in pieces]
    if not spares:
        return
    yield Heading(voice.say("report-spares"))
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
    return voice.rounded(Money.rounded(left, paid.currency))
