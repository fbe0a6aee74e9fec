from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from benchmarks.identify import (
    from_no_table,
    nose_answers,
    simulate,
    socket_answers,
    tally_of,
    thread_answers,
    total,
)
from kitreckon.catalogue.load import open_catalogue
from kitreckon.errors import KitreckonError
from kitreckon.fitting import Identification, identify_socket, identify_taper
from kitreckon.fitting.cones import Measured, all_cones, nearest
from kitreckon.standards import Standards

STANDARDS = open_catalogue().standards
CONES = all_cones(STANDARDS)


def names(found: Identification) -> list[str]:
    return [candidate.name for candidate in found.candidates]


def at(cone: str, first_mm: float, second_mm: float) -> tuple[float, float, float]:
    """Return what two places on a cone measure: behind the gauge plane, in mm."""
    row = CONES[cone]
    large, small = row.large_mm - row.rate * first_mm, row.large_mm - row.rate * second_mm
    return large, small, second_mm - first_mm


def test_probabilities_and_none_add_up_to_one() -> None:
    found = identify_taper(STANDARDS, *at("MT3", 5, 60))
    assert math.fsum(c.probability for c in found.candidates) + found.none_probability == (
        pytest.approx(1)
    )


def test_shoulder_of_a_morse_2_runs_past_the_gauge_plane() -> None:
    found = identify_taper(STANDARDS, 18.03, 14.6, 68.7)
    assert names(found)[0] == "MT2"
    assert "past-gauge-plane" in [note.id for note in found.candidates[0].notes]


def test_lengths_of_one_cone_are_named_together() -> None:
    found = identify_taper(STANDARDS, *at("MT2", 2, 28))
    both = {candidate.name: candidate for candidate in found.candidates}
    assert "B18" in both["MT2"].together
    assert both["MT2"].cone_probability > both["MT2"].probability
    assert "shares-cone" in [note.id for note in both["MT2"].notes]


def test_short_cone_cannot_be_longer_than_it_is() -> None:
    found = identify_taper(STANDARDS, *at("MT2", 0, 60))
    assert names(found)[0] == "MT2"
    assert "B18" not in names(found)


def test_short_tapers_of_one_size_are_named_together() -> None:
    found = identify_taper(STANDARDS, *at("D1-3", 1, 10))
    assert {"D1-3", "A2-3", "DIN55027-3"} <= set(names(found))
    assert found.candidates[0].cone_probability > 0.9
    assert found.measure_next is not None and found.measure_next.id == "look-at-fixing"


def test_long_taper_and_steep_taper_are_named_together() -> None:
    found = identify_taper(STANDARDS, *at("L00", 2, 45))
    assert {"L00", "ISO50"} <= set(names(found)[:2])
    assert "L00" in found.candidates[0].together or "ISO50" in found.candidates[0].together


def test_r8_is_told_from_steep_taper_only_over_its_whole_length() -> None:
    found = identify_taper(STANDARDS, *at("R8", 0, 25))
    assert "R8" in names(found)
    assert found.measure_next is not None


def test_rows_from_memory_say_so() -> None:
    found = identify_taper(STANDARDS, *at("ISO40", 1, 60))
    assert found.candidates[0].confirmed == 0
    assert "row-from-memory" in [note.id for note in found.candidates[0].notes]


def test_places_close_together_leave_room_for_none() -> None:
    apart = identify_taper(STANDARDS, *at("JT33", 2, 24)).none_probability
    close = identify_taper(STANDARDS, *at("JT33", 12, 14)).none_probability
    assert 2 * apart < close
    assert close > 0.005


def test_the_ends_of_a_short_cone_favour_it_without_settling_it() -> None:
    found = {c.name: c for c in identify_taper(STANDARDS, *at("B18", 0, 32)).candidates}
    assert found["MT2"].probability < found["B18"].probability < 0.9


def test_what_is_in_no_table_is_none() -> None:
    found = identify_taper(STANDARDS, 20, 15, 40)
    assert found.none_probability > 0.9
    assert found.measure_next is not None


def test_greater_uncertainty_never_makes_more_certain() -> None:
    taken = at("JT33", 0, 25.4)
    sharp = identify_taper(STANDARDS, *taken).candidates[0]
    blunt = identify_taper(STANDARDS, *taken, sd_diameter_mm=0.2, sd_length_mm=1).candidates
    assert sharp.probability > 0.9
    assert max(candidate.probability for candidate in blunt) < sharp.probability


@pytest.mark.parametrize(
    "taken",
    [(10, 12, 5), (10, 10, 5), (10, 9, 0), (math.nan, 9, 5), (10, -1, 5), (10, 9, math.inf)],
)
def test_measurements_that_cannot_be_are_refused(taken: tuple[float, float, float]) -> None:
    with pytest.raises(KitreckonError):
        identify_taper(STANDARDS, *taken)


@given(
    name=st.sampled_from(sorted(CONES)),
    share=st.floats(0, 1),
    other=st.floats(0, 1),
)
def test_what_a_cone_measures_lies_on_it(name: str, share: float, other: float) -> None:
    cone = CONES[name]
    low, high = sorted((share, other))
    whole = cone.length_mm + cone.projection_mm
    large, small, distance = at(
        name, low * whole - cone.projection_mm, high * whole - cone.projection_mm
    )
    if large <= small or distance <= 0:
        return
    assert nearest(cone, Measured(large, small, distance)).chi_squared == pytest.approx(0, abs=1e-6)


@given(
    large=st.floats(6, 100),
    fall=st.floats(0.01, 0.35),
    distance=st.floats(2, 120),
    name=st.sampled_from(sorted(CONES)),
)
def test_nearest_is_the_least_of_all_places(
    large: float, fall: float, distance: float, name: str
) -> None:
    cone, small = CONES[name], large - fall * distance
    if small <= 0:
        return
    measured = Measured(large, small, distance)
    found = nearest(cone, measured)
    low, high = -cone.projection_mm, cone.reach_mm
    assert low - 1e-9 <= found.large_at_mm and found.small_at_mm <= high + 1e-9
    for first in (low, (low + high) / 2, found.large_at_mm + 0.3, high):
        for second in (low, (low + high) / 2, found.small_at_mm - 0.3, high):
            if low <= first <= high and low <= second <= high:
                off = (
                    ((large - cone.large_mm + cone.rate * first) / 0.03) ** 2
                    + ((small - cone.large_mm + cone.rate * second) / 0.03) ** 2
                    + ((distance - second + first) / 0.3) ** 2
                )
                assert found.chi_squared <= off * (1 + 1e-9) + 1e-6


def test_two_balls_name_a_socket_as_two_bars_do() -> None:
    """A ball touches at b cos a, below its centre: drawn here from the geometry of a circle."""
    cone = STANDARDS.cones["MT3"]
    half = math.atan(cone.rate / 2)

    def top_of(ball: float) -> float:
        centre = (cone.large_mm - ball / math.cos(half)) / cone.rate
        return centre - ball / 2

    found = identify_socket(STANDARDS, 23.0, top_of(23.0), 21.0, top_of(21.0), balls=True)
    assert names(found)[0] == "MT3"
    assert found.candidates[0].error_mm < 0.001


def test_the_mouth_tells_socket_sizes_apart_that_the_angle_cannot() -> None:
    found = identify_socket(STANDARDS, *at("MT2", 5, 0)[:1], 5, *at("MT2", 50, 0)[:1], 50)
    assert names(found)[0] == "MT2"
    assert found.candidates[0].probability > 0.9


def test_reach_of_naming_tapers() -> None:
    """The whole simulation is tests/benchmarks/identify.py; this is a smaller seeded run."""
    tallies = simulate(STANDARDS, 150, seed=7)
    pooled = total(tallies)
    assert pooled.first / pooled.separable >= 0.98
    assert pooled.sure / pooled.separable >= 0.80
    assert pooled.right / pooled.answered >= 0.95
    assert pooled.both_named == pooled.near
    for system in ("Morse", "Jarno", "BS", "metric", "7:24", "long taper"):
        one = tallies[system]
        assert one.first / one.separable >= 0.98, system
        assert one.sure / one.separable >= 0.80, system
    none = list(from_no_table(STANDARDS, 150, seed=7))
    assert sum(none) / len(none) >= 0.95


def test_scaling_units_changes_nothing(standards: Standards) -> None:
    inches = identify_taper(standards, 0.938 * 25.4, 0.778 * 25.4, 3.1875 * 25.4)
    metric = identify_taper(standards, 23.8252, 19.7612, 80.9625)
    assert names(inches) == names(metric)
    assert inches.candidates[0].probability == pytest.approx(metric.candidates[0].probability)


def test_reach_by_other_measures() -> None:
    """Sockets by two bars, threads by pitch, noses by studs: named always, and right when sure."""
    for answers in (
        socket_answers(STANDARDS, 200, seed=7),
        thread_answers(STANDARDS, 200, seed=7),
        nose_answers(STANDARDS, 200, seed=7),
    ):
        one = tally_of(answers)
        assert one.both_named / one.draws >= 0.99
        assert one.right / one.answered >= 0.95
