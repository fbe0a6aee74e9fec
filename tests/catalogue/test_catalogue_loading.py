"""Catalogue files: text with positions, all errors at once, a user's folder laid over ours."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitreckon.catalogue import yaml_text
from kitreckon.catalogue.load import check_file, open_catalogue
from kitreckon.catalogue.shapes import (
    WRONG,
    At,
    Field,
    ListOf,
    MapOf,
    Number,
    Record,
    Text,
    Word,
    YesNo,
    nearest,
)
from kitreckon.catalogue.subjects import FILES


def write(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8")
    return path


def test_every_scalar_stays_the_text_that_was_written() -> None:
    text = "a: no\nb: 010\nc: 1:30\nd: 2024-01-05\ne: 0x1F\nf: 1_000\ng: ~\nh: '~'\n"
    root, problems = yaml_text.parse(text, "f.yaml")
    assert problems == []
    assert root is not None
    assert yaml_text.plain_data(root) == {
        "a": "no", "b": "010", "c": "1:30", "d": "2024-01-05", "e": "0x1F", "f": "1_000",
        "g": None, "h": "~",
    }  # fmt: skip


def test_a_name_that_stands_twice_names_both_lines() -> None:
    _, problems = yaml_text.parse("a: 1\nb: 2\na: 3\n", "f.yaml")
    assert [(p.line, p.column) for p in problems] == [(3, 1)]
    assert "line 1" in problems[0].found


def test_anchors_and_aliases_are_refused() -> None:
    root, problems = yaml_text.parse("a: &x [1]\nb: *x\n", "f.yaml")
    assert root is None
    assert "anchor" in problems[0].found


SHAPE = Record(
    {
        "size": Field(Number(0, 100), True),
        "tier": Field(Word(("essential", "usual"))),
        "here": Field(YesNo()),
        "names": Field(ListOf(Text(), least=1)),
        "shares": Field(MapOf(Number(0, 1), ("good", "fair"))),
    }
)


def test_all_faults_of_an_entry_are_reported_at_once_with_line_and_remedy() -> None:
    text = "size: 101\ntier: essentail\nhere: maybe\nnames: []\nshares: {god: 1}\nsiez: 3\n"
    root, _ = yaml_text.parse(text, "f.yaml")
    problems = []
    assert root is not None
    assert SHAPE.read(root, At(problems)) is WRONG
    assert [p.line for p in problems] == [1, 2, 3, 4, 5, 6]
    assert "did you mean 'essential'?" in problems[1].remedy
    assert "did you mean 'good'?" in problems[4].remedy
    assert "did you mean 'size'?" in problems[5].remedy


def test_a_missing_field_is_named() -> None:
    root, _ = yaml_text.parse("tier: usual\n", "f.yaml")
    problems = []
    assert root is not None
    SHAPE.read(root, At(problems))
    assert "'size' is missing" in problems[0].found


def test_the_nearest_word_is_offered_or_all_of_a_few() -> None:
    assert nearest("goood", ("good", "fair")) == "did you mean 'good'?"
    assert nearest("xyzzy", ("good", "fair")) == "one of good, fair"


def test_a_users_entry_is_laid_over_ours_field_by_field(tmp_path: Path) -> None:
    write(
        tmp_path,
        "kinds/mine.yaml",
        "format: 1\nsubject: kinds\ngroup: workholding\nkinds:\n"
        "  chuck-3-jaw: {where: under the stairs}\n"
        "  chuck-5-jaw: {british: [5-jaw chuck], american: [5-jaw chuck]}\n",
    )
    catalogue = open_catalogue([tmp_path])
    ours = open_catalogue().kinds["chuck-3-jaw"]
    assert catalogue.kinds["chuck-3-jaw"].where == "under the stairs"
    assert catalogue.kinds["chuck-3-jaw"].british == ours.british
    assert catalogue.kinds["chuck-5-jaw"].group == "workholding"
    assert catalogue.problems == ()


def test_a_bad_entry_is_left_out_with_its_reason_and_the_rest_loads(tmp_path: Path) -> None:
    write(
        tmp_path,
        "prices/mine.yaml",
        "format: 1\nsubject: prices\ncurrency: USD\nprices:\n"
        "  chuck-2-jaw:\n    unit: each\n    points:\n"
        "      - {supply: used, low: 9, typical: 5, high: 7, year: 2024, basis: estimate,"
        " source: mine}\n",
    )
    catalogue = open_catalogue([tmp_path])
    assert catalogue.prices["chuck-3-jaw"].points
    assert [p.line for p in catalogue.problems] == [8]
    assert "order" in catalogue.problems[0].found


@pytest.mark.parametrize("name", ["Trap Kind", "../x", "'[red]'"])
def test_an_entry_whose_id_is_no_id_is_left_out_and_named(tmp_path: Path, name: str) -> None:
    path = write(
        tmp_path,
        "kinds/mine.yaml",
        "format: 1\nsubject: kinds\ngroup: workholding\nkinds:\n"
        f"  {name}: {{british: [a thing], american: [a thing]}}\n",
    )
    catalogue = open_catalogue([tmp_path])
    assert name.strip("'") not in catalogue.kinds
    assert [(p.line, p.column) for p in catalogue.problems] == [(5, 3)]
    assert [(p.line, p.column) for p in check_file(path)] == [(5, 3)]


def test_a_file_that_cannot_be_read_at_all_does_not_stop_the_program(tmp_path: Path) -> None:
    (tmp_path / "kinds").mkdir()
    (tmp_path / "kinds" / "bad.yaml").write_bytes(b"format: 1\nname: caf\xe9\n")
    catalogue = open_catalogue([tmp_path])
    assert catalogue.kinds["chuck-3-jaw"].british
    assert "UTF-8" in catalogue.problems[0].found


def test_checking_a_file_names_an_unknown_subject(tmp_path: Path) -> None:
    path = write(tmp_path, "x.yaml", "format: 1\nsubject: kindz\n")
    assert "did you mean 'kinds'?" in check_file(path)[0].remedy


@pytest.mark.parametrize("subject", sorted(FILES))
def test_every_subject_has_a_json_schema(subject: str) -> None:
    schema = FILES[subject].json_schema()
    assert schema["type"] == "object"
    assert {"format", "subject"} <= set(schema["required"])


def test_another_languages_words_become_names() -> None:
    german = open_catalogue(language="de")
    assert german.kinds["chuck-3-jaw"].foreign[0][0] == "de"
    assert open_catalogue().kinds["chuck-3-jaw"].foreign == ()
