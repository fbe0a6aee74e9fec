"""What is this thread? From the major diameter and, decisively, the pitch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from kitreckon.fitting.bench import length
from kitreckon.fitting.cones import SD_DIAMETER_MM
from kitreckon.fitting.model import Candidate, Identification
from kitreckon.fitting.odds import Scored, above_zero, likelihood, ranked
from kitreckon.fitting.threads import major_band_mm, outside_band_mm, thread_size_mm
from kitreckon.reasons import Reason, because
from kitreckon.standards import Evidence, Standards


@dataclass(frozen=True, slots=True)
class ThreadUse:
    """A thread with everything that has it: a nose, a collet, a drawbar."""

    name: str
    major_mm: float
    pitch_mm: float | None
    system: str
    uses: tuple[str, ...] = field(default=())
    confirmed: int = 2


def identify_thread(
    standards: Standards,
    diameter_mm: float,
    pitch_mm: float | None = None,
    *,
    sd_diameter_mm: float = SD_DIAMETER_MM,
) -> Identification:
    """Return what an outside thread may be, best first.

    diameter_mm over the crests, pitch_mm where it was measured. Crests lie in the tolerance
    band below the nominal; the pitch decides. The form (60 or 55 degrees) is still to be seen.
    """
    above_zero(diameter_mm=diameter_mm, sd_diameter_mm=sd_diameter_mm)
    if pitch_mm is not None:
        above_zero(pitch_mm=pitch_mm)
    known = thread_uses(standards)
    scored = [_scored(one, diameter_mm, pitch_mm, sd_diameter_mm, standards) for one in known]
    left = 1.0 if pitch_mm is None else standards.rule("thread-none-with-pitch")
    none = standards.rule("thread-none") * left
    candidates, none_probability = ranked(scored, none, lambda one, other: False)
    return Identification(
        candidates, none_probability, _next(candidates, none_probability, pitch_mm)
    )


def thread_uses(standards: Standards) -> list[ThreadUse]:
    """Return every thread of the tables once, with what has it."""
    found: dict[str, ThreadUse] = {}
    for one in _all_uses(standards):
        mine = found.get(one.name)
        if mine is None:
            found[one.name] = one
            continue
        found[one.name] = replace(
            mine,
            pitch_mm=mine.pitch_mm or one.pitch_mm,
            uses=tuple(dict.fromkeys((*mine.uses, *(one.uses or (one.system,))))),
            confirmed=max(mine.confirmed, one.confirmed),
        )
    return list(found.values())


def _all_uses(standards: Standards) -> Iterator[ThreadUse]:
    """Give noses first, for a nose is what is most often asked about."""
    for nose in standards.noses.values():
        if nose.major_mm is not None:
            uses = (nose.usual_on,) if nose.usual_on else ()
            yield ThreadUse(
                nose.name,
                nose.major_mm,
                nose.pitch_mm,
                "screwed nose",
                uses,
                nose.evidence.confirmed,
            )
    for thread in standards.threads.values():
        yield ThreadUse(
            thread.name,
            thread.major_mm,
            thread.pitch_mm,
            thread.series,
            confirmed=thread.evidence.confirmed,
        )
    for name, system, use, evidence, field_name in _named(standards):
        size = thread_size_mm(name)
        if size is not None:
            yield ThreadUse(name, size[0], size[1], system, (use,), evidence.of(field_name))


def _named(standards: Standards) -> Iterator[tuple[str, str, str, Evidence, str]]:
    """Give the threads that other rows name, each with what has it."""
    for collet in standards.collets.values():
        proof = collet.evidence
        yield collet.thread, "collet", collet.name, proof, "thread"
        yield collet.nut_thread, "collet nut", collet.name, proof, "nut_thread"
    for nose in standards.noses.values():
        yield nose.ring_thread, "nose ring", nose.name, nose.evidence, "ring_thread"
        yield nose.hole_thread, "nose bolt", nose.name, nose.evidence, "hole_thread"
        yield nose.stud_thread, "nose stud", nose.name, nose.evidence, "stud_thread"
    for cone in standards.cones.values():
        yield cone.drawbar, "drawbar", cone.name, cone.evidence, "drawbar"


def _scored(
    one: ThreadUse,
    diameter_mm: float,
    pitch_mm: float | None,
    sd_mm: float,
    standards: Standards,
) -> Scored:
    """Below the band is not at once outside: crests wear and are cut short."""
    low, high = major_band_mm(one.major_mm, one.pitch_mm or 0.1 * one.major_mm)
    outside = outside_band_mm(diameter_mm, low, one.major_mm)
    spread = sd_mm + (standards.rule("thread-worn-mm") if outside < 0 else 0.0)
    chi_squared = (outside / spread) ** 2
    if pitch_mm is not None and one.pitch_mm is not None:
        pitch_sd_mm = standards.rule("pitch-sd-share") * one.pitch_mm
        chi_squared += ((pitch_mm - one.pitch_mm) / pitch_sd_mm) ** 2
    candidate = Candidate(
        one.name,
        one.system,
        abs(outside),
        0.0,
        tuple(_notes(one, diameter_mm, high)),
        confirmed=one.confirmed,
    )
    stated = 1.0 if one.pitch_mm is not None else standards.rule("thread-no-pitch")
    return Scored(candidate, stated * likelihood(chi_squared), chi_squared)


def _notes(one: ThreadUse, diameter_mm: float, high_mm: float) -> list[Reason]:
    notes: list[Reason] = []
    if one.uses:
        notes.append(because("thread-used-on", uses=one.uses))
    if one.pitch_mm is None:
        notes.append(because("thread-pitch-not-stated", name=one.name))
    if diameter_mm < one.major_mm:
        notes.append(because("below-nominal", by=length(one.major_mm - diameter_mm)))
    if one.confirmed == 0:
        notes.append(because("row-from-memory", row=one.name))
    return notes


def _next(candidates: tuple[Candidate, ...], none: float, pitch_mm: float | None) -> Reason | None:
    if pitch_mm is None:
        return because("measure-pitch")
    if not candidates or none > 0.5:
        return because("measure-form-and-pitch")
    if candidates[0].system == "screwed nose":
        return because("measure-register-and-form", name=candidates[0].name)
    return because("measure-thread-form", name=candidates[0].name)
