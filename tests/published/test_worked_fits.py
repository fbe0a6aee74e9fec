"""Worked examples of naming and fitting, each with what it was taken from.

Tapers and noses from published tables; the fits from owners' pages, a lathe manual and the trade.
"""

from __future__ import annotations

from functools import lru_cache

import pytest

from builders import a_lathe, a_piece, length
from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.fitting import (
    Fit,
    Identification,
    fit,
    identify_nose,
    identify_socket,
    identify_taper,
    identify_thread,
)
from kitreckon.fitting.cones import taper_per_foot
from kitreckon.fitting.speed import table_speed_rpm

INCH = 25.4


@lru_cache
def catalogue() -> Catalogue:
    return open_catalogue()


def named(large_in: float, small_in: float, length_in: float) -> Identification:
    tables = catalogue().standards
    return identify_taper(tables, large_in * INCH, small_in * INCH, length_in * INCH)


def reasons(found: Fit) -> set[str]:
    return {reason.id for reason in found.reasons}


def test_full_length_of_a_morse_3() -> None:
    # a dealer's page of tapers: 0.938, 0.778, 3-3/16 in, 0.60235 in per foot
    found = named(0.938, 0.778, 3.1875)
    assert found.candidates[0].name == "MT3"
    assert found.candidates[0].probability > 0.9
    assert taper_per_foot(0.938, 0.778, 3.1875) == pytest.approx(0.60235, abs=0.0005)


def test_drift_slot_taken_for_the_length_of_the_cone() -> None:
    # lists that print 3-1/16 as the length of MT3 print the way to the drift slot
    found = named(0.938, 0.778, 3.0625)
    first = found.candidates[0]
    assert first.name == "MT3"
    assert first.note is not None and first.note.id == "length-is-drift-slot"
    assert taper_per_foot(0.938, 0.778, 3.0625) == pytest.approx(0.6269, abs=0.0001)
    assert found.measure_next is not None and found.measure_next.id == "measure-cone-itself"


def test_jacobs_33_is_neither_3_nor_6() -> None:
    # orchid.ganoksin.com/t/17852: a seller said "33, tapered", another guessed JT3
    found = named(0.624, 0.5605, 1.0)
    assert found.candidates[0].name == "JT33"
    assert found.candidates[0].probability > 0.9
    assert taper_per_foot(0.624, 0.5605, 1.0) == pytest.approx(0.762, abs=0.0005)
    assert all(c.probability < 0.01 for c in found.candidates if c.name in ("JT3", "JT6"))


def test_worn_mouth_of_a_morse_2_socket() -> None:
    # a dealer's Morse chart: a used MT2 socket may measure 0.695 in at its mouth, nominal 0.700
    tables = catalogue().standards
    rate = 0.5994 / 12
    found = identify_socket(
        tables, (0.695 - 0.2 * rate) * INCH, 0.2 * INCH, (0.695 - 2.2 * rate) * INCH, 2.2 * INCH
    )
    assert found.candidates[0].name == "MT2"
    assert found.candidates[0].note is not None
    assert found.candidates[0].note.id == "mouth-under"


def test_morse_four_and_a_half() -> None:
    # a dealer's page of tapers and a dealer's table of ends: 1.500, 1.266, 4-1/2 in
    found = named(1.5, 1.266, 4.5)
    assert found.candidates[0].name == "MT4.5"
    assert taper_per_foot(1.5, 1.266, 4.5) == pytest.approx(0.624, abs=0.0005)


@pytest.mark.parametrize(("large", "length_in"), [(1.06705, 4.0), (1.0775, 4.25)])
def test_bs_9_at_either_of_its_lengths(large: float, length_in: float) -> None:
    # hobby-machinist.com/threads/taper-sizes-by-measurement.3102, and a dealer's page of tapers
    found = named(large, 0.9001, length_in)
    assert found.candidates[0].name == "BS9"
    assert found.candidates[0].note is not None
    assert found.candidates[0].note.id == "made-in-lengths"
    assert taper_per_foot(large, 0.9001, length_in) == pytest.approx(0.50085, abs=0.0005)


def test_socket_by_two_bars() -> None:
    # method: a lathe reference page on spindle sockets; numbers made from the MT2 row
    tables = catalogue().standards
    found = identify_socket(tables, 0.675 * INCH, 0.5005 * INCH, 0.625 * INCH, 1.5015 * INCH)
    assert found.candidates[0].name == "MT2"
    assert found.candidates[0].probability > 0.9
    # what that method makes of the bars: the taper per foot, and the mouth of the socket
    taper = (0.675 - 0.625) / (1.5015 - 0.5005)
    row = tables.cones["MT2"]
    assert 12 * row.rate == pytest.approx(12 * taper, abs=0.0001)
    assert row.large_mm / INCH == pytest.approx(0.675 + 0.5005 * taper, abs=0.0001)


def test_register_of_1_535_names_the_metric_nose() -> None:
    # an owner's page: M39x4 on a 9x20 lathe, register 1.535 in, taken by others for 1-1/2-8
    tables = catalogue().standards
    assert identify_nose(tables, register_mm=1.535 * INCH).candidates[0].name == "M39x4"
    by_thread = identify_thread(tables, 1.535 * INCH)
    assert by_thread.candidates[0].name == "M39x4"
    assert all(candidate.name != "1-1/2-8" for candidate in by_thread.candidates)


def test_camlock_4_by_its_measures() -> None:
    # a dealer's chart of spindle noses: 63.521 at most, 3 studs, flange 117, circle 82.6 mm
    found = identify_nose(
        catalogue().standards, register_mm=63.52, studs=3, flange_mm=117, bolt_circle_mm=82.6
    )
    assert found.candidates[0].name == "D1-4"
    assert found.candidates[0].probability > 0.9


def test_camlock_3_chuck_on_a_bolted_short_taper_3() -> None:
    # an owner's page, March 2019: the cone is the same, the chuck needs a plate for bolts
    lathe = a_lathe(nose="A2-3")
    direct = fit(a_piece("chuck-3-jaw", mount="D1-3", back="direct"), lathe, catalogue())
    assert direct.verdict == "misfit"
    assert "same-cone-other-fixing" in reasons(direct)
    plated = fit(a_piece("chuck-3-jaw", mount="D1-3", back="backplate"), lathe, catalogue())
    assert plated.verdict == "fits-with"
    assert plated.adapters[0].kind == "chuck-backplate"


def test_5c_through_the_hole_of_a_9x20() -> None:
    # an owner's page: spindle hole 25/32 in; a 5C body is 1.250 in
    lathe = a_lathe(nose="M39x4", bore=length("25/32in"), spindle_socket="MT3")
    found = fit(a_piece("collets-5c"), lathe, catalogue())
    assert found.verdict == "fits-with"
    assert [adapter.kind for adapter in found.adapters] == ["chuck-collet"]
    assert "bore-too-small" in reasons(found)
    tube = fit(a_piece("collet-adapter", mount="5C"), lathe, catalogue())
    assert tube.verdict == "misfit"


def test_5c_through_the_38_mm_bore_of_a_14x40() -> None:
    # a lathe manual, page 11: MT5 spindle, 38 mm bore; the 1-3/8 in for the tube is practice
    found = fit(a_piece("collets-5c"), a_lathe(bore=length("38mm")), catalogue())
    assert [adapter.kind for adapter in found.adapters] == ["collet-adapter"]
    assert found.confirmed == 0
    assert "row-from-memory" in reasons(found)
    # the same bore is larger than the small end of the MT5 socket, 37.465 mm
    assert "socket-short" in reasons(found)
    centre = fit(a_piece("centre-dead", mount="MT5"), a_lathe(bore=length("38mm")), catalogue())
    assert (centre.verdict, "socket-short" in reasons(centre)) == ("fits", True)
    narrow = fit(a_piece("centre-dead", mount="MT5"), a_lathe(bore=length("35mm")), catalogue())
    assert "socket-short" not in reasons(narrow)


def test_200_mm_cast_chuck_on_a_spindle_that_runs_3500() -> None:
    # one maker's published table: 3,000 in cast iron, 4,000 in steel, at 200 mm
    tables = catalogue().standards
    assert table_speed_rpm(tables, 200, "cast-iron") == 3000
    assert table_speed_rpm(tables, 200, "steel") == 4000
    lathe = a_lathe(top_speed_rpm=3500, swing=length("400mm"))
    chuck = a_piece("chuck-3-jaw", mount="D1-4", size="200mm", body="cast-iron")
    found = fit(chuck, lathe, catalogue())
    assert found.top_speed_rpm == 1500  # unmarked: half the table, under 20 m/s
    assert "limit-spindle" in found.cautions


def test_chuck_for_2_1_4_8_on_a_lathe_of_1_7_8_8() -> None:
    # bbs.homeshopmachinist.net t-34841: a lathe of 1-7/8 - 8 came with a chuck for 2-1/4 - 8
    found = fit(
        a_piece("chuck-4-jaw", mount="2-1/4-8", back="direct"),
        a_lathe(nose="1-7/8-8"),
        catalogue(),
    )
    assert found.verdict != "fits"
    assert "thread-differs" in reasons(found)


def test_jt6_small_end_equals_jt33_large_end() -> None:
    # both tables of Jacobs tapers: 0.6241 against 0.6240 in; one diameter names neither
    cones = catalogue().standards.cones
    assert cones["JT6"].small_mm == pytest.approx(cones["JT33"].large_mm, abs=0.003)
    assert named(0.676, 0.6241, 1.0).candidates[0].name == "JT6"


@pytest.mark.parametrize("name", ["MT0", "MT1", "MT2", "MT3", "MT4", "MT4.5", "MT5", "MT6", "MT7"])
def test_every_drift_slot_is_known_from_the_cone(name: str) -> None:
    # hobby-machinist.com/threads/taper-sizes-by-measurement.3102 prints slots as lengths
    cone = catalogue().standards.cones[name]
    assert cone.slot_mm is not None
    for length_mm, noted in ((cone.slot_mm, True), (cone.length_mm, False)):
        found = identify_taper(catalogue().standards, cone.large_mm, cone.small_mm, length_mm)
        ids = [note.id for note in found.candidates[0].notes]
        assert found.candidates[0].name == name
        assert ("length-is-drift-slot" in ids) is noted
