"""To show the seller: what is missing, faulty or dangerous. No figure of the offer, no opinion."""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.count import Piece
from kitreckon.reckoning.model import Reckoning
from kitreckon.reports.buyer import FACTS, missing_table
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


def seller_report(reckoning: Reckoning, voice: Voice) -> Document:
    """Return what may be shown to the seller: facts, and what replacing costs."""
    parts: list[Part] = [
        Paragraph(voice.say("report-seller-lead", currency=reckoning.preferences.currency)),
        Facts(voice.machine_facts(reckoning.machine)),
        *_dangerous(reckoning, voice),
        *_faulty(reckoning, voice),
        *_misfits(reckoning, voice),
        Heading(voice.say("report-missing")),
        missing_table(reckoning, voice, only=FACTS)
        if reckoning.gaps
        else Paragraph(voice.say("report-nothing-missing")),
        *_findings(reckoning, voice),
    ]
    title = voice.say("report-seller-title", machine=reckoning.machine.name)
    return Document(title, tuple(parts))


def _dangerous(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    unsafe = [piece for piece in reckoning.visit.pieces if piece.unsafe]
    if unsafe:
        yield Heading(voice.say("report-dangerous"))
    for piece in unsafe:
        yield Caution(voice.say("report-danger", thing=voice.thing(piece), danger=piece.unsafe))


def _is_faulty(piece: Piece) -> bool:
    return not piece.unsafe and (
        piece.condition in ("fair", "poor", "scrap")
        or bool(piece.parts_missing)
        or bool(piece.repair)
        or ((piece.set_has or 0) < (piece.set_of or 0) and piece.set_has is not None)
    )


def _faulty(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    faulty = [piece for piece in reckoning.visit.pieces if _is_faulty(piece)]
    if not faulty:
        return
    yield Heading(voice.say("report-faulty"))
    columns = (
        voice.left("report-thing"),
        voice.left("report-state"),
        voice.left("report-parts-missing"),
        voice.right("report-cost-new"),
    )
    rows = tuple(_faulty_row(reckoning, piece, voice) for piece in faulty)
    yield Table(columns, rows)


def _faulty_row(reckoning: Reckoning, piece: Piece, voice: Voice) -> tuple[Cell, ...]:
    """Return a row; what stands among the missing things has its cost there, and once."""
    value = reckoning.values.get(piece.id)
    cost: Cell = Amount("?")
    if any(gap.kind == piece.kind for gap in reckoning.gaps):
        cost = voice.say("report-see-missing")
    elif value is not None and value.priced:
        cost = Amount(voice.span(value.replacement), value.replacement.typical.major)
    return (voice.thing(piece), voice.condition(piece), _lacks(piece, voice), cost)


def _lacks(piece: Piece, voice: Voice) -> str:
    """Return the parts that are not there, or how many of a set."""
    lacking = [voice.term("part", part) for part in piece.parts_missing]
    if piece.set_of is not None and piece.set_has is not None and piece.set_has < piece.set_of:
        short = piece.set_of - piece.set_has
        lacking.append(voice.say("report-set-lacks", count=short, of=piece.set_of))
    return ", ".join(lacking)


def _misfits(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    misfits = [
        piece
        for piece in reckoning.visit.pieces
        if piece.id in reckoning.fits and reckoning.fits[piece.id].verdict == "misfit"
    ]
    if not misfits:
        return
    yield Heading(voice.say("report-misfits"))
    columns = (voice.left("report-thing"), voice.left("report-why"))
    rows = tuple(
        (voice.thing(piece), "; ".join(voice.why(reckoning.fits[piece.id].reasons)))
        for piece in misfits
    )
    yield Table(columns, rows)


def _findings(reckoning: Reckoning, voice: Voice) -> Iterator[Part]:
    if not reckoning.visit.findings:
        return
    yield Heading(voice.say("report-findings"))
    rows = tuple(
        (
            voice.term("finding", finding.kind),
            voice.length(finding.value) if finding.value is not None else "",
        )
        for finding in reckoning.visit.findings
    )
    yield Table((voice.left("report-finding"), voice.left("report-measured")), rows)
