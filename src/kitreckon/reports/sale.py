"""For selling: what goes with the machine, what is better sold singly, what is never sold."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Machine, Piece, Visit
from kitreckon.quantities import Money
from kitreckon.reckoning.sale import SalePlan, Way, made_for_one
from kitreckon.reports.document import (
    Bullets,
    Caution,
    Cell,
    Document,
    Facts,
    Heading,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice, whole
from kitreckon.reports.whole_parts import whole_parts

WAYS: tuple[Way, ...] = ("with-machine", "singly", "in-lot")


def sale_report(
    machine: Machine,
    visit: Visit,
    plan: SalePlan,
    catalogue: Catalogue,
    currency: str,
    voice: Voice,
) -> Document:
    """Return the plan of a sale; figures are what is left for the seller."""
    left = _left(plan)
    parts: list[Part] = [
        Paragraph(voice.say("report-sale-lead", currency=currency)),
        *_never(visit, plan, voice),
        *_way("with-machine", visit, plan, left, voice),
        *_made_for_one("with-machine", visit, plan, catalogue, voice),
        *_way("singly", visit, plan, left, voice),
        *_made_for_one("singly", visit, plan, catalogue, voice),
        *_way("in-lot", visit, plan, left, voice),
        *_open(visit, plan, voice),
        Heading(voice.say("report-sale-all")),
        Facts(_totals(plan, left, voice)),
    ]
    reasons = voice.why(plan.reasons)
    if reasons:
        parts.append(Bullets(reasons))
    return Document(voice.say("report-sale-title", machine=machine.name), tuple(parts))


def _never(visit: Visit, plan: SalePlan, voice: Voice) -> Iterator[Part]:
    if not plan.never:
        return
    yield Heading(voice.say("report-sale-never"))
    for _, reason in plan.never:
        yield Caution(voice.words.say(reason, voice.style))


def _left(plan: SalePlan) -> dict[Way, Money]:
    """Return what each way leaves in whole units, the machine with what goes along among them.

    They add up to the whole of the total.
    """
    sums = {way: Money.zero(plan.total.currency) for way in WAYS}
    for line in plan.lines:
        sums[line.way] += line.leaves
    if plan.machine is not None:
        sums["with-machine"] = plan.machine
    return dict(zip(WAYS, whole_parts([sums[way] for way in WAYS], whole(plan.total)), strict=True))


def _way(
    way: Way, visit: Visit, plan: SalePlan, left: Mapping[Way, Money], voice: Voice
) -> Iterator[Part]:
    yield Heading(voice.say(f"report-sale-{way}"))
    lines = [line for line in plan.lines if line.way == way]
    if not lines:
        yield Paragraph(voice.say("report-sale-nothing"))
        return
    pieces = {piece.id: piece for piece in visit.pieces}
    columns = (
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.left("report-state"),
        voice.right("report-sale-leaves"),
    )
    with_price = way == "with-machine" and plan.machine is not None  # which is no row here
    leaves = whole_parts([line.leaves for line in lines], None if with_price else left[way])
    rows = tuple(
        _row(pieces[line.piece_id], each, voice) for line, each in zip(lines, leaves, strict=True)
    )
    yield Table(columns, rows, tick=True)


def _made_for_one(
    way: Way, visit: Visit, plan: SalePlan, catalogue: Catalogue, voice: Voice
) -> Iterator[Part]:
    """Say of what was made for one machine alone who has a use for it."""
    sold = {line.piece_id for line in plan.lines if line.way == way}
    names = [
        voice.thing(piece)
        for piece in visit.pieces
        if piece.id in sold and made_for_one(piece, catalogue)
    ]
    if names:
        which = "it" if way == "with-machine" else "another"
        yield Paragraph(voice.say(f"report-sale-made-for-{which}", things="; ".join(names)))


def _row(piece: Piece, leaves: Money, voice: Voice) -> tuple[Cell, ...]:
    return voice.count(piece), voice.thing(piece), voice.condition(piece), voice.amount(leaves)


def _open(visit: Visit, plan: SalePlan, voice: Voice) -> Iterator[Part]:
    """Name what has no place in the plan: nobody knows yet what it is, or what it costs."""
    placed = {line.piece_id for line in plan.lines} | {piece_id for piece_id, _ in plan.never}
    left = [piece for piece in visit.pieces if piece.id not in placed and not piece.his]
    if left:
        yield Heading(voice.say("report-sale-open"))
        yield Bullets(tuple(voice.thing(piece) for piece in left))


def _totals(plan: SalePlan, left: Mapping[Way, Money], voice: Voice) -> tuple[tuple[str, str], ...]:
    machine = voice.say("report-not-known")
    if plan.machine is not None:
        machine = voice.money(left["with-machine"])
    rows = (
        ("report-sale-machine-all", machine),
        ("report-sale-singly-all", voice.money(left["singly"])),
        ("report-sale-lot-all", voice.money(left["in-lot"])),
        ("report-sale-total", voice.money(whole(plan.total))),
        ("report-sale-hours", f"{plan.hours:g}"),
    )
    return tuple((voice.say(label), value) for label, value in rows)
