"""What is this thread? From the major diameter and, decisively, the pitch."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from kitreckon.fitting.bench import length
from kitreckon.fitting.cones import SD_DIAMETER_MM
from kitreckon.fitting.model import Candidate, Identification
from kitreckon.fitting.odds import Scored, above_zero, likelihood, ranked
from kitreckon.fitting.threads import major_band_mm, off_thread_mm, outside_band_mm, thread_size_mm
from kitreckon.reasons import Reason, because
from kitreckon.standards import Evidence, Standards

_SHOWN_MM = 0.0127  # half a thousandth of an inch: less is shown as nothing


@dataclass(frozen=True, slots=True)
class ThreadUse:
    """A thread with everything that has it: a nose, a collet, a drawbar."""

    name: str
    major_mm: float
    pitch_mm: float | None
    system: str
    uses: tuple[str | Reason, ...] = field(default=())
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
            uses=tuple(dict.fromkeys((*mine.uses, *(one.uses or _bolts(one))))),
            confirmed=max(mine.confirmed, one.confirmed),
        )
    return list(found.values())


def _bolts(one: ThreadUse) -> tuple[Reason, ...]:
    return (because("thread-on-bolts", series=one.system),)


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


def _named(standards: Standards) -> Iterator[tuple[str, str, Reason, Evidence, str]]:
    """Give the threads that other rows name, each with what has it."""
    for collet in standards.collets.values():
        name, proof = collet.name, collet.evidence
        yield collet.thread, "collet", because("thread-on-collet", name=name), proof, "thread"
        nut = because("thread-on-collet-nut", name=name)
        yield collet.nut_thread, "collet nut", nut, proof, "nut_thread"
    for nose in standards.noses.values():
        name, proof = nose.name, nose.evidence
        ring = because("thread-on-nose-ring", name=name)
        yield nose.ring_thread, "nose ring", ring, proof, "ring_thread"
        bolt = because("thread-on-nose-bolts", name=name)
        yield nose.hole_thread, "nose bolt", bolt, proof, "hole_thread"
        stud = because("thread-on-nose-studs", name=name)
        yield nose.stud_thread, "nose stud", stud, proof, "stud_thread"
    for cone in standards.cones.values():
        drawbar = because("thread-on-drawbar", name=cone.name)
        yield cone.drawbar, "drawbar", drawbar, cone.evidence, "drawbar"


def _scored(
    one: ThreadUse,
    diameter_mm: float,
    pitch_mm: float | None,
    sd_mm: float,
    standards: Standards,
) -> Scored:
    """Below the band is not at once outside: crests wear and are cut short."""
    low, _ = major_band_mm(one.major_mm, one.pitch_mm or 0.1 * one.major_mm)
    outside = outside_band_mm(diameter_mm, low, one.major_mm)
    spread = sd_mm + (standards.rule("thread-worn-mm") if outside < 0 else 0.0)
    chi_squared = (outside / spread) ** 2
    if pitch_mm is not None and one.pitch_mm is not None:
        pitch_sd_mm = standards.rule("pitch-sd-share") * one.pitch_mm
        chi_squared += ((pitch_mm - one.pitch_mm) / pitch_sd_mm) ** 2
    error, in_limits = off_thread_mm(diameter_mm, one.major_mm, one.pitch_mm)
    candidate = Candidate(
        one.name,
        one.system,
        error,
        0.0,
        tuple(_notes(one, diameter_mm, in_limits)),
        confirmed=one.confirmed,
        in_limits=in_limits,
    )
    stated = 1.0 if one.pitch_mm is not None else standards.rule("thread-no-pitch")
    return Scored(candidate, stated * likelihood(chi_squared), chi_squared)


def _notes(one: ThreadUse, diameter_mm: float, in_limits: bool) -> list[Reason]:
    notes: list[Reason] = []
    if one.uses:
        notes.append(because("thread-used-on", uses=one.uses))
    if one.pitch_mm is None:
        notes.append(because("thread-pitch-not-stated", name=one.name))
    below = one.major_mm - diameter_mm
    if in_limits and below >= _SHOWN_MM:
        notes.append(because("below-nominal", by=length(below)))
    elif below > 0 and one.pitch_mm is not None and not in_limits:
        notes.append(because("below-limits", by=length(below)))
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
