"""What is this collet? From its body, its thread and its length."""

from __future__ import annotations

from kitreckon.errors import KitreckonError
from kitreckon.fitting.cones import SD_LENGTH_MM
from kitreckon.fitting.model import Candidate, Identification
from kitreckon.fitting.odds import Scored, above_zero, likelihood, ranked
from kitreckon.fitting.threads import major_band_mm, off_thread_mm, outside_band_mm, thread_size_mm
from kitreckon.reasons import Reason, because
from kitreckon.standards import Collet, Cone, Standards


def identify_collet(
    standards: Standards,
    *,
    body_mm: float | None = None,
    thread_mm: float | None = None,
    pitch_mm: float | None = None,
    length_mm: float | None = None,
    sd_length_mm: float = SD_LENGTH_MM,
) -> Identification:
    """Return what a collet may be, best first; at least one measurement must be given.

    body_mm: over the body (drawn collets) or the largest diameter (ER); thread_mm and pitch_mm
    of the outside thread; length_mm over all.
    """
    given = {
        name: value
        for name, value in (
            ("body_mm", body_mm),
            ("thread_mm", thread_mm),
            ("pitch_mm", pitch_mm),
            ("length_mm", length_mm),
        )
        if value is not None
    }
    if not given:
        raise KitreckonError("nothing is known of the collet", want="body, thread or length")
    above_zero(**given, sd_length_mm=sd_length_mm)
    scored = [_scored(one, given, sd_length_mm, standards) for one in _rows(standards)]
    facts = len([name for name in given if name != "length_mm"])
    none = standards.rule("collet-none") * standards.rule("collet-none-fact") ** facts
    candidates, none_probability = ranked(scored, none, lambda one, other: False)
    return Identification(candidates, none_probability, _next(candidates, none_probability, given))


def _rows(standards: Standards) -> list[Collet]:
    """Return collets, and R8, which is a taper in the tables and a collet in the hand."""
    rows = list(standards.collets.values())
    r8 = standards.cones.get("R8")
    if r8 is not None:
        rows.append(_as_collet(r8))
    return rows


def _as_collet(cone: Cone) -> Collet:
    return Collet(
        cone.name, "draw", cone.small_mm, inside_thread=cone.drawbar, evidence=cone.evidence
    )


def _scored(
    one: Collet, given: dict[str, float], sd_length_mm: float, standards: Standards
) -> Scored:
    chi_squared = 0.0
    if "body_mm" in given:
        off = abs(given["body_mm"] - one.body_mm)
        chi_squared += (off / standards.rule("collet-body-sd-mm")) ** 2
    chi_squared += _thread_chi(one, given, standards)
    if "length_mm" in given and one.length_mm is not None:
        stray = standards.rule("collet-length-sds") * sd_length_mm
        off = (given["length_mm"] - one.length_mm) / stray
        chi_squared += min(off**2, 9.0)  # lengths differ from maker to maker
    notes: list[Reason] = []
    if one.evidence.of("body") == 0:
        notes.append(because("row-from-memory", row=one.name))
    error, in_limits = _error(one, given)
    candidate = Candidate(
        one.name,
        "ER" if one.style == "spring" else "draw collet",
        error,
        0.0,
        tuple(notes),
        confirmed=one.evidence.of("body"),
        in_limits=in_limits,
    )
    return Scored(candidate, likelihood(chi_squared), chi_squared)


def _error(one: Collet, given: dict[str, float]) -> tuple[float | None, bool]:
    """Return how far the body is off, else the thread, and whether it lies between limits."""
    if "body_mm" in given:
        return abs(given["body_mm"] - one.body_mm), False
    size = thread_size_mm(one.thread or one.inside_thread)
    if "thread_mm" in given and size is not None:
        return off_thread_mm(given["thread_mm"], *size)
    return None, False


def _thread_chi(one: Collet, given: dict[str, float], standards: Standards) -> float:
    if "thread_mm" not in given and "pitch_mm" not in given:
        return 0.0
    size = thread_size_mm(one.thread or one.inside_thread)
    if size is None:
        return 400.0  # no thread on it at all
    major, pitch = size
    found = 0.0
    if "thread_mm" in given:
        low, _ = major_band_mm(major, pitch)
        low -= standards.rule("thread-worn-mm")
        sd_mm = standards.rule("collet-body-sd-mm")  # a slit thread springs as its body does
        found += (outside_band_mm(given["thread_mm"], low, major) / sd_mm) ** 2
    if "pitch_mm" in given:
        found += ((given["pitch_mm"] - pitch) / (standards.rule("pitch-sd-share") * pitch)) ** 2
    return found


def _next(candidates: tuple[Candidate, ...], none: float, given: dict[str, float]) -> Reason | None:
    if not candidates or none > 0.5:
        return because("measure-collet-again")
    rivals = [one for one in candidates[1:] if one.probability > 0.02]
    if not rivals and "body_mm" in given:
        return None
    missing = [
        name for name in ("thread_mm", "pitch_mm", "body_mm", "length_mm") if name not in given
    ]
    return because(f"measure-collet-{missing[0].removesuffix('_mm')}") if missing else None
