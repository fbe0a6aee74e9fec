"""Known optima of small knapsack problems, chosen by the code that makes the shopping list.

P01 to P07: the public knapsack_01 data set ("KNAPSACK_01" page in a public text collection);
the capacities stand on that page, the weights and values are from memory, and each optimum was
confirmed by trying every subset (repeated below). "Textbook": the three-item example that books
use to show that taking the best ratio first can fail; common practice, no single source.
"""

from __future__ import annotations

from itertools import combinations

import pytest

from kitreckon.reckoning.prerequisites import Group, Option, choose

# name: capacity, weights, values, best value, its weight, its items (from 1)
INSTANCES = {
    "P01": (
        165,
        [23, 31, 29, 44, 53, 38, 63, 85, 89, 82],
        [92, 57, 49, 68, 60, 43, 67, 84, 87, 72],
        309,
        165,
        [1, 2, 3, 4, 6],
    ),
    "P02": (26, [12, 7, 11, 8, 9], [24, 13, 23, 15, 16], 51, 26, [2, 3, 4]),
    "P03": (190, [56, 59, 80, 64, 75, 17], [50, 50, 64, 46, 50, 5], 150, 190, [1, 2, 5]),
    "P04": (50, [31, 10, 20, 19, 4, 3, 6], [70, 20, 39, 37, 7, 5, 10], 107, 50, [1, 4]),
    "P05": (
        104,
        [25, 35, 45, 5, 25, 3, 2, 2],
        [350, 400, 450, 20, 70, 8, 5, 5],
        900,
        104,
        [1, 3, 4, 5, 7, 8],
    ),
    "P06": (
        170,
        [41, 50, 49, 59, 55, 57, 60],
        [442, 525, 511, 593, 546, 564, 617],
        1735,
        169,
        [2, 4, 7],
    ),
    "P07": (
        750,
        [70, 73, 77, 80, 82, 87, 90, 94, 98, 106, 110, 113, 115, 118, 120],
        [135, 139, 149, 150, 156, 163, 173, 184, 192, 201, 210, 214, 221, 229, 240],
        1458,
        749,
        [1, 3, 5, 7, 8, 9, 14, 15],
    ),
    "textbook": (50, [10, 20, 30], [60, 100, 120], 220, 50, [2, 3]),
}
# what taking the best ratio of value to weight first comes to
RATIO_FIRST = {
    "P01": 309,
    "P02": 47,
    "P03": 146,
    "P04": 102,
    "P05": 858,
    "P06": 1478,
    "P07": 1441,
    "textbook": 160,
}


@pytest.mark.parametrize("name", INSTANCES)
def test_published_optimum_is_found_and_proven(name: str) -> None:
    capacity, weights, values, best, weight, items = INSTANCES[name]
    groups = [Group((Option(w, v),)) for w, v in zip(weights, values, strict=True)]
    chosen = choose(groups, capacity)
    assert chosen is not None
    assert (chosen.worth, chosen.cost) == (best, weight)
    assert [n for n, pick in enumerate(chosen.picks, 1) if pick is not None] == items
    assert chosen.proven
    assert chosen.off_by_at_most == 0


@pytest.mark.parametrize("name", INSTANCES)
def test_published_optimum_is_the_best_of_all_subsets(name: str) -> None:
    capacity, weights, values, best, _, _ = INSTANCES[name]
    items = range(len(weights))
    assert best == max(
        sum(values[n] for n in subset)
        for size in range(len(weights) + 1)
        for subset in combinations(items, size)
        if sum(weights[n] for n in subset) <= capacity
    )


@pytest.mark.parametrize("name", INSTANCES)
def test_taking_the_best_ratio_first_gives_what_the_source_says(name: str) -> None:
    capacity, weights, values, best, _, _ = INSTANCES[name]
    room, total = capacity, 0
    for n in sorted(range(len(weights)), key=lambda n: -values[n] / weights[n]):
        if weights[n] <= room:
            room -= weights[n]
            total += values[n]
    assert total == RATIO_FIRST[name]
    assert total <= best
