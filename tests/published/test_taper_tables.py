"""Taper tables against what was published about them, source beside each table.

Diameters and lengths came from inch tables, ratios and half angles from others, so that two
independent statements of one cone are made to agree. Where a figure is from memory it says so.
"""

from __future__ import annotations

import math
from functools import lru_cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.fitting.cones import all_cones, taper_per_foot
from kitreckon.standards import Cone, Standards


@lru_cache
def tables() -> Standards:
    return open_catalogue().standards


def cone(name: str) -> Cone:
    return tables().cones[name]


ROWS = sorted(open_catalogue().standards.cones)

# Ratios on diameter of ISO Morse tapers, 1 in ...: an open source file of Morse ratios and half
# angles (source ratio-file of catalogs/standards/morse.yaml); MT6 as ISO 296 has it, from memory.
MORSE_RATIOS = {
    "MT0": (19.212, 1.4908),
    "MT1": (20.047, 1.4287),
    "MT2": (20.020, 1.4307),
    "MT3": (19.922, 1.4377),
    "MT4": (19.254, 1.4876),
    "MT5": (19.002, 1.5073),
    "MT6": (19.180, 1.4933),
}

# Large ends in mm as ISO 296 has them: from memory, no copy of the table could be read.
ISO_LARGE_MM = {
    "MT0": 9.045,
    "MT1": 12.065,
    "MT2": 17.780,
    "MT3": 23.825,
    "MT4": 31.267,
    "MT5": 44.399,
    "MT6": 63.348,
}

# Drift-slot positions in inches: hobby-machinist.com/threads/taper-sizes-by-measurement.3102,
# where they stand in a column called length.
SLOTS_IN = {
    "MT0": 1 + 15 / 16,
    "MT1": 2 + 1 / 16,
    "MT2": 2 + 1 / 2,
    "MT3": 3 + 1 / 16,
    "MT4": 3 + 7 / 8,
    "MT4.5": 4 + 5 / 16,
    "MT5": 4 + 15 / 16,
    "MT6": 7.0,
    "MT7": 9.5,
}


@pytest.mark.parametrize("name", ROWS)
def test_diameters_length_and_taper_of_every_row_agree(name: str) -> None:
    row = cone(name)
    computed = taper_per_foot(row.large_mm, row.small_mm, row.length_mm) / 12
    # diameters are printed to 0.0005 in at worst, lengths to a sixteenth's rounding
    slack = (2 * 0.0127 + row.rate * 0.04) / row.length_mm + 1e-9
    assert computed == pytest.approx(row.rate, abs=slack)


@pytest.mark.parametrize("name", [n for n in ROWS if cone(n).printed_half_angle_deg])
def test_printed_half_angle_is_that_of_the_printed_taper(name: str) -> None:
    row = cone(name)
    assert row.half_angle_deg == pytest.approx(row.printed_half_angle_deg, abs=0.0002)


@pytest.mark.parametrize("name", MORSE_RATIOS)
def test_inch_taper_per_foot_agrees_with_the_metric_ratio(name: str) -> None:
    ratio, half_angle = MORSE_RATIOS[name]
    printed = cone(name).printed_taper_per_foot_in
    assert printed == pytest.approx(12 / ratio, abs=3e-5)  # of a ratio in three decimals
    assert cone(name).half_angle_deg == pytest.approx(half_angle, abs=0.0001)


@pytest.mark.parametrize("name", ISO_LARGE_MM)
def test_inch_large_ends_agree_with_the_metric_standard(name: str) -> None:
    assert cone(name).large_mm == pytest.approx(ISO_LARGE_MM[name], abs=0.001)


@pytest.mark.parametrize("name", SLOTS_IN)
def test_the_drift_slot_stands_before_the_end_of_the_cone(name: str) -> None:
    row = cone(name)
    assert row.slot_mm == pytest.approx(SLOTS_IN[name] * 25.4)
    assert row.slot_mm is not None and row.slot_mm < row.length_mm


def test_mt2_half_angle_is_that_of_an_independent_model() -> None:
    # an open source model prints 1.4302777 degrees (source half-angle-file)
    assert cone("MT2").half_angle_deg == pytest.approx(1.4302777, abs=0.0005)


@pytest.mark.parametrize("name", [n for n in ROWS if cone(n).system == "7:24"])
def test_steep_tapers_are_7_in_24_exactly(name: str) -> None:
    # docslib.org/doc/9708182/standard-tapers: 3-1/2 inches per foot, over 16 degrees included
    row = cone(name)
    assert row.rate == pytest.approx(7 / 24, abs=1e-12)
    assert 2 * row.half_angle_deg == pytest.approx(16 + 35 / 60 + 39.4 / 3600, abs=1e-4)


def test_short_tapers_are_1_in_4_within_the_rounding_of_their_angle() -> None:
    # 7 degrees 7 minutes 30 seconds a side: ISO 702 text on published nose charts
    assert 2 * math.tan(math.radians(7 + 7.5 / 60)) == pytest.approx(1 / 4, abs=2e-5)
    short = [c for c in all_cones(tables()).values() if c.system in ("camlock", "bayonet")]
    assert len(short) >= 14
    assert all(c.rate == pytest.approx(0.25) for c in short)


@pytest.mark.parametrize("number", range(2, 21))
def test_jarno_follows_its_rule(number: int) -> None:
    # the rule as every handbook states it: n/8, n/10, n/2 inches, 0.600 in per foot
    row = cone(f"JN{number}")
    assert row.large_mm == pytest.approx(number / 8 * 25.4)
    assert row.small_mm == pytest.approx(number / 10 * 25.4)
    assert row.length_mm == pytest.approx(number / 2 * 25.4)


def test_r8_is_not_the_steep_taper() -> None:
    # 16 degrees 51 minutes included (trade figure, from memory) gives 3.5547 in per foot
    assert 24 * math.tan(math.radians(16.85 / 2)) == pytest.approx(3.5547, abs=1e-4)
    assert cone("R8").rate * 12 == pytest.approx(3.5547, abs=1e-4)


@pytest.mark.parametrize("name", ["B10", "B12", "B16", "B18", "B22", "B24"])
def test_short_morse_cones_have_the_taper_of_their_morse_number(name: str) -> None:
    # ISO 239: B10, B12 are Morse 1; B16, B18 Morse 2; B22, B24 Morse 3
    row = cone(name)
    number = {"B10": 1, "B12": 1, "B16": 2, "B18": 2, "B22": 3, "B24": 3}[name]
    assert row.same_cone_as == f"MT{number}"
    assert row.rate == pytest.approx(cone(row.same_cone_as).rate, abs=0.0001)


def test_large_ends_of_the_longer_short_cones_are_the_morse_gauge_diameters() -> None:
    for short, whole in (("B12", "MT1"), ("B18", "MT2"), ("B24", "MT3")):
        assert cone(short).large_mm == pytest.approx(cone(whole).large_mm, abs=0.001)


@pytest.mark.parametrize("number", range(1, 17))
def test_bs_large_end_is_small_end_plus_taper_at_every_length(number: int) -> None:
    # five-decimal diameters: hobby-machinist.com/threads/taper-sizes-by-measurement.3102
    row = cone(f"BS{number}")
    for one in row.lengths_mm or (row.length_mm,):
        assert row.small_mm + row.rate * one <= row.large_mm + 0.003
    assert row.small_mm + row.rate * row.length_mm == pytest.approx(row.large_mm, abs=0.003)
