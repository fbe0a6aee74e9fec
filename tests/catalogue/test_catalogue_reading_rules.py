"""Rules of reading: checked by name and form, and laid over ours phrase by phrase."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from kitreckon.catalogue import reading_rules
from kitreckon.catalogue.load import check_file, open_catalogue
from kitreckon.reading import Reader

SOURCE = Path(__file__).resolve().parents[2] / "src" / "kitreckon" / "reading"


def mine(folder: Path, body: str) -> Path:
    file = folder / "reading.yaml"
    file.write_text(f"format: 1\nsubject: reading\n{body}", "utf-8")
    return file


@pytest.mark.parametrize(
    ("body", "place", "found"),
    [
        ("rules: {zzz: [a]}", ":3:9:", "rules: unknown field 'zzz'"),
        ("rules:\n  unsaf: [split]", ":4:3:", "did you mean 'unsafe'?"),
        ("rules: {presence: {hear: [foo]}}", ":3:20:", "unknown name 'hear'"),
        ("rules: {presence: 3}", ":3:19:", "found no fields"),
        ("rules: {fillers: {a: b}}", ":3:18:", "found a group of fields"),
        ("rules: {codes: [{shape: 'k(', kind: chuck-3-jaw}]}", ":3:25:", "no regular expression"),
        ("rules: {turns: [{after: any, word: drawer}]}", ":3:17:", "'gives' is missing"),
        ("rules: {confidence: {weights: {luck: 1}}}", ":3:32:", "unknown name 'luck'"),
        ("leave_out: {presents: {here: []}}", ":3:13:", "did you mean 'presence'?"),
    ],
)
def test_a_rule_of_reading_is_checked_by_its_name(
    tmp_path: Path, body: str, place: str, found: str
) -> None:
    problems = [str(problem) for problem in check_file(mine(tmp_path, body))]
    assert len(problems) == 1
    assert place in problems[0]
    assert found in problems[0]


def test_a_wrong_rule_is_left_out_and_reading_goes_on(tmp_path: Path) -> None:
    mine(tmp_path, "rules: {presence: 3, codes: [{shape: 'k(', kind: belts}], fillers: {a: b}}")
    catalogue = open_catalogue((tmp_path,))
    assert catalogue.rules == open_catalogue().rules
    assert len(catalogue.problems) == 3
    assert Reader(catalogue.kinds, catalogue.rules).read_line("6in 3 jaw chuck").pieces


def test_a_phrase_of_the_users_is_added_and_ours_stay(tmp_path: Path) -> None:
    mine(tmp_path, "rules: {presence: {away: [went up the swannee]}, unsafe: spalled}")
    rules, ours = open_catalogue((tmp_path,)).rules, open_catalogue().rules
    assert rules["presence"]["away"] == ("went up the swannee", *ours["presence"]["away"])
    assert rules["unsafe"] == ("spalled", *ours["unsafe"])
    same = {name for name in ours if rules[name] == ours[name]}
    assert same == set(ours) - {"presence", "unsafe"}
    assert {n for n in ours["presence"] if rules["presence"][n] != ours["presence"][n]} == {"away"}


def test_a_danger_of_the_users_own_is_read_beside_ours(tmp_path: Path) -> None:
    mine(tmp_path, "rules: {unsafe: [spalled]}")
    catalogue = open_catalogue((tmp_path,))
    reader = Reader(catalogue.kinds, catalogue.rules)
    for said in ("faceplate, spalled", "faceplate, cracked"):
        assert reader.read_line(said).pieces[0].unsafe, said


def test_what_is_left_out_no_longer_holds(tmp_path: Path) -> None:
    mine(tmp_path, "leave_out: {joints: {with: [having]}, verbs: {swipe: []}, machines: [planer]}")
    rules, ours = open_catalogue((tmp_path,)).rules, open_catalogue().rules
    assert set(ours["joints"]["with"]) - set(rules["joints"]["with"]) == {"having"}
    assert set(ours["verbs"]) - set(rules["verbs"]) == {"swipe"}
    assert set(ours["machines"]) - set(rules["machines"]) == {"planer"}


def test_a_rule_with_fields_is_tried_before_ours(tmp_path: Path) -> None:
    mine(tmp_path, "rules: {turns: [{after: drills, word: chuck, gives: belts}]}")
    rules = open_catalogue((tmp_path,)).rules
    assert rules["turns"][0]["gives"] == "belts"
    assert rules["turns"][1:] == open_catalogue().rules["turns"]


def test_every_name_a_rule_may_have_is_read_by_the_reader() -> None:
    code = "\n".join(path.read_text("utf-8") for path in SOURCE.glob("*.py"))
    tables = (reading_rules._PRESENCE, reading_rules._SIZES)
    names = {*reading_rules.RULES.fields, *(name for table in tables for name in table)}
    unread = sorted(name for name in names if not re.search(rf"\b{name}\b", code))
    assert unread == []
