"""What is this taper? From two diameters and their distance, or from two bars in a socket.

The two places may lie anywhere on the cone, past the gauge plane as far as real shanks run and,
on a tang, past the small end. For every cone of the tables the nearest triple (diameter,
diameter, distance) that it can give is found, and the distance to it counted in standard
deviations.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from kitreckon.errors import KitreckonError
from kitreckon.fitting.bench import length
from kitreckon.fitting.model import Candidate, Identification
from kitreckon.fitting.odds import Scored, above_zero, likelihood, ranked
from kitreckon.reasons import Reason, because
from kitreckon.standards import Cone, Nose, Standards

SD_DIAMETER_MM = 0.03
SD_LENGTH_MM = 0.3
_RATE_SPREAD = 0.3  # tapers in no table: diameter lost per length anywhere from 0 to this
_ENDS_BONUS = 6.0  # people measure at the ends more often than chance would
_SLOT_CHANCE = 0.2  # that a distance which equals the drift slot's is just that
_MOUTH_SD_MM = 0.25  # a used socket's mouth against its gauge diameter
_NONE_SHARE = 0.3
_SHORT_TAPER_MM = 11.0  # where a row gives no length: that of the smaller camlock noses
# Judgement: how often a system is met beside Morse. Never so small that it alone decides.
_COMMONNESS = {"B": 0.6, "7:24": 0.9, "metric": 0.5, "BS": 0.4, "Jarno": 0.4, "bayonet": 0.6}
_CONED_NOSES = ("camlock", "bolted short taper", "bayonet", "long taper")


@dataclass(frozen=True, slots=True)
class Measured:
    """Two diameters, the distance between them along the axis, and their uncertainty."""

    large_mm: float
    small_mm: float
    distance_mm: float
    sd_diameter_mm: float = SD_DIAMETER_MM
    sd_length_mm: float = SD_LENGTH_MM

    @property
    def rate(self) -> float:
        """Diameter lost per length, as measured."""
        return (self.large_mm - self.small_mm) / self.distance_mm


@dataclass(frozen=True, slots=True)
class Nearest:
    """The nearest triple a cone can give: how far, and at which places on the cone."""

    chi_squared: float
    error_mm: float
    large_at_mm: float  # behind the gauge plane; negative: past it
    small_at_mm: float


def taper_per_foot(large_mm: float, small_mm: float, length_mm: float) -> float:
    """Return the taper on diameter, in inches per foot (a pure ratio times twelve).

    large_mm, small_mm: diameters a distance length_mm apart along the axis, all > 0 mm.
    Raises KitreckonError when length_mm <= 0 or small_mm > large_mm.

    Morse No. 3: 0.938 in, 0.778 in, 3-3/16 in (handbook table, catalogs/standards/morse.yaml).

    >>> round(taper_per_foot(23.825, 19.761, 80.963), 3)
    0.602
    """
    above_zero(large_mm=large_mm, small_mm=small_mm, length_mm=length_mm)
    if small_mm > large_mm:
        raise KitreckonError("the small end is the larger one", where="small", want="turn them")
    return 12 * (large_mm - small_mm) / length_mm


def nearest(cone: Cone, measured: Measured) -> Nearest:
    """Return the nearest triple of diameters and distance that a cone can give."""
    low, high = -cone.projection_mm, cone.reach_mm
    free = _places(cone, measured)
    if low <= free[0] and free[1] <= high:
        return _at(cone, measured, *free)
    ends = (
        _at(cone, measured, low, _clamp(_small_place(cone, measured, low), low, high)),
        _at(cone, measured, _clamp(_large_place(cone, measured, high), low, high), high),
    )
    return min(ends, key=lambda one: one.chi_squared)


def _places(cone: Cone, measured: Measured) -> tuple[float, float]:
    """Least squares on the whole cone: share the residual out by the variances."""
    variance = measured.sd_diameter_mm**2
    rest = measured.large_mm - measured.small_mm - cone.rate * measured.distance_mm
    share = rest / (2 * variance + (cone.rate * measured.sd_length_mm) ** 2)
    large = measured.large_mm - variance * share
    small = measured.small_mm + variance * share
    return (cone.large_mm - large) / cone.rate, (cone.large_mm - small) / cone.rate


def _small_place(cone: Cone, measured: Measured, large_at: float) -> float:
    across, along = _weights(cone, measured)
    by_diameter = (cone.large_mm - measured.small_mm) / cone.rate
    by_length = large_at + measured.distance_mm
    return (across * by_diameter + along * by_length) / (across + along)


def _large_place(cone: Cone, measured: Measured, small_at: float) -> float:
    across, along = _weights(cone, measured)
    by_diameter = (cone.large_mm - measured.large_mm) / cone.rate
    by_length = small_at - measured.distance_mm
    return (across * by_diameter + along * by_length) / (across + along)


def _weights(cone: Cone, measured: Measured) -> tuple[float, float]:
    return (cone.rate / measured.sd_diameter_mm) ** 2, 1 / measured.sd_length_mm**2


def _clamp(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


def _at(cone: Cone, measured: Measured, large_at: float, small_at: float) -> Nearest:
    off_large = measured.large_mm - (cone.large_mm - cone.rate * large_at)
    off_small = measured.small_mm - (cone.large_mm - cone.rate * small_at)
    off_length = measured.distance_mm - (small_at - large_at)
    chi_squared = (off_large**2 + off_small**2) / measured.sd_diameter_mm**2 + (
        off_length / measured.sd_length_mm
    ) ** 2
    error = math.sqrt(off_large**2 + off_small**2 + (cone.rate * off_length) ** 2)
    return Nearest(chi_squared, error, large_at, small_at)


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
    measured = _checked(large_mm, small_mm, distance_mm, sd_diameter_mm, sd_length_mm)
    cones = all_cones(standards)
    scored = [_scored(cone, measured) for cone in cones.values()]
    return _identified(scored, measured, cones)


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
    measured = _checked(
        wide_mm, narrow_mm, narrow_depth_mm - wide_depth_mm, sd_diameter_mm, sd_length_mm
    )
    cones = dict(standards.cones)
    scored = []
    for cone in cones.values():
        touching = _touching(cone, measured, wide_depth_mm, narrow_depth_mm) if balls else measured
        depth = wide_depth_mm + (_ball_depth(cone, wide_mm) if balls else 0.0)
        scored.append(_scored_socket(cone, touching, depth))
    return _identified(scored, measured, cones)


def _checked(
    large_mm: float, small_mm: float, distance_mm: float, sd_diameter: float, sd_length: float
) -> Measured:
    above_zero(large_mm=large_mm, small_mm=small_mm, distance_mm=distance_mm)
    above_zero(sd_diameter_mm=sd_diameter, sd_length_mm=sd_length)
    if small_mm >= large_mm:
        raise KitreckonError(
            f"{small_mm:g} mm is not smaller than {large_mm:g} mm",
            where="small",
            want="the smaller of the two diameters",
        )
    return Measured(large_mm, small_mm, distance_mm, sd_diameter, sd_length)


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


def _scored(cone: Cone, measured: Measured) -> Scored:
    near = nearest(cone, measured)
    weight = likelihood(near.chi_squared) + _ENDS_BONUS * likelihood(_ends_chi(cone, measured))
    notes: list[Reason] = []
    chi_squared = near.chi_squared
    slot = _slot_chi(cone, measured)
    if slot is not None:
        slot_weight = _SLOT_CHANCE * likelihood(slot)
        if slot_weight > weight:
            notes.append(_slot_note(cone, measured))
            chi_squared = min(chi_squared, slot)
        weight += slot_weight
    notes += _notes(cone, near)
    candidate = Candidate(
        cone.name,
        cone.system,
        near.error_mm,
        0.0,
        tuple(notes),
        confirmed=cone.evidence.of("large"),
    )
    return Scored(candidate, weight * _commonness(cone), chi_squared)


def _scored_socket(cone: Cone, measured: Measured, wide_depth_mm: float) -> Scored:
    """Score a socket: its depths are from the mouth, so the mouth is known as well."""
    near = nearest(cone, measured)
    mouth = measured.large_mm + cone.rate * wide_depth_mm
    off = (mouth - cone.large_mm) / math.hypot(_MOUTH_SD_MM, measured.sd_diameter_mm)
    chi_squared = near.chi_squared + off**2
    notes: list[Reason] = []
    if mouth < cone.large_mm - 2 * measured.sd_diameter_mm:
        notes.append(because("mouth-under", mouth=length(mouth), nominal=length(cone.large_mm)))
    notes += [note for note in _notes(cone, near) if note.id != "past-gauge-plane"]
    candidate = Candidate(
        cone.name,
        cone.system,
        near.error_mm,
        0.0,
        tuple(notes),
        confirmed=cone.evidence.of("large"),
    )
    return Scored(candidate, likelihood(chi_squared) * _commonness(cone), chi_squared)


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


def _notes(cone: Cone, near: Nearest) -> list[Reason]:
    notes = []
    if near.large_at_mm < -0.6:
        notes.append(because("past-gauge-plane", by=length(-near.large_at_mm)))
    if len(cone.lengths_mm) > 1:
        lengths = tuple(length(one) for one in cone.lengths_mm)
        notes.append(because("made-in-lengths", name=cone.name, lengths=lengths))
    if cone.evidence.of("large") == 0:
        notes.append(because("row-from-memory", row=cone.name))
    return notes


def _commonness(cone: Cone) -> float:
    """Put the commoner first of two that cannot be told apart; too even to make one certain."""
    return _COMMONNESS.get(cone.system, 1.0)


def _none_weight(measured: Measured) -> float:
    """Weight of a taper that is in no table: any rate from 0 to the spread, evenly."""
    rate = measured.rate
    residual = math.hypot(math.sqrt(2) * measured.sd_diameter_mm, rate * measured.sd_length_mm)
    spread = _RATE_SPREAD * measured.distance_mm
    return _NONE_SHARE * min(0.5, residual * math.sqrt(2 * math.pi) / spread)


def _identified(scored: list[Scored], measured: Measured, cones: dict[str, Cone]) -> Identification:
    def same(one: str, other: str) -> bool:
        return share_cone(cones[one], cones[other])

    candidates, none = ranked(scored, _none_weight(measured), same)
    return Identification(candidates, none, _next(candidates, none, cones))


def share_cone(one: Cone, other: Cone) -> bool:
    """Whether two rows are lengths of one cone, or one cone with different fixings."""
    if abs(one.rate - other.rate) > 0.0005:
        return False
    family = {one.same_cone_as or one.name, other.same_cone_as or other.name}
    if len(family) == 1:
        return True
    both_morse = {one.system, other.system} <= {"Morse", "Jarno", "metric", "BS"}
    return not both_morse and abs(one.large_mm - other.large_mm) < 0.1


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
        if mine.system in _CONED_NOSES or its.system in _CONED_NOSES:
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


@lru_cache(maxsize=8)
def _nose_cones(noses: tuple[Nose, ...]) -> tuple[Cone, ...]:
    return tuple(
        Cone(
            nose.name,
            nose.system,
            nose.gauge_mm,
            nose.gauge_mm - nose.rate * (nose.length_mm or _SHORT_TAPER_MM),
            nose.length_mm or _SHORT_TAPER_MM,
            nose.rate,
            evidence=nose.evidence,
        )
        for nose in noses
        if nose.gauge_mm and nose.rate
    )


def all_cones(standards: Standards) -> dict[str, Cone]:
    """Return every taper of the tables, those of spindle noses included, by name."""
    noses = tuple(nose for nose in standards.noses.values() if nose.system in _CONED_NOSES)
    return {cone.name: cone for cone in _cones(standards, noses)}


def _cones(standards: Standards, noses: tuple[Nose, ...]) -> Iterator[Cone]:
    yield from standards.cones.values()
    yield from _nose_cones(noses)
