"""The best one-to-one choice: which unit of a piece covers which unit of a want."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

MOST_TRIED = 6  # shared adapters of one connected part of which every choice is tried


@dataclass(frozen=True, slots=True)
class Row:
    """One unit: what it gains on each column, and the shared adapters it cannot do without."""

    gains: Mapping[int, int]
    needs: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Choice:
    """The column of each row (None: left out), and the shared adapters that pay."""

    columns: tuple[int | None, ...]
    bought: frozenset[str]


def choose(rows: Sequence[Row], costs: Mapping[str, int]) -> Choice:
    """Return the choice of greatest gain less the cost of the shared adapters, each bought once.

    Connected parts are solved apart. Within a part every set of up to six shared adapters is
    tried; with more, sets that differ by one from the best so far are, until none is better.

    >>> rows = [Row({0: 9}, frozenset({"sleeve"})), Row({1: 8}, frozenset({"sleeve"}))]
    >>> choose(rows, {"sleeve": 12})
    Choice(columns=(0, 1), bought=frozenset({'sleeve'}))
    """
    columns: list[int | None] = [None] * len(rows)
    bought: set[str] = set()
    for part in _parts(rows):
        chosen, had = _best_of_part([rows[k] for k in part], costs)
        bought |= had
        for place, column in zip(part, chosen, strict=True):
            columns[place] = column
    return Choice(tuple(columns), frozenset(bought))


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


def _best_of_part(
    rows: Sequence[Row], costs: Mapping[str, int]
) -> tuple[tuple[int | None, ...], frozenset[str]]:
    ids = sorted(frozenset().union(*(row.needs for row in rows)))
    if not ids:
        return assign([row.gains for row in rows]), frozenset()
    if len(ids) <= MOST_TRIED:
        sets = [frozenset(s) for n in range(len(ids) + 1) for s in combinations(ids, n)]
        return _best_of_sets(rows, costs, sets)
    chosen, had = _best_of_sets(rows, costs, [frozenset(ids), frozenset()])
    while True:
        near = [had, *(had ^ {name} for name in ids)]
        better, now = _best_of_sets(rows, costs, near)
        if now == had:
            return chosen, had
        chosen, had = better, now


def _best_of_sets(
    rows: Sequence[Row], costs: Mapping[str, int], sets: Iterable[frozenset[str]]
) -> tuple[tuple[int | None, ...], frozenset[str]]:
    best: tuple[tuple[int, int], tuple[int | None, ...], frozenset[str]] | None = None
    for had in sets:
        gains = [row.gains if row.needs <= had else {} for row in rows]
        chosen = assign(gains)
        used = [(k, column) for k, column in enumerate(chosen) if column is not None]
        gain = sum(gains[k][column] for k, column in used) - sum(costs[name] for name in had)
        if best is None or (gain, len(used)) > best[0]:
            best = (gain, len(used)), chosen, had
    assert best is not None
    return best[1], best[2]


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
