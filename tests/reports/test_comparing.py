"""The comparison as it is told: sums that add up, chances that do not contradict one another."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Preferences
from kitreckon.quantities import Money
from kitreckon.reasons import because
from kitreckon.reckoning import compare, reckon
from kitreckon.reckoning.comparison import Comparison, Cost, Reversal, chance_cheaper
from kitreckon.reckoning.spread import Spread
from kitreckon.reports.comparing import comparison_report
from kitreckon.reports.document import Amount, Caution
from kitreckon.reports.rendering import render
from kitreckon.reports.voice import Voice

CATALOGUE = the_catalogue()
VOICE = Voice(CATALOGUE.words, Style(), CATALOGUE.outfits)


def compared(power: float = 0.5) -> Comparison:
    """Two lathes with the same tooling, one asked for at 1,900 and one at 1,000."""
    tooling = a_visit(a_piece("chuck-4-jaw", size="8in", mount="D1-4"), a_piece("boring-bars"))
    first = reckon(a_lathe(), tooling, CATALOGUE, Preferences(power=power))
    cheap = a_lathe(id="m2", name="the other", asking=dollars(1000))
    other = reckon(cheap, replace(tooling, machine_id="m2"), CATALOGUE, Preferences(power=power))
    return compare([first, other], "usual", CATALOGUE)


def told(comparison: Comparison) -> str:
    return " ".join(render(comparison_report(comparison, "USD", VOICE), "text").split())


@pytest.mark.parametrize("power", [0.11, 0.23, 0.37, 0.41, 0.5])
def test_the_parts_of_each_machine_add_up_to_what_it_costs_in_all(power: float) -> None:
    (table,) = comparison_report(compared(power=power), "USD", VOICE).tables()
    for column in (1, 2):
        cells = [row[column] for row in table.rows]
        *parts, total = [cell.number for cell in cells if isinstance(cell, Amount)]
        assert sum(part or 0 for part in parts) == total


def test_no_machine_is_told_to_be_cheaper_for_certain() -> None:
    """Two machines that differ by their prices alone, both known to the cent."""
    made = compared()
    dear, cheap = (
        replace(side, costs=(Cost("price", Spread.certain(price)),))
        for side, price in zip(made.sides, (9e5, 1e5), strict=True)
    )
    chance = chance_cheaper(cheap, dear, 0.5)
    assert "with a chance of over 99%" in told(replace(made, cheaper=(("m2", "m1", chance),)))


@pytest.mark.parametrize(
    ("fact", "changes", "said"),
    [
        ("compare-if-absent", dollars(90), "Weighed in it, with a chance of 4% and by $90"),
        ("compare-if-there", dollars(90), "Weighed in it, with a chance of 4% and by $90"),
        ("compare-if-misfit", dollars(90), "a chance of its own of 4%, and changes it by $90"),
        ("compare-if-found", None, "a chance of its own of 4%, and would end the deal"),
    ],
)
def test_what_may_turn_it_round_says_whether_the_chance_has_it_in_it(
    fact: str, changes: Money | None, said: str
) -> None:
    turned = Reversal(because(fact, machine="x", kind="y", finding="z"), 0.04, changes)
    text = told(replace(compared(), reversal=turned))
    assert said in text
    assert ("Not weighed in it" in text) == (fact in ("compare-if-misfit", "compare-if-found"))


def test_a_machine_to_walk_away_from_is_told_first_of_all_and_not_as_cheaper() -> None:
    broken = replace(a_visit(findings=(a_finding("headstock-gear-tooth"),)), machine_id="m2")
    wreck = a_lathe(id="m2", name="wreck", asking=dollars(300))
    lathe = reckon(a_lathe(), a_visit(), CATALOGUE, Preferences())
    pair = [reckon(wreck, broken, CATALOGUE, Preferences()), lathe]
    document = comparison_report(compare(pair, "usual", CATALOGUE), "USD", VOICE)
    caution, *_ = document.parts
    assert isinstance(caution, Caution)
    assert "wreck: walk away: broken tooth" in caution.text
    said = " ".join(render(document, "text").split())
    assert "wreck (walk away)" in said
    assert "cheaper" not in said
