"""The choice of which piece covers which want, against scipy's solvers.

Worth is compared, never sets: among equals any set will do.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from kitreckon.reckoning.assignment import Row, assign, choose
from solved_outside import integer_optimum

FEW_GAINS = (0, 0, 1, 2, 2, 5, 5, 100)  # so that ties are the rule
CHANCES = (0.5, 1.0)


def random_gains(source: random.Random, most: int) -> list[dict[int, int]]:
    rows, columns = source.randint(1, most), source.randint(1, most)
    density = source.uniform(0.1, 0.9)
    return [
        {c: source.choice(FEW_GAINS) for c in range(columns) if source.random() < density}
        for _ in range(rows)
    ]


def worth(gains: Sequence[Mapping[int, int]], chosen: Sequence[int | None]) -> tuple[int, int]:
    used = [(row, column) for row, column in enumerate(chosen) if column is not None]
    assert len({column for _, column in used}) == len(used)
    return sum(gains[row][column] for row, column in used), len(used)


@pytest.mark.parametrize("batch", range(4))
def test_the_total_gain_is_that_of_the_assignment_solver(batch: int) -> None:
    source = random.Random(batch)
    for _ in range(750):
        gains = random_gains(source, 9)
        width = 1 + max((c for row in gains for c in row), default=0)
        matrix = np.zeros((len(gains), width + len(gains)))
        for row, columns in enumerate(gains):
            for column, gain in columns.items():
                matrix[row, column] = gain * 1000 + 1  # gain first, then how many are covered
        rows, columns = linear_sum_assignment(matrix, maximize=True)
        gain, count = worth(gains, assign(gains))
        assert gain * 1000 + count == matrix[rows, columns].sum()


@pytest.mark.parametrize("batch", range(4))
def test_shared_adapters_are_bought_as_the_integer_solver_would(batch: int) -> None:
    source = random.Random(100 + batch)
    for _ in range(500):
        gains = random_gains(source, 6)
        names = [f"adapter {k}" for k in range(source.randint(1, 4))]
        rows = [
            Row(
                row,
                frozenset(n for n in names if source.random() < 0.35),
                {column: source.choice(CHANCES) for column in row},
            )
            for row in gains
        ]
        whole = {name: source.choice((0, 1, 2, 4, 5, 7, 60)) for name in names}
        costs = {
            name: {chance: round(chance * cost) for chance in CHANCES}
            for name, cost in whole.items()
        }
        choice = choose(rows, costs)
        for row, column in zip(rows, choice.columns, strict=True):
            if column is not None:
                assert all(choice.bought[name] >= row.chances[column] for name in row.needs)
        gain, _ = worth(gains, choice.columns)
        found = gain - sum(costs[name][chance] for name, chance in choice.bought.items())
        assert found == pytest.approx(integer_optimum(rows, costs))


@pytest.mark.parametrize("batch", range(3))
def test_many_shared_adapters_are_bought_as_the_integer_solver_would(batch: int) -> None:
    """Eight adapters of two levels: 6,561 ways to have them."""
    source = random.Random(200 + batch)
    names = [f"adapter {k}" for k in range(8)]
    for _ in range(40):
        rows = [
            Row(
                {column: source.choice((0, 2, 5, 9, 40, 90)) for column in range(10)},
                frozenset(name for name in names if source.random() < 0.3),
                {column: source.choice(CHANCES) for column in range(10)},
            )
            for _ in range(12)
        ]
        whole = {name: source.choice((4, 7, 20, 60, 150)) for name in names}
        costs = {
            name: {chance: round(chance * cost) for chance in CHANCES}
            for name, cost in whole.items()
        }
        choice = choose(rows, costs)
        gain, _ = worth([row.gains for row in rows], choice.columns)
        found = gain - sum(costs[name][chance] for name, chance in choice.bought.items())
        assert found == pytest.approx(integer_optimum(rows, costs))


def test_one_more_row_never_lowers_the_total() -> None:
    source = random.Random(5)
    for _ in range(500):
        gains = random_gains(source, 7)
        fewer, _ = worth(gains[:-1], assign(gains[:-1]))
        more, _ = worth(gains, assign(gains))
        assert more >= fewer


def test_nothing_to_cover_and_nothing_to_cover_with() -> None:
    assert assign([]) == ()
    assert assign([{}, {}]) == (None, None)
    assert choose([], {}).columns == ()


def test_many_shared_adapters_are_still_worth_having() -> None:
    names = [f"adapter {k}" for k in range(9)]
    rows = [Row({k: 10 + k}, frozenset({names[k], names[0]})) for k in range(9)]
    choice = choose(rows, {name: {1.0: 3} for name in names})
    assert choice.bought == dict.fromkeys(names, 1.0)
