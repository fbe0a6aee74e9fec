"""What is this spindle nose, or the back of this chuck? From studs, taper, bolt circle, thread."""

from __future__ import annotations

from dataclasses import dataclass

from kitreckon.errors import KitreckonError
from kitreckon.fitting.bench import length
from kitreckon.fitting.cones import SD_DIAMETER_MM
from kitreckon.fitting.model import Candidate, Identification
from kitreckon.fitting.odds import Scored, above_zero, likelihood, ranked
from kitreckon.fitting.threads import major_band_mm, off_thread_mm, outside_band_mm
from kitreckon.reasons import Reason, because
from kitreckon.standards import Nose, Standards

_FAR = 400.0  # chi squared of what cannot be: past the 8 standard deviations still named
_BOLTS = (3, 4, 6)  # bolts of a bolted chuck, which may be taken for studs


@dataclass(frozen=True, slots=True)
class NoseFacts:
    """What was seen of a nose; None where it was not measured. Lengths in mm.

    register_mm: the short taper's large diameter, or the plain register behind a thread.
    """

    studs: int | None = None
    register_mm: float | None = None
    bolt_circle_mm: float | None = None
    flange_mm: float | None = None
    thread_mm: float | None = None
    pitch_mm: float | None = None


def identify_nose(
    standards: Standards,
    *,
    studs: int | None = None,
    register_mm: float | None = None,
    bolt_circle_mm: float | None = None,
    flange_mm: float | None = None,
    thread_mm: float | None = None,
    pitch_mm: float | None = None,
    sd_diameter_mm: float = SD_DIAMETER_MM,
) -> Identification:
    """Return what a nose may be, best first; at least one fact must be given.

    Camlock, bolted and bayonet noses of one size share their cone and are named together until
    the fixing is known: studs are not bolts.
    """
    facts = NoseFacts(studs, register_mm, bolt_circle_mm, flange_mm, thread_mm, pitch_mm)
    _check(facts, sd_diameter_mm)
    scored = [_scored(nose, facts, sd_diameter_mm, standards) for nose in standards.noses.values()]

    def same(one: str, other: str) -> bool:
        return share_nose_cone(standards.noses[one], standards.noses[other])

    candidates, none = ranked(scored, _none_weight(facts, standards), same)
    return Identification(candidates, none, _next(candidates, none, facts, standards))


def _check(facts: NoseFacts, sd_mm: float) -> None:
    lengths = {
        name: getattr(facts, name)
        for name in ("register_mm", "bolt_circle_mm", "flange_mm", "thread_mm", "pitch_mm")
        if getattr(facts, name) is not None
    }
    if not lengths and facts.studs is None:
        raise KitreckonError(
            "nothing is known of the nose", want="studs, register, bolt circle, thread or pitch"
        )
    if facts.studs is not None and not 0 <= facts.studs <= 24:
        raise KitreckonError(f"{facts.studs} studs", where="studs", want="a count from 0 to 24")
    above_zero(**lengths, sd_diameter_mm=sd_mm)


def share_nose_cone(one: Nose, other: Nose) -> bool:
    """Whether two noses have the same short taper and differ in how the chuck is held."""
    if one.gauge_mm is None or other.gauge_mm is None or one.rate is None or other.rate is None:
        return False
    return abs(one.gauge_mm - other.gauge_mm) < 0.1 and abs(one.rate - other.rate) < 0.001


def _scored(nose: Nose, facts: NoseFacts, sd_mm: float, standards: Standards) -> Scored:
    chi_squared = _register_chi(nose, facts.register_mm, sd_mm, standards)
    chi_squared += _studs_chi(nose, facts.studs, standards)
    circles = (nose.bolt_circle_mm, nose.inner_bolt_circle_mm)
    chi_squared += _off(facts.bolt_circle_mm, circles, standards.rule("nose-circle-sd-mm"))
    chi_squared += _flange_chi(nose, facts.flange_mm, standards)
    chi_squared += _thread_chi(nose, facts, sd_mm, standards)
    notes = [because("row-from-memory", row=nose.name)] if nose.evidence.confirmed == 0 else []
    error, in_limits = _error(nose, facts)
    candidate = Candidate(
        nose.name,
        nose.system,
        error,
        0.0,
        tuple(notes),
        confirmed=nose.evidence.confirmed,
        in_limits=in_limits,
    )
    # Ties only: of noses that cannot be told apart the commoner stands first.
    common = 1.0 if nose.system in ("camlock", "screwed") else standards.rule("nose-rarer")
    return Scored(candidate, common * likelihood(chi_squared), chi_squared)


def _flange_chi(nose: Nose, flange: float | None, standards: Standards) -> float:
    if flange is None:
        return 0.0
    if nose.flange_mm is None:
        return 9.0  # possible, and no more than that
    return ((flange - nose.flange_mm) / standards.rule("nose-flange-sd-mm")) ** 2


def _error(nose: Nose, facts: NoseFacts) -> tuple[float | None, bool]:
    """Return how far the first of the measures the tables have is off, and if within limits.

    The register says more than a thread, and both more than the bolts or the flange. Studs are
    counted, not measured.
    """
    limits = _register_limits(nose)
    if facts.register_mm is not None and limits is not None:
        off = abs(outside_band_mm(facts.register_mm, *limits))
        return off, off == 0.0 and limits[0] < limits[1]
    if facts.thread_mm is not None and nose.major_mm is not None:
        return off_thread_mm(facts.thread_mm, nose.major_mm, nose.pitch_mm)
    circles = [one for one in (nose.bolt_circle_mm, nose.inner_bolt_circle_mm) if one is not None]
    if facts.bolt_circle_mm is not None and circles:
        return min(abs(facts.bolt_circle_mm - one) for one in circles), False
    if facts.flange_mm is not None and nose.flange_mm is not None:
        return abs(facts.flange_mm - nose.flange_mm), False
    return None, False


def _register_limits(nose: Nose) -> tuple[float, float] | None:
    """Return the least and largest register, or large diameter of the taper, of the table."""
    if nose.system == "screwed":
        return nose.register_mm
    if nose.gauge_mm is None:
        return None
    most = nose.gauge_max_mm or nose.gauge_mm
    return min(nose.gauge_mm, most), max(nose.gauge_mm, most)


def _register_chi(nose: Nose, register: float | None, sd_mm: float, standards: Standards) -> float:
    """Chi squared of the register or taper diameter."""
    if register is None:
        return 0.0
    limits = _register_limits(nose)
    if limits is not None:
        spread = max(sd_mm, 0.03) if nose.system == "screwed" else sd_mm
        return (outside_band_mm(register, *limits) / spread) ** 2
    over = register - (nose.major_mm or 0.0)
    possible = nose.system == "screwed" and over >= -0.1
    if possible and over <= standards.rule("nose-register-over-mm"):
        return 4.0  # and no more than that
    return _FAR


def _studs_chi(nose: Nose, studs: int | None, standards: Standards) -> float:
    if studs is None:
        return 0.0
    if nose.system == "bolted short taper" and studs in _BOLTS:
        return standards.rule("nose-bolts-for-studs")
    return 0.0 if studs == (nose.studs or 0) else _FAR


def _off(measured: float | None, known: tuple[float | None, ...], sd_mm: float) -> float:
    if measured is None:
        return 0.0
    off = [abs(measured - one) for one in known if one is not None]
    return (min(off) / sd_mm) ** 2 if off else _FAR


def _thread_chi(nose: Nose, facts: NoseFacts, sd_mm: float, standards: Standards) -> float:
    if facts.thread_mm is None and facts.pitch_mm is None:
        return 0.0
    if nose.major_mm is None:
        return _FAR
    found = 0.0
    if facts.thread_mm is not None:
        low, _ = major_band_mm(nose.major_mm, nose.pitch_mm or 0.1 * nose.major_mm)
        off = outside_band_mm(facts.thread_mm, low, nose.major_mm)
        found += (off / (sd_mm + (standards.rule("thread-worn-mm") if off < 0 else 0.0))) ** 2
    if facts.pitch_mm is not None and nose.pitch_mm is not None:
        pitch_sd_mm = standards.rule("pitch-sd-share") * nose.pitch_mm
        found += ((facts.pitch_mm - nose.pitch_mm) / pitch_sd_mm) ** 2
    return found


def _none_weight(facts: NoseFacts, standards: Standards) -> float:
    weight = standards.rule("nose-none")
    if facts.studs is not None:
        weight *= standards.rule("nose-none-studs")
    if facts.register_mm is not None:
        weight *= standards.rule("nose-none-register")
    others = (facts.bolt_circle_mm, facts.thread_mm, facts.pitch_mm)
    known = sum(one is not None for one in others)
    return weight * standards.rule("nose-none-fact") ** known


def _next(
    candidates: tuple[Candidate, ...], none: float, facts: NoseFacts, standards: Standards
) -> Reason | None:
    if not candidates or none > 0.5:
        return because("measure-nose-again")
    first = candidates[0]
    screwed = first.system == "screwed"
    if screwed and (facts.thread_mm is None or facts.pitch_mm is None):
        return because("measure-thread-and-pitch", name=first.name)
    if screwed:
        return because("measure-register-and-form", name=first.name)
    rivals = [one for one in candidates[1:] if one.probability > 0.02]
    if not rivals:
        return None
    if rivals[0].name in first.together:
        return because("look-at-fixing", first=first.name, second=rivals[0].name)
    if rivals[0].system != first.system and facts.register_mm is not None:
        return because("look-at-holding", first=first.name, second=rivals[0].name)
    if facts.register_mm is None:
        mine, its = standards.noses[first.name], standards.noses[rivals[0].name]
        sizes = (mine.gauge_mm or mine.major_mm, its.gauge_mm or its.major_mm)
        if sizes[0] and sizes[1]:
            return because(
                "measure-taper-of-nose",
                first=first.name,
                first_size=length(sizes[0]),
                second=rivals[0].name,
                second_size=length(sizes[1]),
            )
    return because("measure-bolt-circle", first=first.name, second=rivals[0].name)
