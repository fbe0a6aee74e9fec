"""The best one-to-one choice: which unit of a piece covers which unit of a want."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product
from math import prod

MOST_TRIED = 128  # ways to have the shared adapters of one connected part that are all tried

# A shared adapter costs the more the surer it is to be bought: chance -> cost.
Costs = Mapping[str, Mapping[float, int]]
Had = dict[str, float]  # the adapters that are had, each for uses up to this chance


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

    An adapter is bought for the surest of its uses. Connected parts are solved apart. Within a
    part every way to have the adapters is tried where there are few; with more, ways that differ
    in one adapter from the best so far are, until none is better.

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
    ids = sorted(frozenset().union(*(row.needs for row in rows)))
    if not ids:
        return assign([row.gains for row in rows]), {}
    ways = {name: (None, *sorted(costs[name])) for name in ids}
    if prod(len(each) for each in ways.values()) <= MOST_TRIED:
        return _best_of_ways(rows, costs, _every(ways))
    chosen, had = _best_of_ways(rows, costs, [{}, {name: ways[name][-1] or 0.0 for name in ids}])
    while True:
        better, now = _best_of_ways(rows, costs, _near(had, ways))
        if now == had:
            return chosen, had
        chosen, had = better, now


def _every(ways: Mapping[str, Sequence[float | None]]) -> Iterator[Had]:
    for levels in product(*ways.values()):
        pairs = zip(ways, levels, strict=True)
        yield {name: level for name, level in pairs if level is not None}


def _near(had: Had, ways: Mapping[str, Sequence[float | None]]) -> Iterator[Had]:
    """Yield a way to have the adapters, then those that differ from it in one adapter."""
    yield had
    for name, levels in ways.items():
        rest = {other: level for other, level in had.items() if other != name}
        for level in levels:
            if level != had.get(name):
                yield rest if level is None else {**rest, name: level}


def _best_of_ways(
    rows: Sequence[Row], costs: Costs, ways: Iterable[Had]
) -> tuple[tuple[int | None, ...], Had]:
    """Return the choice of greatest gain over some ways to have the adapters.

    A way is passed over where even the greatest gain of every unit it lets in, over what is
    gained with no adapter at all, would not do.
    """
    bare = _gain([{} if row.needs else row.gains for row in rows])
    best: tuple[tuple[int, int], tuple[int | None, ...], Had] | None = None
    for had in ways:
        gains = [row.with_only(had) for row in rows]
        cost = sum(costs[name][level] for name, level in had.items())
        let_in = (each for row, each in zip(rows, gains, strict=True) if row.needs and each)
        if best is not None and bare + sum(max(e.values()) for e in let_in) - cost < best[0][0]:
            continue
        chosen = assign(gains)
        used = [(k, column) for k, column in enumerate(chosen) if column is not None]
        gain = sum(gains[k][column] for k, column in used) - cost
        if best is None or (gain, len(used)) > best[0]:
            best = (gain, len(used)), chosen, had
    assert best is not None
    return best[1], best[2]


def _gain(gains: Sequence[Mapping[int, int]]) -> int:
    pairs = zip(gains, assign(gains), strict=True)
    return sum(row[column] for row, column in pairs if column is not None)


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
