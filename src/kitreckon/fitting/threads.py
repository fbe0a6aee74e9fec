"""Screw threads: the band a real major diameter lies in, and pitches as people type them."""

from __future__ import annotations

import re
from fractions import Fraction

from kitreckon.errors import KitreckonError

_INCH = re.compile(
    r"(?P<count>\d{1,2}(?:\.\d{1,3})?)(?:(?:-|\s+)(?P<over>\d)/(?P<under>[248]))?"
    r"\s*(?:tpi|threads? per inch|t\.?p\.?i\.?)",
    re.I,
)
_METRIC = re.compile(r"(\d{1,2}(?:[.,]\d{1,4})?)\s*mm", re.I)


def read_pitch(text: str) -> float:
    """Return a pitch in mm from "8tpi" or "4mm"; raises KitreckonError for anything else.

    >>> read_pitch("8 tpi"), read_pitch("3,5 mm"), round(read_pitch("11-1/2 tpi"), 3)
    (3.175, 3.5, 2.209)
    """
    typed = text.strip()[:40]
    inch, metric = _INCH.fullmatch(typed), _METRIC.fullmatch(typed)
    value = 0.0
    if inch and (count := _count(inch)) > 0:
        value = 25.4 / count
    elif metric:
        value = float(metric[1].replace(",", "."))
    if not 0.2 <= value <= 13:
        raise KitreckonError(
            f"{typed!r} is not a pitch", where="pitch", want="threads to the inch (8tpi) or 4mm"
        )
    return value


def _count(inch: re.Match[str]) -> float:
    part = int(inch["over"]) / int(inch["under"]) if inch["under"] else 0.0
    return float(inch["count"]) + part


_THREAD = re.compile(r"M\d+(\.\d+)?(x[\d.]+)?|[\d./-]*[\d]-\d+(\.\d+)?")
_NEAR_MM = 0.5  # no two threads of noses with one pitch lie nearer than this
_SAME_PITCH = 0.005  # rounding alone: 25.4/8 written as 3.18; the nearest pitches are 1.6 % apart
_SIZE = re.compile(
    r"(?:(?P<whole>\d{1,2})-)?(?P<over>\d{1,2})/(?P<under>\d{1,2})-(?P<tpi>[\d.]+)"
    r"|(?P<inches>\d?\d?\.?\d{1,4})-(?P<threads>[\d.]+)"
    r"|M(?P<mm>[\d.]+)x(?P<pitch>[\d.]+)"
)


def thread_size_mm(name: str) -> tuple[float, float] | None:
    """Return major diameter and pitch of a thread written "1-1/2-8", "1.238-20" or "M12x1".

    None for a text that is no thread, or states no pitch.

    >>> thread_size_mm("7/16-20"), thread_size_mm("M12x1"), thread_size_mm("M10")
    ((11.1125, 1.27), (12.0, 1.0), None)
    """
    found = _SIZE.fullmatch(name)
    if found is None:
        return None
    if found["mm"]:
        return float(found["mm"]), float(found["pitch"])
    if found["inches"]:
        return float(found["inches"]) * 25.4, 25.4 / float(found["threads"])
    inches = Fraction(int(found["over"]), int(found["under"])) + int(found["whole"] or 0)
    return float(inches * Fraction("25.4")), 25.4 / float(found["tpi"])


def is_thread(mount: str) -> bool:
    """Whether a designation is a screw thread, by its spelling.

    >>> [is_thread(name) for name in ("1-1/2-8", "M39x4", "3/8-24", "MT3", "5C", "D1-4")]
    [True, True, True, False, False, False]
    """
    return _THREAD.fullmatch(mount) is not None


def same_thread(one: str, other: str) -> bool | None:
    """Whether two threads are one: same pitch, and the smaller in the band below the larger.

    None where a pitch is not stated and the diameters leave it open.

    >>> same_thread("1-1/2-8", "1.495-8"), same_thread("M39x4", "1-1/2-8")
    (True, False)
    >>> same_thread("M39", "M39x4"), same_thread("M39", "M33x3.5")
    (None, False)
    """
    first, second = thread_size_mm(one), thread_size_mm(other)
    if first is None or second is None:
        majors = [_major_mm(one), _major_mm(other)]
        return None if abs(majors[0] - majors[1]) < _NEAR_MM else False
    if abs(first[1] - second[1]) > _SAME_PITCH * first[1]:
        return False
    larger, smaller = max(first[0], second[0]), min(first[0], second[0])
    return smaller >= major_band_mm(larger, first[1])[0] - _NEAR_MM / 10


def _major_mm(name: str) -> float:
    size = thread_size_mm(name)
    if size is not None:
        return size[0]
    bare = re.fullmatch(r"M([\d.]+)", name)
    return float(bare[1]) if bare else 0.0


def major_band_mm(major_mm: float, pitch_mm: float) -> tuple[float, float]:
    """Return the least and largest major diameter of an outside thread of ordinary fit.

    ISO 965-1, 6g, from memory: the allowance is 15 + 11 P micrometres, the tolerance
    180 P^(2/3) - 3.15 P^(-1/2); class 2A of inch threads comes to the same within a few
    hundredths. A worn or truncated crest lies lower still.

    1/2-13 class 2A: 0.4876 to 0.4985 in (ASME B1.1 as in a registry package's table).

    >>> low, high = major_band_mm(12.7, 25.4 / 13)
    >>> round(low / 25.4, 3), round(high / 25.4, 3)
    (0.488, 0.499)
    """
    allowance = (15 + 11 * pitch_mm) / 1000
    tolerance = (180 * pitch_mm ** (2 / 3) - 3.15 / pitch_mm**0.5) / 1000
    return major_mm - allowance - tolerance, major_mm - allowance


def off_thread_mm(
    diameter_mm: float, major_mm: float, pitch_mm: float | None
) -> tuple[float, bool]:
    """Return how far a diameter is off a thread's limits, and whether it lies between them.

    Where the table states no pitch its limits are not known, and the nominal size is taken.

    >>> off_thread_mm(56.9, 57.15, 3.175), off_thread_mm(57.4, 57.15, None)
    ((0.0, True), (0.25, False))
    """
    if pitch_mm is None:
        return abs(diameter_mm - major_mm), False
    off = abs(outside_band_mm(diameter_mm, major_band_mm(major_mm, pitch_mm)[0], major_mm))
    return off, off == 0.0


def outside_band_mm(diameter_mm: float, low_mm: float, high_mm: float) -> float:
    """Return how far a diameter lies outside a band: negative below it, 0 within."""
    return min(0.0, diameter_mm - low_mm) + max(0.0, diameter_mm - high_mm)
