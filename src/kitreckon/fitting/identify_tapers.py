"""What is this taper? From two diameters and the distance between them.

For every cone of the tables the nearest triple (diameter,
diameter, distance) that it can give is found, and the distance to it counted in standard
deviations.
"""

from __future__ import annotations

import math

from kitreckon.errors import KitreckonError
from kitreckon.fitting.bench import length
from kitreckon.fitting.cones import (
    CONED_NOSES,
    SD_DIAMETER_MM,
    SD_LENGTH_MM,
    Measured,
    Nearest,
    all_cones,
    nearest,
    share_cone,
)
from kitreckon.fitting.model import Candidate, Identification
from kitreckon.fitting.odds import Scored, above_zero, likelihood, ranked
from kitreckon.reasons import Reason, because
from kitreckon.standards import Cone, Standards

# Chi squared from which the note on the drift slot is worth its line; no chance hangs on it.
_SLOT_NEAR, _SLOT_CLEARER = 12.0, 6.0


def identify_taper(
    standards: Standards,
    large_mm: float,
    small_mm: float,
    distance_mm: float,
    *,
    sd_diameter_mm: float = SD_DIAMETER_MM,
    sd_length_mm: float = SD_LENGTH_MM,
) -> Identification:
    """Return what an outside taper may be, best first.

    Diameters at two places of the cone, and the distance between these along the axis, in mm;
    sd_* are the standard deviations of the measurements. Raises KitreckonError where a length
    is not above zero or the small diameter not below the large.
    """
    measured = checked(large_mm, small_mm, distance_mm, sd_diameter_mm, sd_length_mm)
    cones = all_cones(standards)
    scored = [_scored(cone, measured, standards) for cone in cones.values()]
    return identified(scored, measured, cones, standards)


def checked(
    large_mm: float, small_mm: float, distance_mm: float, sd_diameter: float, sd_length: float
) -> Measured:
    """Return the measurements; raises KitreckonError where they cannot be."""
    above_zero(large_mm=large_mm, small_mm=small_mm, distance_mm=distance_mm)
    above_zero(sd_diameter_mm=sd_diameter, sd_length_mm=sd_length)
    if small_mm >= large_mm:
        raise KitreckonError(
            "the smaller diameter is not below the larger",
            where="small",
            want="measure again, or swap them",
        )
    return Measured(large_mm, small_mm, distance_mm, sd_diameter, sd_length)


def _scored(cone: Cone, measured: Measured, standards: Standards) -> Scored:
    near = nearest(cone, measured)
    ends = _ends_chi(cone, measured)
    weight = likelihood(near.chi_squared) + standards.rule("taper-at-ends") * likelihood(ends)
    notes: list[Reason] = []
    chi_squared = near.chi_squared
    slot = _slot_chi(cone, measured)
    if slot is not None:
        slot_weight = standards.rule("taper-slot-chance") * likelihood(slot)
        # both end diameters, and the distance is the slot's rather than the cone's
        if slot < _SLOT_NEAR and slot + _SLOT_CLEARER < ends:
            notes.append(_slot_note(cone, measured))
            chi_squared = min(chi_squared, slot)
        weight += slot_weight
    notes += notes_of(cone, near)
    candidate = Candidate(
        cone.name,
        cone.system,
        near.error_mm,
        0.0,
        tuple(notes),
        confirmed=cone.evidence.of("large"),
    )
    return Scored(candidate, weight * commonness(cone, standards), chi_squared)


def _ends_chi(cone: Cone, measured: Measured) -> float:
    """Chi squared of both places being the ends of the cone, at any length it is made in."""
    found = []
    for one in cone.lengths_mm or (cone.length_mm,):
        large = cone.small_mm + cone.rate * one if cone.from_small_end else cone.large_mm
        found.append(
            ((measured.large_mm - large) ** 2 + (measured.small_mm - cone.small_mm) ** 2)
            / measured.sd_diameter_mm**2
            + ((measured.distance_mm - one) / measured.sd_length_mm) ** 2
        )
    return min(found)


def _slot_chi(cone: Cone, measured: Measured) -> float | None:
    """Chi squared of both end diameters with the drift slot's distance between them."""
    if cone.slot_mm is None:
        return None
    across = (measured.large_mm - cone.large_mm) ** 2 + (measured.small_mm - cone.small_mm) ** 2
    along = (measured.distance_mm - cone.slot_mm) / measured.sd_length_mm
    return across / measured.sd_diameter_mm**2 + along**2


def _slot_note(cone: Cone, measured: Measured) -> Reason:
    return because(
        "length-is-drift-slot",
        name=cone.name,
        typed=length(measured.distance_mm),
        slot=length(cone.slot_mm or 0.0),
        cone=length(cone.length_mm),
    )


def notes_of(cone: Cone, near: Nearest) -> list[Reason]:
    """Return what to say of a candidate: past the gauge plane, several lengths, from memory."""
    notes = []
    if near.large_at_mm < -0.6:
        notes.append(because("past-gauge-plane", by=length(-near.large_at_mm)))
    if len(cone.lengths_mm) > 1:
        lengths = tuple(length(one) for one in cone.lengths_mm)
        notes.append(because("made-in-lengths", name=cone.name, lengths=lengths))
    if cone.evidence.of("large") == 0:
        notes.append(because("row-from-memory", row=cone.name))
    return notes


def commonness(cone: Cone, standards: Standards) -> float:
    """Put the commoner first of two that cannot be told apart; too even to make one certain."""
    met = standards.rules.get(f"met-{cone.system}")
    return met.value if met else 1.0


def _none_weight(measured: Measured, standards: Standards) -> float:
    """Weight of a taper that is in no table: any rate from 0 to the spread, evenly."""
    rate = measured.rate
    residual = math.hypot(math.sqrt(2) * measured.sd_diameter_mm, rate * measured.sd_length_mm)
    spread = standards.rule("taper-none-rate") * measured.distance_mm
    return standards.rule("taper-none") * min(0.5, residual * math.sqrt(2 * math.pi) / spread)


def identified(
    scored: list[Scored], measured: Measured, cones: dict[str, Cone], standards: Standards
) -> Identification:
    """Return the scored cones with their odds, and what to measure next."""

    def same(one: str, other: str) -> bool:
        return share_cone(cones[one], cones[other])

    candidates, none = ranked(scored, _none_weight(measured, standards), same)
    return Identification(candidates, none, _next(candidates, none, cones))


def _next(candidates: tuple[Candidate, ...], none: float, cones: dict[str, Cone]) -> Reason | None:
    """Return what to measure next, or None when one name is nearly certain."""
    if not candidates or none > 0.5:
        return because("measure-over-longer")
    first = candidates[0]
    if first.notes and first.notes[0].id == "length-is-drift-slot":
        return because("measure-cone-itself", name=first.name)
    rivals = [one for one in candidates[1:] if one.probability > 0.02]
    if not rivals:
        return None
    mine, its = cones[first.name], cones[rivals[0].name]
    if rivals[0].name in first.together:
        if mine.system in CONED_NOSES or its.system in CONED_NOSES:
            return because("look-at-fixing", first=first.name, second=rivals[0].name)
        return because("measure-whole-length", **_pair(mine, its, "length_mm"))
    if abs(mine.large_mm - its.large_mm) > 0.2:
        return because("measure-large-end", **_pair(mine, its, "large_mm"))
    return because("measure-over-longer")


def _pair(mine: Cone, its: Cone, field: str) -> dict[str, object]:
    return {
        "first": mine.name,
        "first_size": length(getattr(mine, field)),
        "second": its.name,
        "second_size": length(getattr(its, field)),
    }
