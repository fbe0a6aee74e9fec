"""For whoever has to deal with a shop they do not know: plain words, dangerous pieces first."""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Piece
from kitreckon.reckoning.model import Reckoning
from kitreckon.reports.document import (
    Amount,
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
from kitreckon.reports.voice import Voice


def heirs_report(reckoning: Reckoning, catalogue: Catalogue, voice: Voice) -> Document:
    """Return what each thing is, what it looks like, and what it may fetch."""
    pieces = [piece for piece in reckoning.visit.pieces if not piece.his]
    parts: list[Part] = [
        Paragraph(voice.say("report-heirs-lead", currency=reckoning.preferences.currency)),
        *_dangerous(pieces, voice),
        Heading(voice.say("report-heirs-first")),
        Bullets(tuple(voice.say(f"report-heirs-advice-{number}") for number in range(1, 6))),
        Heading(voice.say("report-heirs-things")),
        _things(reckoning, catalogue, pieces, voice),
        Facts(((voice.say("report-heirs-all"), voice.span(reckoning.bundle.part_out)),)),
        Paragraph(voice.say("report-heirs-end")),
    ]
    title = voice.say("report-heirs-title", machine=reckoning.machine.name)
    return Document(title, tuple(parts))


def _dangerous(pieces: list[Piece], voice: Voice) -> Iterator[Part]:
    unsafe = [piece for piece in pieces if piece.unsafe]
    if not unsafe:
        return
    yield Heading(voice.say("report-heirs-dangerous"))
    for piece in unsafe:
        yield Caution(
            voice.say("report-heirs-danger", thing=voice.thing(piece), danger=piece.unsafe)
        )


def _things(reckoning: Reckoning, catalogue: Catalogue, pieces: list[Piece], voice: Voice) -> Table:
    columns = (
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.left("report-looks-like"),
        voice.right("report-may-fetch"),
    )
    rows = tuple(_row(reckoning, catalogue, piece, voice) for piece in pieces)
    return Table(columns, rows)


def _row(
    reckoning: Reckoning, catalogue: Catalogue, piece: Piece, voice: Voice
) -> tuple[Cell, ...]:
    kind = catalogue.kinds.get(piece.kind or "")
    value = reckoning.values.get(piece.id)
    fetch: Cell = Amount("?")
    if piece.unsafe:
        fetch = voice.say("report-do-not-sell")
    elif value is not None and value.priced:
        fetch = Amount(voice.span(value.part_out), value.part_out.typical.major)
    looks = voice.spelt(kind.looks_like) if kind is not None else ""
    return (voice.count(piece), voice.thing(piece), looks, fetch)
