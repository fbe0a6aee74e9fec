"""What was agreed, on one sheet for both to sign, with boxes to tick at loading."""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.count import Machine, Piece, Visit
from kitreckon.quantities import Money
from kitreckon.reports.document import (
    Amount,
    Blanks,
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


def handshake_report(machine: Machine, visit: Visit, price: Money | None, voice: Voice) -> Document:
    """Return the sheet. ``price`` is the agreed one; None leaves a line to write it on."""
    keeps = kept_by_seller(visit)
    agreed = [piece for piece in visit.pieces if piece.id not in keeps]
    parts: list[Part] = [
        Paragraph(voice.say("report-handshake-lead")),
        Facts(voice.machine_facts(machine)),
        Heading(voice.say("report-handshake-goes")),
        _list(machine, agreed, voice),
        *_stays(visit, keeps, voice),
        *_dangers(agreed, voice),
        Heading(voice.say("report-handshake-terms")),
        *_terms(machine, price, voice),
        Heading(voice.say("report-handshake-signed")),
        Blanks(
            tuple(
                voice.say(label)
                for label in (
                    "report-seller-name",
                    "report-seller-signature",
                    "report-buyer-name",
                    "report-buyer-signature",
                )
            )
        ),
    ]
    return Document(voice.say("report-handshake-title", machine=machine.name), tuple(parts))


def kept_by_seller(visit: Visit) -> frozenset[str]:
    """Return the pieces that stay: those marked his, and what the last saying let him keep."""
    marked = {piece.id for piece in visit.pieces if piece.his}
    last = visit.sayings[-1].keeps if visit.sayings else ()
    return frozenset(marked | set(last))


def agreed_price(visit: Visit) -> Money | None:
    """Return the price both said last, or None: one man's word is no agreement."""
    last = {saying.who: saying.price for saying in visit.sayings if saying.price is not None}
    return last.get("me") if last.get("me") == last.get("seller") else None


def _list(machine: Machine, pieces: list[Piece], voice: Voice) -> Table:
    """Return the machine itself and what goes with it."""
    columns = (voice.right("report-qty"), voice.left("report-thing"), voice.left("report-state"))
    rows: list[tuple[Cell, ...]] = [
        (Amount("1", 1), machine.name, voice.say("report-handshake-machine"))
    ]
    rows += [(voice.count(piece), voice.thing(piece), voice.condition(piece)) for piece in pieces]
    return Table(columns, tuple(rows), tick=True)


def _stays(visit: Visit, keeps: frozenset[str], voice: Voice) -> Iterator[Part]:
    kept = [voice.thing(piece) for piece in visit.pieces if piece.id in keeps]
    if kept:
        yield Paragraph(voice.say("report-handshake-stays", pieces="; ".join(kept)))


def _dangers(pieces: list[Piece], voice: Voice) -> Iterator[Part]:
    for piece in pieces:
        if piece.unsafe:
            yield Caution(voice.say("report-danger", thing=voice.thing(piece), danger=piece.unsafe))


def _terms(machine: Machine, price: Money | None, voice: Voice) -> Iterator[Part]:
    known = [(voice.say("report-price"), voice.money(price))] if price is not None else []
    if machine.serial_number:
        known.append((voice.say("report-serial-number"), machine.serial_number))
    if known:
        yield Facts(tuple(known))
    blanks = ["report-deposit", "report-pick-up", "report-paid-how", "report-date-place"]
    if not machine.serial_number:
        blanks.insert(0, "report-serial-number")
    if price is None:
        blanks.insert(0, "report-price")
    yield Blanks(tuple(voice.say(blank) for blank in blanks))
