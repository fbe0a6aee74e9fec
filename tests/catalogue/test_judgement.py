"""Figures of judgement: each explained in its file, and to be overruled by a file of the user's."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest

from builders import a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue import yaml_text
from kitreckon.catalogue.load import catalogue_folder, check_file, open_catalogue
from kitreckon.catalogue.model import Judgement
from kitreckon.count import Preferences
from kitreckon.quantities import Range
from kitreckon.reckoning import next_questions, reckon

HEAD = "format: 1\nsubject: judgement\n"


def overlay(folder: Path, text: str) -> Path:
    path = folder / "judgement.yaml"
    path.write_text(HEAD + text, "utf-8")
    return path


def test_every_figure_says_what_it_means_and_what_it_rests_on() -> None:
    path = catalogue_folder() / "judgement.yaml"
    document, problems = yaml_text.parse(path.read_bytes(), "judgement.yaml")
    assert document is not None and problems == []
    figures = yaml_text.plain_data(document)["judgement"]
    named = {field.name.replace("_", "-") for field in fields(Judgement)} - {"minutes"}
    assert set(figures) == named
    assert all(figure["means"] and figure["basis"] for figure in figures.values())


def test_every_question_with_minutes_has_a_sentence() -> None:
    catalogue = the_catalogue()
    assert set(catalogue.judgement.minutes) - {""} <= set(catalogue.words.sentences)


def test_a_question_without_minutes_of_its_own_takes_those_of_any_other() -> None:
    judgement = the_catalogue().judgement
    assert judgement.minutes_for("measure-register") == judgement.minutes[""]
    assert judgement.minutes_for("measure-nose") > judgement.minutes[""]


def test_a_users_figure_is_laid_over_ours_and_moves_the_offer(tmp_path: Path) -> None:
    overlay(
        tmp_path, "judgement: {opening-under-limit: {value: 0.2}}\nminutes: {measure-nose: 9}\n"
    )
    theirs = open_catalogue([tmp_path])
    assert theirs.judgement.opening_under_limit == 0.2
    assert theirs.judgement.set_least == the_catalogue().judgement.set_least
    machine = a_lathe(asking=None, bare_price=Range(dollars(1000), dollars(1000), dollars(1000)))
    for catalogue, opening in ((the_catalogue(), dollars(950)), (theirs, dollars(800))):
        assert reckon(machine, a_visit(), catalogue, Preferences()).offer.opening == opening
    chuck = a_visit(a_piece("chuck-3-jaw", size="6in", mount="D1-4"))
    asked = next_questions(reckon(a_lathe(nose=None), chuck, theirs, Preferences()), theirs, 99)
    assert {q.minutes for q in asked if q.id == "fit:p-chuck-3-jaw"} == {9.0}


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("judgement: {opening-under-limit: {value: 5}}\n", "out of bounds"),
        ("judgement: {opening-under-limits: {value: 0.1}}\n", "unknown field"),
        ("judgement: {set-least: 0.4}\n", "found no fields"),
        ("minutes: {measure-nose: 0}\n", "out of bounds"),
    ],
)
def test_a_wrong_figure_is_named_and_ours_holds(tmp_path: Path, text: str, found: str) -> None:
    path = overlay(tmp_path, text)
    assert [found in str(problem) for problem in check_file(path)] == [True]
    theirs = open_catalogue([tmp_path])
    assert theirs.judgement == the_catalogue().judgement
    assert len(theirs.problems) == 1
