"""What is this socket? From two bars or balls, and how deep they go in."""

from __future__ import annotations

import math

from kitreckon.errors import KitreckonError
from kitreckon.fitting.bench import length
from kitreckon.fitting.cones import SD_DIAMETER_MM, SD_LENGTH_MM, Measured, nearest
from kitreckon.fitting.identify_tapers import checked, commonness, identified, notes_of
from kitreckon.fitting.model import Candidate, Identification
from kitreckon.fitting.odds import Scored, likelihood
from kitreckon.reasons import Reason, because
from kitreckon.standards import Cone, Standards


def identify_socket(
    standards: Standards,
    wide_mm: float,
    wide_depth_mm: float,
    narrow_mm: float,
    narrow_depth_mm: float,
    *,
    balls: bool = False,
    sd_diameter_mm: float = SD_DIAMETER_MM,
    sd_length_mm: float = SD_LENGTH_MM,
) -> Identification:
    """Return what a socket may be, from two bars (or balls) and how deep they go in.

    Depths are from the mouth to the face of a bar, or to the top of a ball. A bar stops where
    the socket has its diameter; a ball of diameter b touches at b cos a, deeper than its centre
    by b/2 sin a, where a is the half angle. A used mouth may be off its gauge diameter.
    """
    if wide_depth_mm >= narrow_depth_mm:
        raise KitreckonError(
            "the narrower goes in no deeper than the wider",
            where="narrow depth",
            want="how deep each goes in, from the mouth",
        )
    measured = checked(
        wide_mm, narrow_mm, narrow_depth_mm - wide_depth_mm, sd_diameter_mm, sd_length_mm
    )
    cones = dict(standards.cones)
    scored = []
    for cone in cones.values():
        touching = _touching(cone, measured, wide_depth_mm, narrow_depth_mm) if balls else measured
        depth = wide_depth_mm + (_ball_depth(cone, wide_mm) if balls else 0.0)
        scored.append(_scored_socket(cone, touching, depth, standards))
    return identified(scored, measured, cones, standards)


def _ball_depth(cone: Cone, ball_mm: float) -> float:
    """How far below its top a ball touches the cone."""
    return ball_mm / 2 * (1 + math.sin(math.atan(cone.rate / 2)))


def _touching(cone: Cone, measured: Measured, wide_depth: float, narrow_depth: float) -> Measured:
    cosine = math.cos(math.atan(cone.rate / 2))
    wide, narrow = measured.large_mm, measured.small_mm
    distance = (narrow_depth + _ball_depth(cone, narrow)) - (wide_depth + _ball_depth(cone, wide))
    return Measured(
        wide * cosine,
        narrow * cosine,
        distance,
        measured.sd_diameter_mm,
        measured.sd_length_mm,
    )


def _scored_socket(
    cone: Cone, measured: Measured, wide_depth_mm: float, standards: Standards
) -> Scored:
    """Score a socket: its depths are from the mouth, so the mouth is known as well."""
    near = nearest(cone, measured)
    mouth = measured.large_mm + cone.rate * wide_depth_mm
    off = (mouth - cone.large_mm) / math.hypot(
        standards.rule("socket-mouth-sd-mm"), measured.sd_diameter_mm
    )
    chi_squared = near.chi_squared + off**2
    notes: list[Reason] = []
    if mouth < cone.large_mm - 2 * measured.sd_diameter_mm:
        notes.append(because("mouth-under", mouth=length(mouth), nominal=length(cone.large_mm)))
    notes += [note for note in notes_of(cone, near) if note.id != "past-gauge-plane"]
    candidate = Candidate(
        cone.name,
        cone.system,
        near.error_mm,
        0.0,
        tuple(notes),
        confirmed=cone.evidence.of("large"),
    )
    return Scored(candidate, likelihood(chi_squared) * commonness(cone, standards), chi_squared)
