"""The judgement by which an unmarked part is named stands in the catalogue, to be laid over."""

from __future__ import annotations

from pathlib import Path

import pytest

from builders import a_lathe, a_piece
from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.fitting import fit, identify_collet, identify_nose, identify_taper, identify_thread

_RULES = """format: 1
subject: standard
table: rules
sources: {{mine: my own shop}}
rows:
  {rule}: {{value: {value}, sources: [mine], confirmed: 0}}
"""


def with_rule(folder: Path, rule: str, value: float) -> Catalogue:
    (folder / "standards").mkdir()
    file = folder / "standards" / "mine.yaml"
    file.write_text(_RULES.format(rule=rule, value=value), "utf-8")
    return open_catalogue((folder,))


OURS = open_catalogue()


def test_a_system_met_more_often_gets_more(tmp_path: Path) -> None:
    name = next(iter(identify_taper(OURS.standards, 15.9, 12.7, 63.5).candidates)).name
    assert OURS.standards.system(name) == "Jarno"
    before = identify_taper(OURS.standards, 15.9, 12.7, 63.5).candidates[0].probability
    mine = with_rule(tmp_path, "met-Jarno", 4).standards
    assert identify_taper(mine, 15.9, 12.7, 63.5).candidates[0].probability > before


@pytest.mark.parametrize("rule", ["taper-none", "thread-none", "nose-none", "collet-none"])
def test_more_weight_for_none_of_them_makes_none_likelier(rule: str, tmp_path: Path) -> None:
    def none(catalogue: Catalogue) -> float:
        tables = catalogue.standards
        return {
            "taper-none": identify_taper(tables, 23.8, 19.8, 81.0),
            "thread-none": identify_thread(tables, 38.0, 3.175),
            "nose-none": identify_nose(tables, studs=3, register_mm=63.5),
            "collet-none": identify_collet(tables, body_mm=31.7),
        }[rule].none_probability

    assert none(with_rule(tmp_path, rule, 50)) > 2 * none(OURS)


def test_how_heavy_a_chuck_a_nose_carries_is_the_users_to_say(tmp_path: Path) -> None:
    chuck, lathe = a_piece("chuck-4-jaw", size="8in", mount="D1-4"), a_lathe()
    assert "heavy-chuck" not in fit(chuck, lathe, OURS).cautions
    mine = with_rule(tmp_path, "nose-carries-over", 0.9)
    assert "heavy-chuck" in fit(chuck, lathe, mine).cautions


def test_a_figure_of_nothing_is_refused_and_ours_holds(tmp_path: Path) -> None:
    mine = with_rule(tmp_path, "pitch-sd-share", 0)
    assert mine.standards.rule("pitch-sd-share") == OURS.standards.rule("pitch-sd-share")
    assert [problem.line for problem in mine.problems] == [6]
    assert "not above zero" in mine.problems[0].found
