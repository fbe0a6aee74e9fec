"""What an unmarked part may be, best first, and what to measure next."""

from __future__ import annotations

from collections.abc import Sequence

from kitreckon.fitting import Candidate, Identification
from kitreckon.quantities import Length, read_length
from kitreckon.reports.document import Bullets, Cell, Document, Facts, Paragraph, Part, Table
from kitreckon.reports.voice import Voice

_SHOWN = 8  # candidates; what is less likely than these helps nobody
_LEAST = 0.001
_FINEST_MM = 0.01
_FINEST = {"mm": read_length("0.01mm"), "in": read_length("0.0005in")}


def identification_report(found: Identification, voice: Voice) -> Document:
    """Return the candidates as a report."""
    likely = [one for one in found.candidates if one.probability >= _LEAST][:_SHOWN]
    chance = voice.percent(found.none_probability)
    parts: list[Part] = [
        _table(likely, voice) if likely else Paragraph(voice.say("report-identify-nothing")),
        Facts(((voice.say("report-identify-none"), chance),)),
    ]
    notes = [
        voice.say("report-identify-note", name=one.name, note=note)
        for one in likely[:3]
        for note in voice.why(one.notes)
    ]
    if notes:
        parts.append(Bullets(tuple(dict.fromkeys(notes))))
    if found.measure_next is not None:
        asked = voice.words.say(found.measure_next, voice.style)
        parts.append(Paragraph(voice.say("report-identify-next", question=asked)))
    return Document(voice.say("report-identify-title"), tuple(parts))


def _table(likely: Sequence[Candidate], voice: Voice) -> Table:
    """Return the candidates as rows; how far they are off only where a size was measured."""
    columns = [
        voice.left("report-identify-name"),
        voice.left("report-identify-system"),
        voice.right("report-identify-chance"),
        voice.left("report-identify-sources"),
    ]
    rows: list[list[Cell]] = [
        [
            one.name,
            one.system,
            voice.percent(one.probability),
            voice.say(f"report-identify-confirmed-{min(one.confirmed, 2)}"),
        ]
        for one in likely
    ]
    if any(one.error_mm is not None for one in likely):
        columns.insert(2, voice.right("report-identify-off-by"))
        for one, row in zip(likely, rows, strict=True):
            row.insert(2, _off_by(one, voice))
    return Table(tuple(columns), tuple(tuple(row) for row in rows))


def _off_by(one: Candidate, voice: Voice) -> str:
    """Return how far the measurements lie off; nobody measured to less than this."""
    error_mm = one.error_mm
    if error_mm is None:
        return voice.say("report-not-known")
    if one.in_limits:
        return voice.say("in-limits")
    if error_mm < _FINEST_MM:
        return voice.say("report-under", percent=voice.length(_FINEST[voice.style.units]))
    return voice.length(Length.of_mm(round(error_mm, 2)))
