"""What a text was read as, for people to look over: pieces, open questions, what was left over."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from kitreckon.catalogue.words import Style, Words
from kitreckon.quantities import clean_text, show_length
from kitreckon.reading.findings_said import SaidFinding
from kitreckon.reading.model import ReadPiece, TextReading
from kitreckon.reasons import Term
from kitreckon.reports.document import (
    Amount,
    Bullets,
    Cell,
    Document,
    Heading,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice


def advert_report(
    reading: TextReading, words: Words, style: Style, faults: tuple[SaidFinding, ...] = ()
) -> Document:
    """Return what an advert was read as, with the faults of the machine it tells."""
    voice = Voice(words, style)
    here = [piece for piece in reading.pieces if piece.state == "here" and piece.taken]
    absent = [piece for piece in reading.pieces if piece.state == "absent" and piece.taken]
    parts: list[Part] = []
    if here:
        parts.append(_table(here, voice))
    else:
        parts.append(Paragraph(voice.say("report-read-nothing")))
    if absent:
        names = ", ".join(_thing(piece, voice) for piece in absent)
        parts.append(Paragraph(voice.say("report-read-absent", things=names)))
    parts += _questions(reading.questions, voice)
    parts += _faults(faults, voice)
    parts += _rest(reading, voice)
    return Document(voice.say("report-read-title"), tuple(parts))


def line_text(reading: TextReading, words: Words, style: Style) -> str:
    """Return what one line was read as, on one line: the text, then what it means."""
    voice = Voice(words, style)
    said = [_said(piece, voice) for piece in reading.pieces]
    said = said or [voice.say("report-read-none")]
    dangers = dict.fromkeys((*(piece.unsafe for piece in reading.pieces), reading.unsafe))
    said += [voice.say("report-read-danger", word=word) for word in dangers if word]
    meaning = "; ".join(said)
    return voice.say("report-read-line", text=_shown(reading.text), meaning=meaning)


def _shown(text: str, most: int = 2_000) -> str:
    """Return a text for the screen: cleaned, and what is cut has a mark."""
    shown = clean_text(text, most)
    return f"{shown} ..." if len(text) > most else shown


def _said(piece: ReadPiece, voice: Voice) -> str:
    sentence = "report-read-sure" if piece.taken else "report-read-perhaps"
    if piece.state == "absent":
        sentence = "report-read-not-here"
    return voice.say(sentence, thing=f"{piece.qty} {_thing(piece, voice)}")


def _thing(piece: ReadPiece, voice: Voice) -> str:
    parts = [voice.kind(piece.kind), _size(piece, voice)]
    if piece.set_of is not None and piece.set_has is not None:
        parts.append(voice.say("report-set-short", count=piece.set_of, here=piece.set_has))
    elif piece.set_of is not None:
        parts.append(voice.say("report-set", count=piece.set_of))
    return ", ".join(part for part in parts if part)


def _size(piece: ReadPiece, voice: Voice) -> str:
    sizes = piece.sizes or ((piece.size,) if piece.size is not None else ())
    shown = ", ".join(show_length(size, voice.style.units) for size in sizes)
    return " ".join(part for part in (shown, piece.mount or "") if part)


def _table(pieces: Iterable[ReadPiece], voice: Voice) -> Table:
    columns = (
        voice.right("report-qty"),
        voice.left("report-thing"),
        voice.left("report-state"),
        voice.right("report-read-how-sure"),
    )
    return Table(columns, tuple(_row(piece, voice) for piece in pieces))


def _row(piece: ReadPiece, voice: Voice) -> tuple[Cell, ...]:
    state = voice.term("condition", piece.condition) if piece.condition else ""
    missing = ", ".join(voice.term("part", part) for part in piece.parts_missing)
    notes = [state, piece.unsafe]
    if missing:
        notes.append(voice.say("report-read-without", parts=missing))
    return (
        Amount(str(piece.qty), piece.qty),
        _thing(piece, voice),
        ", ".join(note for note in notes if note),
        voice.percent(piece.confidence),
    )


def _questions(questions: tuple[ReadPiece, ...], voice: Voice) -> Iterator[Part]:
    if not questions:
        return
    yield Heading(voice.say("report-read-ask"))
    lines = []
    for piece in questions:
        likely = [voice.kind(piece.kind), *(voice.kind(other.kind) for other in piece.others)]
        choices = ", ".join(dict.fromkeys(likely[:4]))
        lines.append(
            voice.say("report-read-question", text=_shown(piece.text, 200), likely=choices)
        )
    yield Bullets(tuple(lines))


def _faults(faults: tuple[SaidFinding, ...], voice: Voice) -> Iterator[Part]:
    if not faults:
        return
    yield Heading(voice.say("report-read-faults"))
    yield Bullets(
        tuple(
            voice.say(
                "report-read-fault" if each.sure else "report-read-fault-perhaps",
                finding=Term("finding", each.kind),
                text=_shown(each.text, 200),
            )
            for each in faults
        )
    )


def _rest(reading: TextReading, voice: Voice) -> Iterator[Part]:
    if reading.machine_text or reading.asking_text:
        yield Heading(voice.say("report-read-machine"))
        yield Bullets(
            tuple(clean_text(t, 2_000) for t in (reading.machine_text, reading.asking_text) if t)
        )
    if reading.not_understood:
        yield Heading(voice.say("report-read-left"))
        yield Bullets(tuple(_shown(t) for t in reading.not_understood if t.strip()))
