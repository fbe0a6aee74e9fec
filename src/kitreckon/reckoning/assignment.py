"""The best one-to-one choice: which unit of a piece covers which unit of a want."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count

MOST_STEPS = 200  # of the search for the shared adapters of one connected part

# A shared adapter costs the more the surer it is to be bought: chance -> cost.
Costs = Mapping[str, Mapping[float, int]]
Had = dict[str, float]  # the adapters that are had, each for uses up to this chance
Settled = Mapping[str, float | None]  # the same while it is looked for; None: one that is not had


@dataclass(frozen=True, slots=True)
class Row:
    """One unit: what it gains on each column, and the shared adapters it cannot do without.

    chances: how sure it is that the unit is used on a column, and the adapters bought for it; 1
    where nothing is said.
    """

    gains: Mapping[int, int]
    needs: frozenset[str] = frozenset()
    chances: Mapping[int, float] = field(default_factory=dict)

    def with_only(self, had: Had) -> Mapping[int, int]:
        """Return the gains on the columns that these adapters are bought for."""
        if not self.needs:
            return self.gains
        surest = min(had.get(name, -1.0) for name in self.needs)
        return {
            column: gain
            for column, gain in self.gains.items()
            if self.chances.get(column, 1.0) <= surest
        }


@dataclass(frozen=True, slots=True)
class Choice:
    """The column of each row (None: left out), and the shared adapters that pay, with chance."""

    columns: tuple[int | None, ...]
    bought: Had


def choose(rows: Sequence[Row], costs: Costs) -> Choice:
    """Return the choice of greatest gain less the cost of the shared adapters, each bought once.

    An adapter is bought for the surest of its uses. Connected parts are solved apart; the result
    is an optimum unless a part takes more than MOST_STEPS steps of the search.

    >>> rows = [Row({0: 9}, frozenset({"sleeve"})), Row({1: 8}, frozenset({"sleeve"}))]
    >>> choose(rows, {"sleeve": {1.0: 12}})
    Choice(columns=(0, 1), bought={'sleeve': 1.0})
    """
    columns: list[int | None] = [None] * len(rows)
    bought: Had = {}
    for part in _parts(rows):
        chosen, had = _best_of_part([rows[k] for k in part], costs)
        bought |= had
        for place, column in zip(part, chosen, strict=True):
            columns[place] = column
    return Choice(tuple(columns), bought)


def _parts(rows: Sequence[Row]) -> list[list[int]]:
    """Group the rows that are connected by a column or a shared adapter."""
    leader = list(range(len(rows)))

    def lead(k: int) -> int:
        while leader[k] != k:
            leader[k] = leader[leader[k]]
            k = leader[k]
        return k

    first: dict[object, int] = {}
    for k, row in enumerate(rows):
        for mark in (*row.gains, *row.needs):
            leader[lead(k)] = lead(first.setdefault(mark, k))
    groups: dict[int, list[int]] = {}
    for k in range(len(rows)):
        groups.setdefault(lead(k), []).append(k)
    return list(groups.values())


def _best_of_part(rows: Sequence[Row], costs: Costs) -> tuple[tuple[int | None, ...], Had]:
    """Return the best choice of one part, and the adapters it takes.

    Branch and bound, the most promising branch first. A bound is an assignment in which an
    adapter that is not settled yet is paid for by shares: each row that could use it bears as
    much as it would if all did, so that together they never bear more than it costs.
    """
    best = _bounded(rows, costs, {})
    waiting, number = [(-best.bound, 0, best)], count(1)
    for _ in range(MOST_STEPS):
        if not waiting or waiting[0][2].bound <= best.worth:
            break
        node = heappop(waiting)[2]
        if node.gap is None:
            continue
        for level in (*sorted(costs[node.gap], reverse=True), None):
            made = _bounded(rows, costs, {**node.settled, node.gap: level})
            best = max(best, made, key=lambda each: each.worth)
            if made.bound > best.worth:
                heappush(waiting, (-made.bound, next(number), made))
    return best.columns, best.had


@dataclass(frozen=True, slots=True)
class _Node:
    """What is settled of the adapters, a bound on it, and the choice that gave the bound.

    gap: the adapter to settle next, the dearest that is used; None where none is open, and the
    choice is worth its bound.
    """

    settled: Settled
    bound: int
    worth: int
    columns: tuple[int | None, ...]
    had: Had
    gap: str | None


def _bounded(rows: Sequence[Row], costs: Costs, settled: Settled) -> _Node:
    """Return a node: no choice with these adapters settled so is worth more than its bound.

    Worth is counted so that one more row used decides where the gain is equal.
    """
    scale = len(rows) + 1
    gains = [
        {column: gain * scale + 1 for column, gain in _allowed(row, costs, settled).items()}
        for row in rows
    ]
    shares = _shares(rows, gains, costs, settled)
    columns = assign(
        [
            {c: left for c, gain in each.items() if (left := gain - borne.get(c, 0) * scale) >= 0}
            for each, borne in zip(gains, shares, strict=True)
        ]
    )
    used = [(k, column) for k, column in enumerate(columns) if column is not None]
    gain = sum(gains[k][column] for k, column in used)
    had = _had([(rows[k], column) for k, column in used], costs)
    paid = sum(costs[name][level] for name, level in had.items())
    borne = sum(shares[k].get(column, 0) for k, column in used)
    fixed = sum(costs[name][level] for name, level in settled.items() if level is not None)
    bound = gain - (borne + fixed) * scale
    open_ = [name for name in sorted(had) if name not in settled]
    gap = max(open_, key=lambda name: costs[name][had[name]], default=None)
    return _Node(settled, bound, gain - paid * scale, columns, had, gap)


def _allowed(row: Row, costs: Costs, settled: Settled) -> Mapping[int, int]:
    """Return the gains of a row on the columns that the adapters settled so far leave it."""
    levels = {name: settled.get(name, max(costs[name])) for name in row.needs}
    had = {name: level for name, level in levels.items() if level is not None}
    return row.with_only(had) if len(had) == len(levels) else {}


def _shares(
    rows: Sequence[Row], gains: Sequence[Mapping[int, int]], costs: Costs, settled: Settled
) -> list[dict[int, int]]:
    """Return for each row and column what it bears of the adapters that are not settled.

    As many rows as could use an adapter bear what it costs at the least for such a use.
    """
    users = Counter(
        name for row, each in zip(rows, gains, strict=True) if each for name in row.needs
    )
    return [
        {
            column: sum(
                costs[name][_level(costs[name], row.chances.get(column, 1.0))] // users[name]
                for name in row.needs
                if name not in settled
            )
            for column in each
        }
        if row.needs
        else {}
        for row, each in zip(rows, gains, strict=True)
    ]


def _had(used: Sequence[tuple[Row, int]], costs: Costs) -> Had:
    """Return the adapters that used rows need, each for the surest of its uses."""
    surest: dict[str, float] = {}
    for row, column in used:
        for name in row.needs:
            surest[name] = max(surest.get(name, 0.0), row.chances.get(column, 1.0))
    return {name: _level(costs[name], chance) for name, chance in surest.items()}


def _level(levels: Mapping[float, int], chance: float) -> float:
    """Return the cheapest level to have an adapter at for a use so sure."""
    return min((level for level in levels if level >= chance), key=lambda level: levels[level])


def assign(gains: Sequence[Mapping[int, int]]) -> tuple[int | None, ...]:
    """Return the column of each row (None: left out), each column used once at most.

    gains: for each row its columns with their gains, whole numbers >= 0. The total gain is the
    greatest there is; among equals as many rows as can be are used. Shortest augmenting paths
    (the Hungarian method), so the result is an optimum and not a guess.

    >>> assign([{0: 5, 1: 4}, {0: 4}])
    (1, 0)
    """
    columns = sorted({column for row in gains for column in row})
    place = {column: k for k, column in enumerate(columns)}
    count, width = len(gains), len(columns)
    step = min(count, width) + 1  # one covered unit more counts less than the least gain
    costs = [{place[column]: -(gain * step + 1) for column, gain in row.items()} for row in gains]
    matched = _shortest_paths(costs, width)
    return tuple(columns[k] if k < width else None for k in matched)


def _shortest_paths(costs: Sequence[Mapping[int, int]], width: int) -> list[int]:
    """Match every row at least cost; column ``width + row`` is the row's own way out, cost 0."""
    count = len(costs)
    row_of: list[int | None] = [None] * (width + count)
    row_price, column_price = [0] * count, [0] * (width + count)
    for start in range(count):
        _augment(start, costs, width, row_of, row_price, column_price)
    matched = [0] * count
    for column, row in enumerate(row_of):
        if row is not None:
            matched[row] = column
    return matched


def _augment(
    start: int,
    costs: Sequence[Mapping[int, int]],
    width: int,
    row_of: list[int | None],
    row_price: list[int],
    column_price: list[int],
) -> None:
    """Bring one more row in along the cheapest alternating path (Dijkstra with potentials)."""
    distance: dict[int, int] = {}
    came_from: dict[int, int] = {}
    done: dict[int, int] = {}
    row, reach = start, 0
    while True:
        for column, cost in (*costs[row].items(), (width + row, 0)):
            if column in done:
                continue
            through = reach + cost - row_price[row] - column_price[column]
            if column not in distance or through < distance[column]:
                distance[column], came_from[column] = through, row
        waiting = [c for c in distance if c not in done]
        column = min(waiting, key=lambda c: (distance[c], row_of[c] is not None, c))
        reach = distance[column]
        done[column] = reach
        owner = row_of[column]
        if owner is None:
            break
        row = owner
    _adjust(start, done, reach, row_of, row_price, column_price)
    while True:
        row = came_from[column]
        row_of[column], column = (
            row,
            next((c for c in done if row_of[c] == row and c != column), -1),
        )
        if row == start:
            break


def _adjust(
    start: int,
    done: Mapping[int, int],
    reach: int,
    row_of: Sequence[int | None],
    row_price: list[int],
    column_price: list[int],
) -> None:
    row_price[start] += reach
    for column, distance in done.items():
        owner = row_of[column]
        column_price[column] -= reach - distance
        if owner is not None:
            row_price[owner] += reach - distance
