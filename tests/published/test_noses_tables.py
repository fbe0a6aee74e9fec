"""Spindle noses, T-slots and chuck speeds against what was published about them."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.fitting.identify_noses import share_nose_cone
from kitreckon.fitting.speed import rim_speed_rpm
from kitreckon.standards import Nose, Standards


@lru_cache
def tables() -> Standards:
    return open_catalogue().standards


def nose(name: str) -> Nose:
    return tables().noses[name]


# Stud counts: a dealer's published chart, and a published page on lathe parts (3 or 6 studs).
STUDS = {
    "D1-3": 3,
    "D1-4": 3,
    "D1-5": 6,
    "D1-6": 6,
    "D1-8": 6,
    "D1-11": 6,
    "D1-15": 6,
    "D1-20": 6,
}

# Bolt circles in inches as ASME B5.9 has them (from memory) against the chart's millimetres.
CIRCLES_IN = {
    "D1-3": 2.781,
    "D1-4": 3.25,
    "D1-5": 4.125,
    "D1-6": 5.25,
    "D1-8": 6.75,
    "D1-11": 9.25,
    "D1-15": 13.0,
    "D1-20": 18.25,
}

# ASME B5.1M T-slot widths and bolts in mm, as reprinted on an engineering reference page
# (ns2.engineersedge.com/hardware/dimension_table_for_tslots_bolts_and_nuts_13508.htm).
SLOTS_MM = {5: "M4", 6: "M5", 8: "M6", 10: "M8", 12: "M10", 14: "M12", 18: "M16", 22: "M20"}

# One maker's published manual for hand-operated chucks: body, cast-iron and steel speeds, and
# the rim speeds these come to.
RIM_M_S = {80: (20.9, 29.3), 160: (30.2, 38.5), 200: (31.4, 41.9), 315: (33.0, 46.2)}


@pytest.mark.parametrize("name", STUDS)
def test_camlock_stud_counts(name: str) -> None:
    assert nose(name).studs == STUDS[name]


@pytest.mark.parametrize("name", CIRCLES_IN)
def test_camlock_bolt_circles_agree_in_both_units(name: str) -> None:
    # the chart prints tenths of a millimetre
    assert nose(name).bolt_circle_mm == pytest.approx(CIRCLES_IN[name] * 25.4, abs=0.06)


@pytest.mark.parametrize("size", ["3", "4", "5", "6", "8", "11", "15", "20"])
def test_noses_of_one_size_share_their_cone_whatever_holds_the_chuck(size: str) -> None:
    own = nose(f"D1-{size}")
    kin = [one for one in tables().noses.values() if one.size == size and one.rate == 0.25]
    assert len(kin) >= 2
    assert all(share_nose_cone(own, one) for one in kin)
    # the two charts print the largest gauge diameter, from different tolerance classes
    assert all(one.gauge_mm == pytest.approx(own.gauge_mm, abs=0.03) for one in kin)


def test_short_taper_no_3_is_the_cone_of_d1_3() -> None:
    # an owner's page on a bolted short taper No 3, March 2019
    assert share_nose_cone(nose("A2-3"), nose("D1-3"))


@pytest.mark.parametrize("name", ["L00", "L0", "L1", "L2", "L3"])
def test_long_tapers_have_the_steep_taper(name: str) -> None:
    # 3-1/2 in per foot, a page on lathe parts: "long steep taper"; gauge diameters from memory
    assert nose(name).rate == pytest.approx(7 / 24)


def test_l00_and_steep_taper_50_have_one_gauge_diameter() -> None:
    assert nose("L00").gauge_mm == pytest.approx(tables().cones["ISO50"].large_mm)


def test_m39_nose_is_the_one_whose_register_was_measured() -> None:
    # an owner's page: register 1.535 in on an M39x4 nose; 39 mm is 1.5354 in
    assert nose("M39x4").major_mm == pytest.approx(1.535 * 25.4, abs=0.02)


@pytest.mark.parametrize("width", SLOTS_MM)
def test_t_slots_take_their_bolts(width: int) -> None:
    slot = tables().t_slots[f"{width} mm"]
    assert slot.bolt == SLOTS_MM[width]
    assert float(slot.bolt[1:]) < slot.width_mm < slot.head_width_mm[0]


@pytest.mark.parametrize("body", RIM_M_S)
def test_chuck_speeds_come_to_the_rim_speeds(body: int) -> None:
    row = next(one for one in tables().chuck_speeds if one.size_mm == body)
    cast_iron, steel = RIM_M_S[body]
    assert row.cast_iron_rpm == pytest.approx(rim_speed_rpm(body, cast_iron), rel=0.003)
    assert row.steel_rpm == pytest.approx(rim_speed_rpm(body, steel), rel=0.003)


def test_speeds_fall_as_bodies_grow() -> None:
    rows = tables().chuck_speeds
    for one, larger in pairwise(rows):
        assert larger.cast_iron_rpm <= one.cast_iron_rpm
        assert larger.steel_rpm <= one.steel_rpm


def test_rim_speed_of_twenty_metres_a_second_on_200_mm() -> None:
    # 60,000 v / (pi d), worked in shop texts: 1,910 rev/min
    assert round(rim_speed_rpm(200, 20)) == 1910
    assert math.pi * 0.2 * 1910 / 60 == pytest.approx(20, abs=0.01)


# ER nut threads: an open source file, and a maker's published sheet of DIN 6499 cavities.
NUTS = {
    "ER11": "M14x0.75",
    "ER16": "M22x1.5",
    "ER20": "M25x1.5",
    "ER25": "M32x1.5",
    "ER32": "M40x1.5",
    "ER40": "M50x1.5",
}


@pytest.mark.parametrize("name", NUTS)
def test_er_nut_threads_and_bodies(name: str) -> None:
    collet = tables().collets[name]
    assert collet.nut_thread == NUTS[name]
    assert collet.body_mm < float(collet.nut_thread[1:].partition("x")[0])
    assert collet.half_angle_deg == 8  # ISO 15488: 8 degrees is the setting angle, a side


# Lathe reference page (machref.com/content/lathe.html): bar, least bore, overhang in steel and
# carbide, inches.
BARS_IN = [(0.375, 0.5, 1.5, 2.625), (0.5, 0.625, 2, 3.5), (0.75, 1, 3, 5.25), (1, 1.25, 4, 7)]


@pytest.mark.parametrize(("bar", "bore", "steel", "carbide"), BARS_IN)
def test_boring_bars(bar: float, bore: float, steel: float, carbide: float) -> None:
    row = next(r for r in tables().boring_bars if r.bar_mm == pytest.approx(bar * 25.4))
    assert row.least_bore_mm == pytest.approx(bore * 25.4)
    assert row.overhang_steel_mm == pytest.approx(steel * 25.4)
    assert row.overhang_steel_mm / row.bar_mm == pytest.approx(4)
    assert row.overhang_carbide_mm == pytest.approx(carbide * 25.4)
    assert row.overhang_carbide_mm / row.bar_mm == pytest.approx(7)
