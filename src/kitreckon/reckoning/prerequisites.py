"""Choosing things that are of no use without another: the best set when some need others.

An option may need keys (an adapter, a tool post, a backplate) and give keys. Groups that share
a key are chosen together: their every combination worth looking at becomes one choice of the
plain problem in best_set. Where too many groups hang on one key, the search first settles
whether that key is had at all, and by which group.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kitreckon.reckoning.best_set import WORK_LIMIT, Selection, most_worth, select

TOGETHER = 9  # groups joined by keys that are combined outright; more are split on a key


@dataclass(frozen=True, slots=True)
class Option:
    """One way to meet a want: cost and worth in whole numbers >= 0, what it needs and gives."""

    cost: int
    worth: int
    needs: frozenset[str] = frozenset()
    gives: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Group:
    """Options of which at most one is taken, or exactly one when ``must``."""

    options: tuple[Option, ...]
    must: bool = False


@dataclass(frozen=True, slots=True)
class Chosen:
    """The option taken from each group (None: nothing), with what is known about the whole."""

    picks: tuple[int | None, ...]
    cost: int
    worth: int
    proven: bool = True
    off_by_at_most: int = 0


@dataclass(frozen=True, slots=True)
class _Open:
    """A group in mid-search: its options still allowed, by index."""

    options: Mapping[int, Option]
    must: bool


def choose(groups: Sequence[Group], budget: int, work_limit: int = WORK_LIMIT) -> Chosen | None:
    """Return the options of greatest worth within the budget, or None when a must cannot be met.

    Of equal worth the cheapest is chosen. ``proven`` is false, and ``off_by_at_most`` a bound,
    when the work limit was reached first.
    """
    if budget < 0:
        return None
    start = [_Open(dict(enumerate(group.options)), group.must) for group in groups]
    search = _Branches(budget, work_limit)
    search.explore(_affordable(start, budget))
    return search.result()


class _Branches:
    """The branches on keys, and the best leaf so far."""

    def __init__(self, budget: int, work_limit: int) -> None:
        self.budget = budget
        self.work_limit = work_limit
        self.best: Chosen | None = None
        self.unproven = 0  # the most worth a leaf given up early could have

    def result(self) -> Chosen | None:
        if self.best is None or self.unproven <= self.best.worth:
            return self.best
        return replace(self.best, proven=False, off_by_at_most=self.unproven - self.best.worth)

    def explore(self, groups: list[_Open] | None) -> None:
        if groups is None:
            return
        joined = _joined(groups)
        crowded = max(joined, key=len, default=())
        if len(crowded) > TOGETHER:
            if self.best is None or self._reach(groups) >= self.best.worth:
                self._split(groups, _busiest_key([groups[n] for n in crowded]))
            return
        self._leaf(groups, joined)

    def _reach(self, groups: Sequence[_Open]) -> int:
        """Return the most these groups can come to when nobody asks what an option needs."""
        return most_worth([_plain(group) for group in groups], self.budget)

    def _split(self, groups: list[_Open], key: str) -> None:
        """Explore each group that may be the first to give the key, then going without it."""
        for n, group in enumerate(groups):
            giving = {j: o for j, o in group.options.items() if key in o.gives}
            if giving:
                had = [_met(g, key) for g in groups]
                had[:n] = [_without_giving(g, key) for g in had[:n]]
                had[n] = _met(_Open(giving, must=True), key)
                self.explore(_affordable(had, self.budget))
        self.explore(_affordable([_without(group, key) for group in groups], self.budget))

    def _leaf(self, groups: list[_Open], joined: Sequence[tuple[int, ...]]) -> None:
        bundles = [_combined([groups[n] for n in part], self.budget) for part in joined]
        found = select(
            [[(cost, worth) for cost, worth, _ in bundle] for bundle in bundles],
            self.budget,
            self.work_limit,
        )
        if found is None:
            return
        if not found.proven:
            self.unproven = max(self.unproven, found.worth + found.off_by_at_most)
        if self.best is None or (found.worth, -found.cost) > (self.best.worth, -self.best.cost):
            self.best = self._chosen(groups, joined, bundles, found)

    def _chosen(
        self,
        groups: list[_Open],
        joined: Sequence[tuple[int, ...]],
        bundles: Sequence[Sequence[_Bundle]],
        found: Selection,
    ) -> Chosen:
        picks: list[int | None] = [None] * len(groups)
        for part, bundle, index in zip(joined, bundles, found.picks, strict=True):
            for place, pick in bundle[index][2]:
                picks[part[place]] = pick
        return Chosen(tuple(picks), found.cost, found.worth)


_Picks = tuple[tuple[int, int], ...]  # (place in the part, option)
_Bundle = tuple[int, int, _Picks]  # cost, worth, what is taken


def _affordable(groups: Sequence[_Open], budget: int) -> list[_Open] | None:
    """Drop the options that cost too much or need what nobody gives; None where a must fails.

    An option that lost its last giver takes with it what it gave, so this goes on until it rests.
    """
    while True:
        given = {key for g in groups for option in g.options.values() for key in option.gives}
        left = [
            _Open(
                {
                    j: option
                    for j, option in group.options.items()
                    if option.cost <= budget and option.needs <= given
                },
                group.must,
            )
            for group in groups
        ]
        if any(group.must and not group.options for group in left):
            return None
        if [len(group.options) for group in left] == [len(group.options) for group in groups]:
            return left
        groups = left


def _joined(groups: Sequence[_Open]) -> list[tuple[int, ...]]:
    """Return which groups hang together by keys somebody needs, as tuples of their places."""
    needed = {key for g in groups for option in g.options.values() for key in option.needs}
    parent = list(range(len(groups)))

    def root(n: int) -> int:
        while parent[n] != n:
            n = parent[n]
        return n

    first: dict[str, int] = {}
    for n, group in enumerate(groups):
        for option in group.options.values():
            for key in option.needs | (option.gives & needed):
                parent[root(n)] = root(first.setdefault(key, n))
    parts: dict[int, list[int]] = defaultdict(list)
    for n in range(len(groups)):
        parts[root(n)].append(n)
    return [tuple(part) for part in parts.values()]


def _busiest_key(groups: Sequence[_Open]) -> str:
    """Return the key that most groups need; of equals the first by name."""
    count: dict[str, int] = defaultdict(int)
    for group in groups:
        for key in {key for option in group.options.values() for key in option.needs}:
            count[key] += 1
    return max(sorted(count), key=lambda key: count[key])


def _met(group: _Open, key: str) -> _Open:
    met = {j: replace(o, needs=o.needs - {key}) for j, o in group.options.items()}
    return _Open(met, group.must)


def _without_giving(group: _Open, key: str) -> _Open:
    return _Open({j: o for j, o in group.options.items() if key not in o.gives}, group.must)


def _without(group: _Open, key: str) -> _Open:
    left = {j: o for j, o in group.options.items() if key not in o.gives | o.needs}
    return _Open(left, group.must)


def _plain(group: _Open) -> list[tuple[int, int]]:
    rows = [(option.cost, option.worth) for option in group.options.values()]
    return rows if group.must else [(0, 0), *rows]


def _combined(groups: Sequence[_Open], budget: int) -> list[_Bundle]:
    """Every combination of the groups' options in which nothing is needed and not given.

    Only combinations that no cheaper one equals in worth and in what it still gives are kept.
    """
    later = _keys_later(groups)
    states: dict[tuple[frozenset[str], frozenset[str]], list[_Bundle]] = {
        (frozenset(), frozenset()): [(0, 0, ())]
    }
    for place, group in enumerate(groups):
        needed_later, given_later = later[place]
        grown: dict[tuple[frozenset[str], frozenset[str]], list[_Bundle]] = defaultdict(list)
        for (given, missing), rows in states.items():
            if not group.must and missing <= given_later:
                grown[given & needed_later, missing] += rows
            for j, option in group.options.items():
                has = given | option.gives
                lacks = (missing | option.needs) - has
                if lacks <= given_later:
                    grown[has & needed_later, lacks] += [
                        (cost + option.cost, worth + option.worth, (*picks, (place, j)))
                        for cost, worth, picks in rows
                        if cost + option.cost <= budget
                    ]
        states = {signature: _front(rows) for signature, rows in grown.items()}
    return _front([row for rows in states.values() for row in rows])


def _keys_later(groups: Sequence[_Open]) -> list[tuple[frozenset[str], frozenset[str]]]:
    """For each place: the keys that groups after it need, and those they can give."""
    later: list[tuple[frozenset[str], frozenset[str]]] = []
    needs: frozenset[str] = frozenset()
    gives: frozenset[str] = frozenset()
    for group in reversed(groups):
        later.append((needs, gives))
        for option in group.options.values():
            needs |= option.needs
            gives |= option.gives
    return later[::-1]


def _front(rows: list[_Bundle]) -> list[_Bundle]:
    """Return the combinations worth more than every cheaper one."""
    front: list[_Bundle] = []
    for row in sorted(rows, key=lambda row: (row[0], -row[1], row[2])):
        if not front or row[1] > front[-1][1]:
            front.append(row)
    return front
