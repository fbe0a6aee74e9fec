"""An arbor that came fitted in its drill chuck is neither missing nor bought a second time."""

from __future__ import annotations

from typing import Any

import pytest

from builders import a_lathe, a_mill, a_piece, a_visit, dollars, the_catalogue
from kitreckon.count import Machine, Piece, Preferences
from kitreckon.reckoning import reckon, shopping, spares
from kitreckon.reckoning.model import Reckoning

ON_ITS_ARBOR = a_piece("drill-chuck", size="1/2in", mount="R8")
LOOKED = {"drill-chuck": 1, "drill-chuck-arbor": 0}


def reckoned(*pieces: Piece, machine: Machine | None = None, **more: Any) -> Reckoning:
    visit = a_visit(*pieces, looks=more.pop("looks", LOOKED))
    return reckon(machine or a_mill(), visit, the_catalogue(), Preferences(), **more)


def missing(result: Reckoning) -> dict[str, int]:
    return {gap.want: gap.qty for gap in result.gaps}


@pytest.mark.parametrize("mount", ["R8", "JT33"])
def test_only_a_chuck_without_its_arbor_wants_one(mount: str) -> None:
    result = reckoned(a_piece("drill-chuck", size="1/2in", mount=mount))
    assert ("drill-chuck-arbor" in missing(result)) is (mount == "JT33")


def test_a_chuck_on_its_arbor_is_worth_more_than_one_without() -> None:
    whole = reckoned(ON_ITS_ARBOR).values["p-drill-chuck"]
    assert not whole.surplus
    bare = a_piece("drill-chuck", size="1/2in", mount="JT33")
    assert whole.worth_mean > reckoned(bare).values["p-drill-chuck"].worth_mean


def test_neither_is_it_bought() -> None:
    made = shopping(reckoned(ON_ITS_ARBOR), dollars(500), the_catalogue())
    assert "drill-chuck-arbor" not in {line.kind for line in made.buy}


def test_of_two_wanted_the_second_chuck_is_bought_with_its_arbor() -> None:
    first = a_piece("drill-chuck", size="1/2in", mount="MT3")
    result = reckoned(first, machine=a_lathe())
    assert missing(result) == {"drill-chuck": 1, "drill-chuck-arbor": 1}
    made = shopping(result, dollars(500), the_catalogue())
    assert {line.kind: line.qty for line in made.buy} == {"drill-chuck": 1, "drill-chuck-arbor": 1}


def test_another_arbor_beside_it_leaves_nothing_missing() -> None:
    assert missing(reckoned(ON_ITS_ARBOR, a_piece("drill-chuck-arbor", mount="R8"))) == {}


def test_an_owned_chuck_on_its_arbor_counts_as_one_here_does() -> None:
    result = reckoned(shelf=(ON_ITS_ARBOR,), looks={"drill-chuck": 0, "drill-chuck-arbor": 0})
    assert missing(result) == {}
    assert spares((result,), the_catalogue()) == ()


@pytest.mark.parametrize(
    "facts", [{"mount": "MT4"}, {"unsafe": "cracked"}, {"condition": "scrap"}, {"his": True}]
)
def test_one_that_is_of_no_use_here_brings_no_arbor(facts: dict[str, Any]) -> None:
    chuck = a_piece("drill-chuck", **({"size": "1/2in", "mount": "R8"} | facts))
    assert missing(reckoned(chuck, a_piece("drill-chuck", id="b", size="1/2in", mount="JT33"))) == {
        "drill-chuck-arbor": 1
    }
