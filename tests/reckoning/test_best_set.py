"""The plain problem: one choice from each class, within a budget."""

from __future__ import annotations

import random
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitreckon.reckoning.best_set import most_worth, select

CLASSES = st.lists(
    st.lists(st.tuples(st.integers(0, 12), st.integers(0, 9)), min_size=1, max_size=4),
    min_size=1,
    max_size=6,
)


def best_of_all(classes: list[list[tuple[int, int]]], budget: int) -> tuple[int, int] | None:
    """Worth and cost of the best selection, by trying every one."""
    sums = [
        (sum(w for _, w in picks), -sum(c for c, _ in picks))
        for picks in product(*classes)
        if sum(c for c, _ in picks) <= budget
    ]
    return (max(sums)[0], -max(sums)[1]) if sums else None


@given(classes=CLASSES, budget=st.integers(0, 40))
@settings(max_examples=300, deadline=None)
def test_it_finds_the_most_worth_and_of_equal_worth_the_least_cost(
    classes: list[list[tuple[int, int]]], budget: int
) -> None:
    found = select(classes, budget)
    expected = best_of_all(classes, budget)
    if expected is None:
        assert found is None
        return
    assert found is not None
    assert (found.worth, found.cost) == expected
    assert found.proven
    picked = [row[pick] for row, pick in zip(classes, found.picks, strict=True)]
    assert sum(cost for cost, _ in picked) == found.cost
    assert sum(worth for _, worth in picked) == found.worth


@given(classes=CLASSES, budget=st.integers(0, 40))
@settings(max_examples=150, deadline=None)
def test_the_bound_is_never_below_the_optimum(
    classes: list[list[tuple[int, int]]], budget: int
) -> None:
    expected = best_of_all(classes, budget)
    if expected is not None:
        assert most_worth(classes, budget) >= expected[0]


def strongly_correlated(seed: int) -> tuple[list[list[tuple[int, int]]], int]:
    """An instance of the sort that is hard to prove: worth is cost plus a constant."""
    draw = random.Random(seed)
    costs = [draw.randint(500, 60_000) for _ in range(100)]
    return [[(0, 0), (cost, cost + 6_000)] for cost in costs], sum(costs) // 3


@pytest.mark.parametrize("seed", range(2))
def test_a_search_cut_short_says_so_and_gives_a_bound_that_holds(seed: int) -> None:
    classes, budget = strongly_correlated(seed)
    short = select(classes, budget, work_limit=50)
    full = select(classes, budget, work_limit=10_000_000)
    assert short is not None
    assert full is not None
    assert full.proven
    assert not short.proven
    assert short.worth <= full.worth <= short.worth + short.off_by_at_most


def test_worths_far_beyond_a_float_are_told_apart() -> None:
    big = 10**30
    classes = [[(0, 0), (5, big)], [(0, 0), (5, big + 1)]]
    found = select(classes, 5)
    assert found is not None
    assert found.picks == (0, 1)
    assert found.worth == big + 1
