"""What is missing is paid once, also where one missing thing needs another."""

from __future__ import annotations

import pytest

from builders import a_lathe, a_visit, the_catalogue
from kitreckon.count import Preferences
from kitreckon.reckoning import reckon
from kitreckon.reckoning.prices import Prices

CATALOGUE = the_catalogue()


def test_an_arbor_that_is_missing_by_itself_is_no_part_of_the_missing_drill_chuck() -> None:
    """Both wants open: the chucks cost what chucks cost, the arbors stand on their own line."""
    visit = a_visit(looks={"drill-chuck": 0, "drill-chuck-arbor": 0})
    made = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    gaps = {gap.want: gap for gap in made.gaps}
    prices = Prices(CATALOGUE, Preferences())
    plain = 0.0
    for size in (13.0, 16.0):
        priced = prices.of("drill-chuck", size, "new-import")
        assert priced is not None
        plain += priced.mean
    assert gaps["drill-chuck"].spread.mean == pytest.approx(plain)
    assert gaps["drill-chuck-arbor"].spread.mean > 0.0


def test_a_chuck_still_counts_the_backplate_that_goes_with_it_and_is_no_want_of_it() -> None:
    visit = a_visit(looks={"chuck-4-jaw": 0})
    made = reckon(a_lathe(), visit, CATALOGUE, Preferences())
    (gap,) = made.gaps
    priced = Prices(CATALOGUE, Preferences()).of("chuck-4-jaw", gap.size_mm, "new-import")
    assert priced is not None
    assert gap.spread.mean > 1.2 * priced.mean
