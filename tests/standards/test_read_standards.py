from __future__ import annotations

from typing import Any

import pytest

from kitreckon.errors import KitreckonError
from kitreckon.quantities import read_designation
from kitreckon.standards import Standards, read_standards

SOURCES = {"page": "a published page"}
PROOF = {"sources": ["page"], "confirmed": "1"}


def cones(**row: Any) -> dict[str, Any]:
    return {"tapers": {"table": "cones", "system": "Own", "sources": SOURCES, "rows": {"X1": row}}}


def noses(**row: Any) -> dict[str, Any]:
    return {
        "noses": {"table": "noses", "system": "camlock", "sources": SOURCES, "rows": {"D1-4": row}}
    }


def test_inches_become_millimetres() -> None:
    read = read_standards(cones(large_in="1", small_in="0.9", length_in="2", **PROOF))
    cone = read.cones["X1"]
    assert (cone.large_mm, cone.length_mm) == (25.4, 50.8)
    assert cone.rate == pytest.approx(0.05)


def test_small_end_follows_from_taper_and_length() -> None:
    read = read_standards(cones(large_mm="20", length_mm="40", ratio="20", **PROOF))
    assert read.cones["X1"].small_mm == pytest.approx(18)


@pytest.mark.parametrize(
    ("row", "found"),
    [
        ({"small_mm": "9", "length_mm": "20"}, "large is missing"),
        ({"large_mm": "ten", "small_mm": "9", "length_mm": "20"}, "not a number"),
        ({"large_mm": "nan", "small_mm": "9", "length_mm": "20"}, "not a number"),
        ({"large_mm": "-3", "small_mm": "9", "length_mm": "20"}, "not above zero"),
        ({"large_mm": "10", "large_in": "1", "length_mm": "20"}, "both units"),
        ({"large_mm": "10", "small_mm": "12", "length_mm": "20"}, "small end"),
        ({"large_mm": "10", "small_mm": "9"}, "no taper"),
        ({"large_mm": "10", "ratio": "20"}, "no end"),
    ],
)
def test_rows_that_cannot_be_used_say_where_and_what(row: dict[str, str], found: str) -> None:
    with pytest.raises(KitreckonError, match=found) as raised:
        read_standards(cones(**row, **PROOF))
    assert raised.value.where.startswith("tapers.yaml: X1")


@pytest.mark.parametrize(
    ("proof", "found"),
    [
        ({"confirmed": "1"}, "names no source"),
        ({"sources": ["page"]}, "confirmed is None"),
        ({"sources": ["page"], "confirmed": "3"}, "confirmed is '3'"),
        ({"sources": ["other"], "confirmed": "1"}, "not described"),
    ],
)
def test_every_row_must_say_where_it_comes_from(proof: dict[str, Any], found: str) -> None:
    with pytest.raises(KitreckonError, match=found):
        read_standards(cones(large_mm="10", small_mm="9", length_mm="20", **proof))


def test_field_count_overrules_the_rows_count() -> None:
    row = {"gauge_mm": "63.513", "studs": "3", **PROOF, "field_confirmed": {"studs": "2"}}
    evidence = read_standards(noses(**row)).noses["D1-4"].evidence
    assert (evidence.of("studs"), evidence.of("gauge")) == (2, 1)


def test_studs_are_whole() -> None:
    with pytest.raises(KitreckonError, match="whole number"):
        read_standards(noses(gauge_mm="63.5", studs="3.5", **PROOF))


def test_unknown_table_and_empty_file_are_refused() -> None:
    with pytest.raises(KitreckonError, match="table 'cups'"):
        read_standards({"a": {"table": "cups", "rows": {"x": {}}}})
    with pytest.raises(KitreckonError, match="no rows"):
        read_standards({"a": {"table": "cones"}})
    with pytest.raises(KitreckonError, match="not a row"):
        read_standards({"a": {"table": "cones", "rows": {"x": "y"}}})


def test_a_missing_rule_is_said(standards: Standards) -> None:
    assert standards.rule("bed-clearance-mm") == 25
    with pytest.raises(KitreckonError, match="no-such-rule"):
        standards.rule("no-such-rule")


def test_every_source_described_is_used_and_every_row_has_one(standards: Standards) -> None:
    rows = [*standards.cones.values(), *standards.noses.values(), *standards.collets.values()]
    assert len(rows) > 130
    assert all(row.evidence.sources for row in rows)
    # a row that rests on memory alone is never called confirmed
    assert all(row.evidence.confirmed == 0 for row in rows if row.evidence.sources == ("memory",))


@pytest.mark.parametrize(
    ("name", "system"),
    [
        ("MT3", "Morse"),
        ("JT33", "Jacobs"),
        ("D1-4", "camlock"),
        ("ER32", "ER"),
        ("5C", "draw collet"),
        ("AXA", "tool post"),
        ("7/16-20", "thread"),
        ("nothing", ""),
    ],
)
def test_system_of_a_designation(standards: Standards, name: str, system: str) -> None:
    assert standards.system(name) == system


def test_designations_people_type_are_rows_of_the_tables(standards: Standards) -> None:
    typed = [
        "mt 2",
        "Morse No. 3",
        "4.5 MT",
        "JT 33",
        "B16",
        "R8",
        "NMTB 40",
        "CAT40",
        "d1-4",
        "A2-5",
        "L00",
        "1-1/2-8",
        "ER 32",
        "5C",
        "BXA",
    ]
    for text in typed:
        name = read_designation(text)
        assert name is not None and standards.system(name), text
