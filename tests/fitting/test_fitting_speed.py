from __future__ import annotations

import pytest

from builders import a_lathe, a_piece
from kitreckon.catalogue.model import Catalogue
from kitreckon.fitting import fit
from kitreckon.fitting.speed import cautious_speed_rpm, table_speed_rpm
from kitreckon.standards import Standards


def chuck(**facts: object):  # type: ignore[no-untyped-def]
    return a_piece("chuck-3-jaw", mount="D1-4", **({"size": "200mm"} | facts))


def test_a_marked_speed_rules(catalogue: Catalogue) -> None:
    assert fit(chuck(marked_rpm=2500), a_lathe(), catalogue).top_speed_rpm == 2500


def test_unmarked_gets_the_lower_of_half_the_table_and_the_rim(catalogue: Catalogue) -> None:
    # 200 mm: half of 3,000 is 1,500; 20 m/s would be 1,910
    assert fit(chuck(), a_lathe(), catalogue).top_speed_rpm == 1500
    # 80 mm: half of 5,000 is 2,500; 20 m/s would be 4,775
    assert fit(chuck(size="80mm"), a_lathe(), catalogue).top_speed_rpm == 2500
    # 160 mm steel: half of 4,600 is 2,300; 20 m/s is 2,387
    assert fit(chuck(size="160mm", body="steel"), a_lathe(), catalogue).top_speed_rpm == 2300


def test_rim_speed_holds_where_it_is_the_lower(standards: Standards) -> None:
    # 400 mm steel: half of 2,000 is 1,000; 20 m/s is 954
    assert cautious_speed_rpm(standards, 400, "steel") == 954


def test_beyond_the_table_the_rim_speed_alone_holds(standards: Standards) -> None:
    assert table_speed_rpm(standards, 1200, "cast-iron") is None
    assert cautious_speed_rpm(standards, 1200, "cast-iron") == 318


def test_between_two_rows_the_larger_body_counts(standards: Standards) -> None:
    assert table_speed_rpm(standards, 180, "cast-iron") == 3000


def test_a_cracked_one_gets_none(catalogue: Catalogue) -> None:
    found = fit(chuck(unsafe="cracked", marked_rpm=3000), a_lathe(), catalogue)
    assert found.top_speed_rpm == 0
    assert "cracked-body" in found.cautions


def test_a_worn_out_body_does_not_get_its_mark(catalogue: Catalogue) -> None:
    found = fit(chuck(marked_rpm=3000, condition="poor"), a_lathe(), catalogue)
    assert found.top_speed_rpm == 1500


def test_no_diameter_no_speed(catalogue: Catalogue) -> None:
    found = fit(chuck(size=None), a_lathe(), catalogue)
    assert found.top_speed_rpm is None
    assert [reason.id for reason in found.speed_reasons] == ["speed-needs-diameter"]


@pytest.mark.parametrize(("top", "warned"), [(1400, False), (2000, True)])
def test_a_machine_that_runs_faster_is_said(catalogue: Catalogue, top: int, warned: bool) -> None:
    found = fit(chuck(), a_lathe(top_speed_rpm=top), catalogue)
    assert ("limit-spindle" in found.cautions) is warned


def test_a_faceplate_with_work_on_it_turns_slowly(catalogue: Catalogue) -> None:
    plate = a_piece("faceplate", mount="D1-4", size="10in")
    assert fit(plate, a_lathe(), catalogue).top_speed_rpm == 300
    cracked = a_piece("faceplate", mount="D1-4", size="10in", unsafe="cracked")
    assert fit(cracked, a_lathe(), catalogue).top_speed_rpm == 0


def test_what_does_not_turn_has_no_speed(catalogue: Catalogue) -> None:
    assert fit(a_piece("steady-rest"), a_lathe(), catalogue).top_speed_rpm is None
