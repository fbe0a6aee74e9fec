"""The best set within a budget, exactly: a multiple-choice knapsack in whole numbers.

From each class of choices one is taken, so that the costs stay within the budget and the worth
is greatest; of equal worth the cheapest set wins. The search starts at the optimum of the
divisible problem, where at most one class is cut, and spreads to the classes in the order of
how little they would have to give way, dropping every partial set that provably cannot beat the
best one known. It ends with a proof, or after a fixed amount of work with a bound.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

WORK_LIMIT = 400_000  # partial sets looked at before the search settles for a bound

# A class of choices: (cost, worth) pairs of whole numbers >= 0; one of them is taken.
Choices = Sequence[tuple[int, int]]
_State = tuple[int, int, "_Link"]  # cost, score, changes from the pivot
_Link = tuple[int, int, object] | None  # class, choice, earlier changes


@dataclass(frozen=True, slots=True)
class Selection:
    """The set found: the index taken from each class, and what is known about it.

    ``off_by_at_most`` is how much worth the true optimum could have above this set; 0 when
    ``proven`` is true.
    """

    picks: tuple[int, ...]
    cost: int
    worth: int
    proven: bool = True
    off_by_at_most: int = 0


def select(
    classes: Sequence[Choices], budget: int, work_limit: int = WORK_LIMIT
) -> Selection | None:
    """Return the best selection of one choice from each class, or None when none is affordable.

    >>> select([[(0, 0), (10, 60)], [(0, 0), (20, 100)], [(0, 0), (30, 120)]], 50)
    Selection(picks=(0, 1, 1), cost=50, worth=220, proven=True, off_by_at_most=0)
    """
    ladders = [_ladder(choices, budget) for choices in classes]
    if any(not ladder for ladder in ladders) or sum(rows[0][0] for rows in ladders) > budget:
        return None
    scale = budget + 1  # one unit of worth outweighs any saving
    search = _Search([[(c, w * scale - c) for c, w, _ in rows] for rows in ladders], budget)
    search.run(work_limit)
    picked = [rows[index] for rows, index in zip(ladders, search.best, strict=True)]
    worth = sum(row[1] for row in picked)
    return Selection(
        tuple(row[2] for row in picked),
        sum(row[0] for row in picked),
        worth,
        search.bound <= search.best_score,
        max(0, -(-search.bound // scale) - worth),
    )


def _ladder(choices: Choices, budget: int) -> list[tuple[int, int, int]]:
    """Choices that are affordable and worth more than every cheaper one: cost, worth, index."""
    ladder: list[tuple[int, int, int]] = []
    for cost, worth, index in sorted(
        ((cost, worth, index) for index, (cost, worth) in enumerate(choices) if cost <= budget),
        key=lambda row: (row[0], -row[1], row[2]),
    ):
        if not ladder or worth > ladder[-1][1]:
            ladder.append((cost, worth, index))
    return ladder


def most_worth(classes: Sequence[Choices], budget: int) -> int:
    """Return a bound on the worth of any selection: the divisible problem, rounded down."""
    ladders = [[row[:2] for row in _ladder(choices, budget)] for choices in classes]
    if any(not ladder for ladder in ladders):
        return 0
    room = budget - sum(rows[0][0] for rows in ladders)
    worth = Fraction(sum(rows[0][1] for rows in ladders))
    for cost, gain in _steps(ladders):
        if cost > room:
            return int(worth + Fraction(gain * max(0, room), cost))
        room -= cost
        worth += gain
    return int(worth)


def bounds_instead(
    classes: Sequence[Choices], instead: Sequence[Choices], budget: int
) -> list[int]:
    """Return for each class a bound on the worth when it has to choose from others instead.

    One price for a unit of budget is found for the whole problem; the bounds are those of the
    relaxation in which every class buys at that price. -1 where there is nothing instead.
    """
    ladders = [[row[:2] for row in _ladder(choices, budget)] for choices in classes]
    gain, price = _break_slope(ladders, budget)

    def net(choices: Choices) -> int:
        return max((worth * price - cost * gain for cost, worth in choices), default=0)

    nets = [net(choices) for choices in ladders]
    total = gain * budget + sum(nets)
    return [
        (total - nets[n] + net(choices)) // price if choices else -1
        for n, choices in enumerate(instead)
    ]


def _break_slope(ladders: Sequence[Choices], budget: int) -> tuple[int, int]:
    """Return gain and price of the step at which the divisible problem runs out of budget."""
    room = budget - sum(rows[0][0] for rows in ladders if rows)
    for cost, gain in _steps(ladders):
        if cost > room:
            return gain, cost
        room -= cost
    return 0, 1


def _steps(ladders: Sequence[Choices]) -> list[tuple[int, int]]:
    """Every step up the upper hull of every class, the most worth per cost first."""
    steps: list[tuple[int, int]] = []
    for rows in ladders:
        hull: list[tuple[int, int]] = []
        for cost, worth in rows:
            while len(hull) > 1 and (worth - hull[-1][1]) * (hull[-1][0] - hull[-2][0]) >= (
                hull[-1][1] - hull[-2][1]
            ) * (cost - hull[-1][0]):
                hull.pop()
            hull.append((cost, worth))
        steps += [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(hull)]
    steps.sort(key=lambda step: -step[1] / step[0])
    return steps


class _Search:
    """One search: the best selection known, the states still alive, and the bound."""

    def __init__(self, ladders: list[list[tuple[int, int]]], budget: int) -> None:
        self.ladders = ladders
        self.budget = budget
        self.gain, self.price = _break_slope(ladders, budget)
        self.pivot = [self._pivot(rows) for rows in ladders]
        self.best = [0] * len(ladders)
        self.best_score = sum(rows[0][1] for rows in ladders)
        self.bound = self.best_score
        self._fill_up()

    def _pivot(self, rows: list[tuple[int, int]]) -> int:
        """Return the choice that is best when a unit of budget costs the break slope."""
        return max(
            range(len(rows)), key=lambda j: (rows[j][1] * self.price - rows[j][0] * self.gain, -j)
        )

    def _fill_up(self) -> None:
        """Take the pivots that can be afforded, then whatever else still fits."""
        picks = list(self.pivot)
        cost = sum(rows[j][0] for rows, j in zip(self.ladders, picks, strict=True))
        if cost > self.budget:  # only when rounding misled the order of the steps
            picks, cost = list(self.best), sum(rows[0][0] for rows in self.ladders)
        for n, rows in enumerate(self.ladders):
            fitting = [
                j
                for j in range(picks[n] + 1, len(rows))
                if cost - rows[picks[n]][0] + rows[j][0] <= self.budget
            ]
            if fitting:
                cost += rows[fitting[-1]][0] - rows[picks[n]][0]
                picks[n] = fitting[-1]
        score = sum(rows[j][1] for rows, j in zip(self.ladders, picks, strict=True))
        if score > self.best_score:
            self.best, self.best_score = picks, score

    def run(self, work_limit: int) -> None:
        """Spread from the pivots until no state can beat the best; sets ``bound``."""
        start_cost = sum(rows[j][0] for rows, j in zip(self.ladders, self.pivot, strict=True))
        start_score = sum(rows[j][1] for rows, j in zip(self.ladders, self.pivot, strict=True))
        order = self._open_classes(start_cost, start_score)
        states: list[_State] = [(start_cost, start_score, None)]
        self._note(states)
        work = 0
        slopes = self._slopes(order)
        for position, (n, kept) in enumerate(order):
            up, down = slopes[position]
            states = self._spread(states, n, kept, up, down)
            self._note(states)
            states = [s for s in states if self._reach(s, up, down) > self.best_score]
            work += len(states) * (1 + len(kept))
            if work > work_limit and position + 1 < len(order):
                self.bound = max((self._reach(s, up, down) for s in states), default=0)
                break
        self.bound = max(self.bound, self.best_score)

    def _open_classes(self, cost: int, score: int) -> list[tuple[int, list[int]]]:
        """Classes with choices that could still be in a better set, the closest first."""
        slack = score * self.price + self.gain * (self.budget - cost)
        target = self.best_score * self.price
        rows_open: list[tuple[float, int, list[int]]] = []
        for n, rows in enumerate(self.ladders):
            base_cost, base_score = rows[self.pivot[n]]
            losses = [
                (base_score - score_j) * self.price - self.gain * (base_cost - cost_j)
                for cost_j, score_j in rows
            ]
            kept = [j for j, loss in enumerate(losses) if slack - loss > target]
            moves = [
                losses[j] / (abs(rows[j][0] - base_cost) or 1) for j in kept if j != self.pivot[n]
            ]
            if moves:
                rows_open.append((min(moves), n, kept))
        rows_open.sort(key=lambda row: row[:2])
        return [(n, kept) for _, n, kept in rows_open]

    def _slopes(
        self, order: Sequence[tuple[int, list[int]]]
    ) -> list[tuple[Fraction | None, Fraction | None]]:
        """Best gain per cost of moving up, least loss per cost of moving down, after each class."""
        after: list[tuple[Fraction | None, Fraction | None]] = []
        up: Fraction | None = None
        down: Fraction | None = None
        for n, kept in reversed(order):
            after.append((up, down))
            base_cost, base_score = self.ladders[n][self.pivot[n]]
            for j in kept:
                cost, score = self.ladders[n][j]
                if cost > base_cost:
                    slope = Fraction(score - base_score, cost - base_cost)
                    up = slope if up is None or slope > up else up
                elif cost < base_cost:
                    slope = Fraction(base_score - score, base_cost - cost)
                    down = slope if down is None or slope < down else down
        return after[::-1]

    def _spread(
        self,
        states: list[_State],
        n: int,
        kept: list[int],
        up: Fraction | None,
        down: Fraction | None,
    ) -> list[_State]:
        """Every state with every kept choice of class n, without the dominated ones."""
        base_cost, base_score = self.ladders[n][self.pivot[n]]
        grown: list[_State] = []
        for j in kept:
            cost, score = self.ladders[n][j]
            if j == self.pivot[n]:
                grown += states
                continue
            extra, gain = cost - base_cost, score - base_score
            grown += [(c + extra, s + gain, (n, j, link)) for c, s, link in states]
        grown.sort(key=lambda state: (state[0], -state[1]))
        front: list[_State] = []
        for state in grown:
            if not front or state[1] > front[-1][1]:
                front.append(state)
        return front

    def _reach(self, state: _State, up: Fraction | None, down: Fraction | None) -> int:
        """Return the most a state can still come to, were its open classes divisible."""
        cost, score, _ = state
        if cost <= self.budget:
            if up is None or up <= 0:
                return score
            return score + up.numerator * (self.budget - cost) // up.denominator
        if down is None:
            return self.best_score
        return score - -(-down.numerator * (cost - self.budget) // down.denominator)

    def _note(self, states: list[_State]) -> None:
        """Keep the best affordable state, if it is better than the best known."""
        for cost, score, link in reversed(states):  # scores rise with costs
            if cost <= self.budget:
                if score > self.best_score:
                    self.best, self.best_score = self._picks(link), score
                return

    def _picks(self, link: object) -> list[int]:
        picks = list(self.pivot)
        changed: set[int] = set()
        while isinstance(link, tuple):
            n, j, link = link
            if n not in changed:
                changed.add(n)
                picks[n] = j
        return picks
