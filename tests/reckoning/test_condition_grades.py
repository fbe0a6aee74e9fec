"""The grade of a piece: said, read off a gauge, or not judged; and what it has lost."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import a_piece, length
from kitreckon.catalogue.model import Catalogue, Chances, Check, Kind, Part
from kitreckon.count import CONDITIONS, Piece, Reading
from kitreckon.errors import KitreckonError
from kitreckon.reckoning.condition import Grades, grade_from_readings, grades, share

CHUCK = Kind(
    "chuck", "workholding", ("chuck",), ("chuck",), price_group="scroll",
    parts=(Part("key", ("key",), 0.1, True), Part("jaws", ("jaws",), 0.6, False)),
    checks=(
        Check("run-out", reading="run-out", fair_over_mm=0.13, poor_over_mm=0.25),
        Check("bell mouth", reading="bell-mouth", poor_over_mm=0.13),
    ),
)  # fmt: skip
CHANCES = Chances({"": {"good": 1.0}, "scroll": {"good": 0.5, "fair": 0.3, "poor": 0.2}})
CATALOGUE = Catalogue({"chances": CHANCES}.__getitem__)


def a_chuck(**facts: Any) -> Piece:
    return a_piece("chuck", **facts)


def judged(piece: Piece) -> Grades:
    return grades(piece, CHUCK, CATALOGUE)


def test_a_grade_that_was_said_is_certain() -> None:
    assert judged(a_chuck(condition="fair")).chances == (("fair", 1.0),)


def test_not_judged_spreads_over_the_chances_of_its_group() -> None:
    found = judged(a_chuck(condition=None))
    assert dict(found.chances) == {"good": 0.5, "fair": 0.3, "poor": 0.2}
    assert not found.judged
    assert found.reasons[0].id == "condition-not-judged"


@pytest.mark.parametrize(
    ("reading", "value", "grade"),
    [
        ("run-out", "0.004in", None),
        ("run-out", "0.13mm", None),
        ("run-out", "0.006in", "fair"),
        ("run-out", "0.010in", "poor"),
        ("bell-mouth", "0.005in", None),
        ("bell-mouth", "0.006in", "poor"),
        ("play", "5mm", None),
    ],
)
def test_readings_over_their_limits_lower_the_grade(
    reading: str, value: str, grade: str | None
) -> None:
    piece = a_chuck(readings=(Reading(reading, length(value)),))
    assert grade_from_readings(piece, CHUCK)[0] == grade


def test_the_worst_reading_counts() -> None:
    readings = (Reading("run-out", length("0.006in")), Reading("bell-mouth", length("1mm")))
    assert judged(a_chuck(condition="excellent", readings=readings)).chances == (("poor", 1.0),)


def test_a_reading_never_betters_what_was_said() -> None:
    readings = (Reading("run-out", length("0.006in")),)
    assert judged(a_chuck(condition="scrap", readings=readings)).chances == (("scrap", 1.0),)


def test_a_reading_cuts_off_the_better_grades_of_a_piece_not_judged() -> None:
    found = judged(a_chuck(condition=None, readings=(Reading("run-out", length("0.006in")),)))
    assert dict(found.chances) == pytest.approx({"fair": 0.8, "poor": 0.2})


def test_a_reading_without_a_unit_decides_nothing_and_asks() -> None:
    found = judged(a_chuck(readings=(Reading("run-out", length("5")),)))
    assert found.chances == (("good", 1.0),)
    assert found.reasons[0].id == "condition-reading-no-unit"


def test_missing_parts_take_off_their_share_once() -> None:
    found = judged(a_chuck(parts_missing=("key", "key")))
    assert found.complete == pytest.approx(0.9)
    assert found.works


def test_without_a_working_part_it_does_not_work() -> None:
    found = judged(a_chuck(parts_missing=("jaws",)))
    assert not found.works
    assert "condition-does-not-work" in {reason.id for reason in found.reasons}


def test_a_part_the_catalogue_does_not_know_is_said_and_takes_nothing_off() -> None:
    found = judged(a_chuck(parts_missing=("badge",)))
    assert found.complete == 1.0
    assert found.reasons[0].id == "condition-part-not-known"


def test_a_set_that_is_short_is_worth_its_share() -> None:
    assert judged(a_chuck(set_of=12, set_has=9)).complete == pytest.approx(0.75)
    assert judged(a_chuck(set_of=12)).complete == 1.0


@settings(deadline=None)
@given(st.permutations(CONDITIONS), st.floats(0.0, 0.5), st.floats(0.0, 0.5))
def test_chances_add_up_whatever_the_readings(
    order: list[Any], run_out: float, bell: float
) -> None:
    readings = (
        Reading("run-out", length(f"{run_out:.4f}mm")),
        Reading("bell-mouth", length(f"{bell:.4f}mm")),
    )
    found = judged(a_chuck(condition=None, readings=readings))
    assert sum(chance for _, chance in found.chances) == pytest.approx(1.0)
    said = judged(a_chuck(condition=order[0], readings=readings))
    assert CONDITIONS.index(said.chances[0][0]) >= CONDITIONS.index(order[0])


def test_a_group_without_shares_takes_the_row_for_any() -> None:
    table = {"": {"good": 1.0, "fair": 0.5}, "rests": {"good": 1.0, "fair": 0.75}}
    assert share(table, "rests", "fair") == 0.75
    assert share(table, "knurls", "fair") == 0.5
    assert share({}, "knurls", "good") == 1.0
    assert share({}, "knurls", "scrap") == 0.0


def test_chances_that_do_not_add_up_are_one_clear_error() -> None:
    broken = Catalogue({"chances": Chances({"": {"good": -1.0}})}.__getitem__)
    with pytest.raises(KitreckonError, match="chances"):
        grades(a_chuck(condition=None), CHUCK, broken)
