"""Threads against two registry packages, typed off as short tables, and a third for the band.

tests/benchmarks/thread_packages.py compares the whole of these packages where they are at hand.
"""

from __future__ import annotations

from functools import lru_cache

import pint
import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.fitting.threads import major_band_mm, read_pitch, thread_size_mm
from kitreckon.quantities import Length, read_length
from kitreckon.standards import Standards


@lru_cache
def tables() -> Standards:
    return open_catalogue().standards


# PyPI solidpython2 2.1.3, bundled screws.scad, table UTS_thread: (coarse, fine) threads an inch.
UNIFIED = {
    "1/4": (20, 28),
    "5/16": (18, 24),
    "3/8": (16, 24),
    "7/16": (14, 20),
    "1/2": (13, 20),
    "9/16": (12, 18),
    "5/8": (11, 18),
    "3/4": (10, 16),
    "7/8": (9, 14),
    "1": (8, 12),
    "1-1/8": (7, 12),
    "1-1/4": (7, 12),
    "1-3/8": (6, 12),
    "1-1/2": (6, 12),
    "1-3/4": (5, None),
    "2": (4.5, None),
}

# The same file, table ISO_thread, column coarse; M9, M11 and sizes under M3 left out.
METRIC_COARSE = {
    3: 0.5, 4: 0.7, 5: 0.8, 6: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2, 16: 2, 18: 2.5, 20: 2.5,
    22: 2.5, 24: 3, 27: 3, 30: 3.5, 33: 3.5, 36: 4, 39: 4, 42: 4.5, 45: 4.5, 48: 5, 52: 5,
    56: 5.5, 60: 5.5, 64: 6,
}  # fmt: skip

# PyPI bd_warehouse 0.4.0, data/tap_hole_sizes.csv: which designations exist, up to 1 in and M22.
TAPPED = [
    "1/4-20", "1/4-28", "5/16-18", "5/16-24", "3/8-16", "3/8-24", "7/16-14", "7/16-20", "1/2-13",
    "1/2-20", "9/16-12", "9/16-18", "5/8-11", "5/8-18", "3/4-10", "3/4-16", "7/8-9", "7/8-14",
    "1-8", "1-12", "M3x0.5", "M4x0.7", "M5x0.8", "M6x1", "M8x1.25", "M10x1.5", "M12x1.75",
    "M14x2", "M16x2", "M18x2.5", "M20x2.5", "M22x2.5",
]  # fmt: skip

# PyPI screw-thread-lib 0.0.6, data/ASME.py: largest and least major diameter in inches, class 2A
# and 6g (its own note: values of ASME B1.1-2019 and B1.13-2005).
MAJORS_IN = {
    "1/4-20": (0.2489, 0.2408),
    "1/4-28": (0.2490, 0.2425),
    "1/2-13": (0.4985, 0.4876),
    "1/2-20": (0.4987, 0.4906),
    "3/4-10": (0.7482, 0.7353),
    "3/4-16": (0.7485, 0.7391),
    "1-8": (0.9980, 0.9830),
    "1-12": (0.9982, 0.9868),
    "M8x1.25": (0.31386, 0.30551),
    "M12x1.75": (0.47110, 0.46067),
    "M20x2.5": (0.78575, 0.77256),
    "M24x3": (0.94299, 0.92823),
}


# Debian's freecad-common 0.20.2, metric-external-6G.csv and imperial-external-2A.csv: largest and
# least major diameters at the sizes of noses, mm and inches. Its row M33 x 3.5 (32.968, 32.543)
# is left out: its allowance is 0.032 where every other thread of that pitch has 0.053.
NOSE_MAJORS_MM = {
    "M24x3": (23.952, 23.577),
    "M30x3.5": (29.947, 29.522),
    "M36x4": (35.940, 35.465),
    "M39x4": (38.940, 38.465),
    "M42x4.5": (41.937, 41.437),
    "M48x5": (47.929, 47.399),
}
NOSE_MAJORS_IN = {
    "1-8": (0.9980, 0.9830),
    "1-1/4-7": (1.2478, 1.2314),
    "1-1/2-6": (1.4976, 1.4794),
    "1-3/4-5": (1.7473, 1.7268),
}


@pytest.mark.parametrize("size", UNIFIED)
def test_unified_threads(size: str) -> None:
    for series, tpi in zip(("unified coarse", "unified fine"), UNIFIED[size], strict=True):
        if tpi is not None:
            row = tables().threads[f"{size}-{tpi}"]
            assert (row.series, row.tpi) == (series, tpi)
            assert row.major_mm == pytest.approx(read_length(f"{size}in").mm)


@pytest.mark.parametrize("size", METRIC_COARSE)
def test_metric_coarse_threads(size: int) -> None:
    row = tables().threads[f"M{size}x{METRIC_COARSE[size]:g}"]
    assert (row.major_mm, row.pitch_mm) == (size, METRIC_COARSE[size])


def test_every_coarse_and_fine_thread_up_to_an_inch_is_in_the_table_of_tap_drills() -> None:
    ours = {
        name
        for name, row in tables().threads.items()
        if row.major_mm <= (25.4 if row.tpi else 22) + 0.01
    }
    assert ours == set(TAPPED)


@pytest.mark.parametrize("name", MAJORS_IN)
def test_band_of_major_diameters(name: str) -> None:
    size = thread_size_mm(name)
    assert size is not None
    low, high = major_band_mm(*size)
    largest, least = MAJORS_IN[name]
    # tables round the tolerance to preferred steps; 2A follows another formula than 6g
    slack = 0.0003 if name.startswith("M") else 0.0011
    assert high / 25.4 == pytest.approx(largest, abs=slack)
    assert low / 25.4 == pytest.approx(least, abs=slack)


@pytest.mark.parametrize("name", [*NOSE_MAJORS_MM, *NOSE_MAJORS_IN])
def test_band_at_the_sizes_of_noses(name: str) -> None:
    size = thread_size_mm(name)
    assert size is not None
    low, high = major_band_mm(*size)
    if name in NOSE_MAJORS_MM:
        # the tables round tolerances up to preferred steps: 452 micrometres to 475 at 4 mm pitch
        assert (high, low) == pytest.approx(NOSE_MAJORS_MM[name], abs=0.025)
    else:
        assert (high / 25.4, low / 25.4) == pytest.approx(NOSE_MAJORS_IN[name], abs=0.0012)


@pytest.mark.parametrize(("thread", "tpi"), [("M33x3.5", 7.26), ("M39x4", 6.35)])
def test_metric_noses_in_threads_an_inch(thread: str, tpi: float) -> None:
    # shop arithmetic: 25.4 over the pitch
    assert 25.4 / (tables().noses[thread].pitch_mm or 0) == pytest.approx(tpi, abs=0.005)


@pytest.mark.parametrize(
    "text", ["1-1/2in", "0.938in", "17.78mm", "4 1/16in", "2-1/4in", "31/32in"]
)
def test_lengths_agree_with_pint(text: str) -> None:
    units: pint.UnitRegistry = pint.UnitRegistry()
    length = read_length(text)
    theirs = (float(length.amount) * units(length.unit or "mm")).to("mm").magnitude
    assert length.mm == pytest.approx(theirs, rel=1e-12)
    assert Length.of_mm(theirs).mm == pytest.approx(length.mm, abs=1e-4)


@pytest.mark.parametrize("tpi", [4, 4.5, 8, 11.5, 20])
def test_pitches_agree_with_pint(tpi: float) -> None:
    units: pint.UnitRegistry = pint.UnitRegistry()
    assert read_pitch(f"{tpi}tpi") == pytest.approx((1 / (tpi / units.inch)).to("mm").magnitude)
