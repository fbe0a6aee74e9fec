"""Getting it home: what is heavy, what to take off first, what to ask for, what can hurt."""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.catalogue.model import Catalogue, Sort
from kitreckon.count import Machine, Piece, Visit
from kitreckon.quantities import known_mm
from kitreckon.reckoning.weight import weight_kg
from kitreckon.reports.document import (
    Amount,
    Blanks,
    Bullets,
    Cell,
    Document,
    Facts,
    Heading,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice

KG_PER_LB = 0.45359237
HEAVY_KG = 4.0
CAUTIONS = ("lifting", "top-heavy", "wiring", "three-phase", "old-paint", "first-run")


def moving_report(machine: Machine, visit: Visit, catalogue: Catalogue, voice: Voice) -> Document:
    """Return the plan for the day: nothing in it is a figure to lift by."""
    sort = catalogue.sort_of(machine.machine_class)
    parts: list[Part] = [
        Paragraph(voice.say("report-moving-lead")),
        *voice.cautions(_cautions(sort, catalogue)),
        Heading(voice.say("report-moving-machine")),
        Facts(_facts(machine, voice)),
        Heading(voice.say("report-moving-before")),
        Blanks(_sayings(voice, "report-moving-ask", 6)),
        Heading(voice.say("report-moving-heavy")),
        *_heavy(visit, catalogue, voice),
        Heading(voice.say("report-moving-off")),
        Bullets(_taken_off(sort, voice), tick=True),
        Heading(voice.say("report-moving-bring")),
        Bullets(_sayings(voice, "report-moving-bring", 8), tick=True),
        Heading(voice.say("report-moving-home")),
        Bullets(_sayings(voice, "report-moving-home", 5), tick=True),
    ]
    return Document(voice.say("report-moving-title", machine=machine.name), tuple(parts))


def _facts(machine: Machine, voice: Voice) -> tuple[tuple[str, str], ...]:
    """Return what says how big it is and where it stands; tapers do not matter on the day."""
    lengths = (
        ("report-swing", machine.swing),
        ("report-between-centres", machine.between_centres),
        ("report-table-width", machine.table_width),
        ("report-table-length", machine.table_length),
    )
    facts = [("report-class", voice.term("class", machine.machine_class))]
    facts += [(label, voice.length(length)) for label, length in lengths if length is not None]
    texts = (("report-place", machine.place), ("report-serial-number", machine.serial_number))
    facts += [(label, text) for label, text in texts if text]
    return tuple((voice.say(label), value) for label, value in facts)


def _sayings(voice: Voice, stem: str, count: int) -> tuple[str, ...]:
    return tuple(voice.say(f"{stem}-{number}") for number in range(1, count + 1))


def _taken_off(sort: Sort | None, voice: Voice) -> tuple[str, ...]:
    """Return what comes off first: the supply on any machine, the rest by what sort it is."""
    supply = voice.say("report-moving-off-supply")
    return (supply, *(_sayings(voice, f"report-moving-off-{sort}", 4) if sort else ()))


def _cautions(sort: Sort | None, catalogue: Catalogue) -> tuple[str, ...]:
    named = (*CAUTIONS, "grinding-wheel") if sort == "grinder" else CAUTIONS
    return tuple(caution for caution in named if caution in catalogue.words.cautions)


def _heavy(visit: Visit, catalogue: Catalogue, voice: Voice) -> Iterator[Part]:
    weighed = [
        (weight, piece)
        for piece in visit.pieces
        if not piece.his and (weight := piece_weight_kg(piece, catalogue)) is not None
    ]
    heavy = sorted((one for one in weighed if one[0] >= HEAVY_KG), key=lambda one: -one[0])
    if heavy:
        yield Table(
            (voice.right("report-qty"), voice.left("report-thing"), voice.right("report-weight")),
            tuple(_row(piece, weight, voice) for weight, piece in heavy),
        )
    total = sum(weight * piece.qty for weight, piece in weighed)
    yield Facts(((voice.say("report-weight-all"), _weight(total, voice)),))


def _row(piece: Piece, weight_kg: float, voice: Voice) -> tuple[Cell, ...]:
    shown = _weight(weight_kg, voice)
    return (voice.count(piece), voice.thing(piece), Amount(shown, round(weight_kg)))


def _weight(kg: float, voice: Voice) -> str:
    if voice.style.units == "in":
        return voice.say("report-pounds", pounds=round(kg / KG_PER_LB))
    return voice.say("report-kilograms", kilograms=round(kg))


def piece_weight_kg(piece: Piece, catalogue: Catalogue) -> float | None:
    """Return about what one of these weighs, in kg; None where the catalogue has no weight."""
    kind = catalogue.kinds.get(piece.kind or "")
    if kind is None:
        return None
    table = catalogue.prices.get(kind.id)
    return weight_kg(kind, known_mm(piece.size), table, catalogue.judgement)
