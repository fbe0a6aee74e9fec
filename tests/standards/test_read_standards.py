from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitreckon.catalogue.load import catalogue_folder, open_catalogue
from kitreckon.catalogue.yaml_text import parse, plain_data
from kitreckon.errors import KitreckonError
from kitreckon.quantities import read_designation
from kitreckon.standards import Standards, read_standards

SOURCES = {"page": "a published page"}
PROOF = {"sources": ["page"], "confirmed": "1"}


def cones(**row: Any) -> dict[str, Any]:
    return {
        "tapers.yaml": {"table": "cones", "system": "Own", "sources": SOURCES, "rows": {"X1": row}}
    }


def noses(**row: Any) -> dict[str, Any]:
    return {
        "noses.yaml": {
            "table": "noses",
            "system": "camlock",
            "sources": SOURCES,
            "rows": {"D1-4": row},
        }
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
        "INT30",
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


def test_a_users_row_is_laid_over_ours_field_by_field() -> None:
    ours = cones(large_in="1", small_in="0.9", length_in="2", **PROOF)
    theirs = {
        "mine.yaml": {
            "table": "cones",
            "system": "Own",
            "sources": {"mine": "measured on my spindle"},
            "rows": {"X1": {"large_mm": "25.5", "sources": ["mine"], "confirmed": "1"}},
        }
    }
    cone = read_standards(ours | theirs).cones["X1"]
    assert (cone.large_mm, cone.small_mm) == (25.5, pytest.approx(0.9 * 25.4))
    assert cone.evidence.sources == ("mine",)


def test_a_wrong_row_of_a_user_leaves_ours_and_is_told() -> None:
    told: list[tuple[str, tuple[str, ...]]] = []
    ours = cones(large_in="1", small_in="0.9", length_in="2", **PROOF)
    theirs = {"mine.yaml": {"table": "cones", "rows": {"X1": {"length_mm": "long"}, "X2": "?"}}}
    read = read_standards(
        ours | theirs | {"odd.yaml": {"table": "cups", "rows": {"a": {}}}},
        lambda file, path, error: told.append((file, path)),
    )
    assert read.cones["X1"].length_mm == pytest.approx(50.8)
    assert told == [
        ("mine.yaml", ("rows", "X1", "length_mm")),
        ("mine.yaml", ("rows", "X2")),
        ("odd.yaml", ("table",)),
    ]


def test_a_wrong_file_of_a_user_names_line_and_column(tmp_path: Path) -> None:
    folder = tmp_path / "standards"
    folder.mkdir()
    (folder / "morse.yaml").write_text(
        "format: 1\nsubject: standard\ntable: cones\nsystem: Morse\n"
        "sources: {me: my bench}\nrows:\n  MT3: {large_in: wide, sources: [me], confirmed: 1}\n"
    )
    catalogue = open_catalogue([tmp_path])
    assert catalogue.standards.cones["MT3"].large_mm == pytest.approx(23.825, abs=0.001)
    assert len(catalogue.standards.cones) > 60
    told = [problem for problem in catalogue.problems if "morse.yaml" in problem.file]
    assert [(problem.line, problem.column) for problem in told] == [(7, 19)]
    assert "wide" in told[0].found


SCALARS = st.sampled_from(["1", "0", "-1", "nan", "x", "", "1e400", "up", "25.4", "3/4"])
VALUES = SCALARS | st.lists(SCALARS, max_size=3) | st.dictionaries(SCALARS, SCALARS, max_size=2)
FIELDS = st.sampled_from(
    ["large_mm", "large_in", "small_mm", "length_mm", "ratio", "taper_per_foot_in", "pilot_mm",
     "lengths", "studs", "major_mm", "tpi", "pitch_mm", "body_mm", "width_mm", "head_width_mm",
     "sources", "confirmed", "field_confirmed", "register_mm", "mounts", "value", "bar_mm",
     "cast_iron_rpm", "steel_rpm", "largest_shank_mm", "swing_mm", "jaw_mm", "table_width_mm"]
)  # fmt: skip
TABLES = st.sampled_from(
    ["cones", "noses", "threads", "collets", "t-slots", "tool-posts", "chuck-speeds", "rules",
     "boring-bars", "nose-companions", "drill-chuck-mounts", "vises"]
)  # fmt: skip


@given(TABLES, SCALARS, st.dictionaries(FIELDS, VALUES, max_size=8))
def test_no_row_breaks_reading(table: str, name: str, row: dict[str, Any]) -> None:
    document = {"table": table, "system": "Own", "sources": SOURCES}
    for proof in (PROOF, {}):
        with suppress(KitreckonError):
            read_standards({"a.yaml": document | {"rows": {name: proof | row}}})


def files() -> list[Path]:
    return sorted((catalogue_folder() / "standards").glob("*.yaml"))


@pytest.mark.parametrize("path", files(), ids=lambda path: path.stem)
def test_every_source_a_file_describes_is_named_by_a_row(path: Path) -> None:
    document, problems = parse(path.read_bytes(), str(path))
    assert document is not None and not problems
    data: Any = plain_data(document)
    named = {source for row in data["rows"].values() for source in row["sources"]}
    assert named == set(data["sources"])
