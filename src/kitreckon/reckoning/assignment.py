"""The best one-to-one choice: which unit of a piece covers which unit of a want."""

from __future__ import annotations

from collections.abc import Mapping, Sequence


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
