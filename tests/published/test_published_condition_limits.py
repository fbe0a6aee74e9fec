"""Limits that decide a condition, against the figures they are taken from.

Three-jaw run-out, used 0.005 to 0.010 in: a dealer's published guide to lathe chucks. Bell mouth, a
feeler of 0.005 in that goes in: model-engineer.co.uk, a thread on a new chuck. Drill chuck replaced
at 0.09 mm: eevblog.com, message 3596825. Six-jaw 0.002 to 0.004 in: a dealer's published table.
Live centre 0.0005 in and vise jaw lift 0.001 in: common practice, no source.
"""

from __future__ import annotations

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.count import Piece, Reading
from kitreckon.quantities import Length
from kitreckon.reckoning.condition import grade_from_readings

INCH = 25.4


@pytest.mark.parametrize(
    ("kind", "reading", "value_mm", "expected"),
    [
        ("chuck-3-jaw", "run-out", 0.003 * INCH, None),
        ("chuck-3-jaw", "run-out", 0.005 * INCH, None),
        ("chuck-3-jaw", "run-out", 0.010 * INCH, None),
        ("chuck-3-jaw", "run-out", 0.012 * INCH, "fair"),
        ("chuck-3-jaw", "run-out", 0.025 * INCH, "poor"),
        ("chuck-3-jaw", "bell-mouth", 0.004 * INCH, None),
        ("chuck-3-jaw", "bell-mouth", 0.005 * INCH, "poor"),
        ("chuck-4-jaw", "run-out", 0.001 * INCH, None),
        ("chuck-6-jaw", "run-out", 0.004 * INCH, None),
        ("chuck-6-jaw", "run-out", 0.005 * INCH, "fair"),
        ("centre-live", "play", 0.0005 * INCH, None),
        ("centre-live", "play", 0.0006 * INCH, "poor"),
        ("drill-chuck", "run-out", 0.09, "poor"),
        ("milling-vise", "jaw-lift", 0.001 * INCH, None),
        ("milling-vise", "jaw-lift", 0.002 * INCH, "fair"),
    ],
)
def test_a_reading_at_the_published_limit_falls_on_the_right_side(
    kind: str, reading: str, value_mm: float, expected: str | None
) -> None:
    piece = Piece("p", kind, readings=(Reading(reading, Length.of_mm(value_mm)),))
    grade, _ = grade_from_readings(piece, open_catalogue().kinds[kind])
    assert grade == expected
