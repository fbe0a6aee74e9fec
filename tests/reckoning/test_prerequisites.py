"""Things that are of no use without another, against an integer solver and by hand."""

from __future__ import annotations

import random

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from kitreckon.reckoning import prerequisites
from kitreckon.reckoning.prerequisites import Group, Option, Problem, choose

NOTHING = frozenset[str]()


def key(*names: str) -> frozenset[str]:
    return frozenset(names)


def drawn(seed: int) -> tuple[list[Group], int]:
    """Up to 14 groups of up to 3 options over up to 4 keys, with ties and unmeetable needs."""
    draw = random.Random(seed)
    keys = "abcd"[: draw.randint(1, 4)]
    groups = []
    for _ in range(draw.randint(1, 14)):
        options = []
        for _ in range(draw.randint(1, 3)):
            needs = frozenset(k for k in keys if draw.random() < 0.25)
            gives = frozenset(k for k in keys if draw.random() < 0.15) - needs
            options.append(Option(draw.randint(1, 60), draw.randint(0, 20), needs, gives))
        groups.append(Group(tuple(options), must=draw.random() < 0.05))
    return groups, draw.randint(0, 30 * len(groups))


def worth_by_integer_solver(groups: list[Group], budget: int) -> int | None:
    """The optimum by scipy's integer solver, without any gap."""
    options = [(n, option) for n, group in enumerate(groups) for option in group.options]
    limits = [([float(option.cost) for _, option in options], -np.inf, float(budget))]
    for n, group in enumerate(groups):
        limits.append(([float(m == n) for m, _ in options], float(group.must), 1.0))
    for n, (_, option) in enumerate(options):
        for needed in option.needs:
            row = [-float(needed in other.gives) for _, other in options]
            row[n] += 1.0
            limits.append((row, -np.inf, 0.0))
    rows, least, most = (np.array(column) for column in zip(*limits, strict=True))
    solved = milp(
        -np.array([float(option.worth) for _, option in options]),
        constraints=LinearConstraint(rows, least, most),
        integrality=np.ones(len(options)),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0},
    )
    return None if solved.x is None else round(-solved.fun)


@pytest.mark.parametrize("start", range(0, 2000, 200))
def test_worth_equals_the_integer_solvers(start: int) -> None:
    for seed in range(start, start + 200):
        groups, budget = drawn(seed)
        chosen = choose(groups, budget)
        expected = worth_by_integer_solver(groups, budget)
        assert (chosen.worth if chosen else None) == expected, seed
        assert chosen is None or chosen.proven


@pytest.mark.parametrize("together", [1, 3])
def test_splitting_on_keys_gives_what_combining_gives(
    together: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawings = [drawn(seed) for seed in range(150)]
    combined = [choose(groups, budget) for groups, budget in drawings]
    monkeypatch.setattr(prerequisites, "TOGETHER", together)
    for (groups, budget), expected in zip(drawings, combined, strict=True):
        chosen = choose(groups, budget)
        assert (chosen and (chosen.worth, chosen.cost)) == (
            expected and (expected.worth, expected.cost)
        )


def test_one_problem_answers_for_every_budget() -> None:
    for seed in range(80):
        groups, budget = drawn(seed)
        problem = Problem(groups, 2 * budget + 10)
        for part in (0, budget // 3, budget, 2 * budget):
            one, other = problem.choose(part), choose(groups, part)
            assert (one and (one.worth, one.cost)) == (other and (other.worth, other.cost))


def test_a_split_search_cut_short_gives_a_bound_that_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    drawings = [drawn(seed) for seed in range(200)]
    full = [choose(groups, budget) for groups, budget in drawings]
    monkeypatch.setattr(prerequisites, "TOGETHER", 1)
    monkeypatch.setattr(prerequisites, "LEAVES", 1)
    cut = 0
    for (groups, budget), expected in zip(drawings, full, strict=True):
        short = choose(groups, budget)
        if short is not None and expected is not None and not short.proven:
            cut += 1
            assert short.worth <= expected.worth <= short.worth + short.off_by_at_most
        elif short is not None and expected is not None:
            assert short.worth == expected.worth
    assert cut > 20


def test_what_is_needed_is_bought_with_it_or_neither_is() -> None:
    adapter = Group((Option(60, 0, gives=key("adapter")),))
    collets = Group((Option(50, 9, needs=key("adapter")),))
    indicator = Group((Option(40, 5),))
    assert choose([adapter, collets, indicator], 110).picks == (0, 0, None)  # type: ignore[union-attr]
    assert choose([adapter, collets, indicator], 109).picks == (None, None, 0)  # type: ignore[union-attr]


def test_a_chain_of_needs_is_followed_to_its_end() -> None:
    post = Group((Option(10, 1, gives=key("post")),))
    holder = Group((Option(10, 1, needs=key("post"), gives=key("holder")),))
    bar = Group((Option(10, 20, needs=key("holder")),))
    assert choose([bar, holder, post], 30).picks == (0, 0, 0)  # type: ignore[union-attr]
    assert choose([bar, holder, post], 29).picks == (None, 0, 0)  # type: ignore[union-attr]


def test_one_adapter_serves_many() -> None:
    adapter = Group((Option(30, 0, gives=key("k")),))
    served = [Group((Option(10, 4, needs=key("k")),)) for _ in range(20)]
    chosen = choose([adapter, *served], 230)
    assert chosen is not None
    assert (chosen.cost, chosen.worth) == (230, 80)


def test_what_nobody_gives_is_never_bought() -> None:
    assert choose([Group((Option(1, 9, needs=key("gone")),))], 100).picks == (None,)  # type: ignore[union-attr]


def test_a_must_that_cannot_be_met_is_no_selection() -> None:
    assert choose([Group((Option(9, 1),), must=True)], 8) is None
    assert choose([], -1) is None
