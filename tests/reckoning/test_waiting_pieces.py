"""Pieces that wait for what they go on are not bought a second time."""

from __future__ import annotations

from builders import a_lathe, a_piece, a_visit, dollars
from kitreckon.catalogue.load import open_catalogue
from kitreckon.count import Preferences
from kitreckon.reckoning import reckon, shopping

CATALOGUE = open_catalogue()
COLLETS = a_piece("collets-5c", mount="5C", set_of=17, set_has=15, condition="very-good")


def bought(*pieces: object, looks: dict[str, int], budget: float = 3000) -> list[str]:
    visit = a_visit(*pieces, looks=looks)  # type: ignore[arg-type]
    reckoning = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    return [row.kind for row in shopping(reckoning, dollars(budget), CATALOGUE).buy]


def test_collets_that_are_here_want_only_their_adapter() -> None:
    kinds = bought(COLLETS, looks={"collets-5c": 1, "collet-adapter": 0})
    assert "collet-adapter" in kinds
    assert not {"collets-5c", "collets-er", "chuck-collet"} & set(kinds)


def test_without_collets_both_are_bought() -> None:
    kinds = bought(looks={"collets-5c": 0, "collet-adapter": 0})
    assert {"collet-adapter", "chuck-collet"} & set(kinds)
    assert {"collets-5c", "collets-er"} & set(kinds)


def test_cracked_collets_wait_for_nothing() -> None:
    cracked = a_piece("collets-5c", mount="5C", set_of=17, unsafe="cracked")
    kinds = bought(cracked, looks={"collets-5c": 1, "collet-adapter": 0})
    assert {"collets-5c", "collets-er"} & set(kinds)


def test_what_waits_counts_as_closed_only_with_what_it_needs() -> None:
    assert "collet-adapter" not in bought(
        COLLETS, looks={"collets-5c": 1, "collet-adapter": 0}, budget=20
    )
