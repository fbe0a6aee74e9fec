"""Figures of judgement that a user lays over ours decide what is reckoned."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from builders import a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Piece, Preferences
from kitreckon.quantities import known_mm
from kitreckon.reckoning import concessions, counter, reckon, shopping
from kitreckon.reckoning.lines import fit_chance
from kitreckon.reckoning.packs import RANK
from kitreckon.reckoning.weight import weight_kg
from kitreckon.reports.moving import piece_weight_kg


def judging(folder: Path, figures: str) -> Catalogue:
    head = "format: 1\nsubject: judgement\njudgement:\n"
    (folder / "judgement.yaml").write_text(head + figures, "utf-8")
    catalogue = open_catalogue([folder])
    assert catalogue.judgement is not None and catalogue.problems == ()
    return catalogue


def test_so_many_raises_as_the_user_sets_and_no_more(tmp_path: Path) -> None:
    catalogue = judging(tmp_path, "  raises: {value: 1}\n")
    reckoning = reckon(a_lathe(), a_visit(), catalogue, Preferences())
    said = concessions(reckoning.offer, catalogue.judgement.raises)
    assert len(said) == 2
    answer = counter(reckoning, dollars(1900), (), catalogue)
    assert answer.say == said[0]


def test_points_of_worth_are_the_users(tmp_path: Path) -> None:
    """The four-jaw is essential and on 5 lists: 24 x (1 + 5) = 144 points of the first rank."""
    catalogue = judging(tmp_path, "  worth-points: {value: 24}\n")
    visit = a_visit(looks={"chuck-4-jaw": 0})
    reckoning = reckon(a_lathe(), visit, catalogue, Preferences())
    assert shopping(reckoning, dollars(2000), catalogue).worth == 144 * RANK["essential"]


def test_a_place_the_shares_do_not_tell_of_fits_with_the_users_chance(tmp_path: Path) -> None:
    catalogue = judging(tmp_path, "  fit-untried: {value: 0.25}\n")
    untold = replace(catalogue.kinds["other"], seats=())
    assert fit_chance(untold, catalogue) == 0.25
    assert fit_chance(untold, open_catalogue()) == 0.5


@pytest.mark.parametrize(("size", "times"), [("160mm", 1.0), ("240mm", 1.5**2), ("900mm", 2.0**2)])
def test_weight_follows_one_rule_on_the_day_and_in_the_postage(
    tmp_path: Path, size: str, times: float
) -> None:
    catalogue = judging(tmp_path, "  weight-exponent: {value: 2}\n")
    piece: Piece = a_piece("chuck-3-jaw", size=size)
    kind, table = catalogue.kinds["chuck-3-jaw"], catalogue.prices["chuck-3-jaw"]
    assert kind.weight_kg is not None and table.size_mm == 160.0
    on_the_day = piece_weight_kg(piece, catalogue)
    assert on_the_day == pytest.approx(kind.weight_kg * times)
    assert weight_kg(kind, known_mm(piece.size), table, catalogue.judgement) == on_the_day


def test_a_12in_chuck_weighs_as_published_over_an_8in_one() -> None:
    """A published table of chucks: 8 in 50 lb, 12 in 138 lb."""
    catalogue = open_catalogue()
    small, large = (
        piece_weight_kg(a_piece("chuck-4-jaw", size=size), catalogue) for size in ("8in", "12in")
    )
    assert small and large
    assert large / small == pytest.approx(138 / 50, rel=0.01)


def test_the_chance_of_what_nobody_looked_for_names_its_basis() -> None:
    reckoning = reckon(a_lathe(), a_visit(), the_catalogue(), Preferences())
    outfit = the_catalogue().outfits["engine-lathe-small"]
    for each in reckoning.not_looked:
        want = outfit.want(each.want)
        assert want is not None
        said = the_catalogue().words.say(each.basis, Style())
        assert "judgement" in said
        assert said.endswith(f": {want.lists}")
