"""Cones as measuring sees them: what two places on one give, and which cones are one cone.

The two places may lie anywhere on the cone, past the gauge plane as far as real shanks run and,
on a tang, past the small end.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from kitreckon.errors import KitreckonError
from kitreckon.fitting.odds import above_zero
from kitreckon.standards import Cone, Nose, Standards

# What a caliper and a rule give in ordinary hands; whoever measures better or worse says so.
SD_DIAMETER_MM = 0.03
SD_LENGTH_MM = 0.3
CONED_NOSES = ("camlock", "bolted short taper", "bayonet", "long taper")
_SHORT_TAPER_MM = 11.0  # where a row gives no length: that of the smaller camlock noses


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

    The unit in which tables print it: rows are checked against what they print by this.

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


def share_cone(one: Cone, other: Cone) -> bool:
    """Whether two rows are lengths of one cone, or one cone with different fixings."""
    if abs(one.rate - other.rate) > 0.0005:
        return False
    family = {one.same_cone_as or one.name, other.same_cone_as or other.name}
    if len(family) == 1:
        return True
    both_morse = {one.system, other.system} <= {"Morse", "Jarno", "metric", "BS"}
    return not both_morse and abs(one.large_mm - other.large_mm) < 0.1


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
    noses = tuple(nose for nose in standards.noses.values() if nose.system in CONED_NOSES)
    return {cone.name: cone for cone in _cones(standards, noses)}


def _cones(standards: Standards, noses: tuple[Nose, ...]) -> Iterator[Cone]:
    yield from standards.cones.values()
    yield from _nose_cones(noses)
