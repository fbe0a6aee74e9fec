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

from kitreckon.reckoning.best_set import WORK_LIMIT, bounds_instead, most_worth, select

TOGETHER = 40  # groups joined by keys that are combined outright; more are split on a key
LEAVES = 300  # of the split search, before it settles for a bound


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
    return Problem(groups, budget).choose(budget, work_limit)


class Problem:
    """Groups made ready to be chosen from with any budget up to ``most``.

    Groups that hang together by keys are combined once; each combination worth looking at is
    then one choice. Where too many hang together, each choice is a search of its own.
    """

    def __init__(self, groups: Sequence[Group], most: int) -> None:
        self.start = [_Open(dict(enumerate(group.options)), group.must) for group in groups]
        self.groups = _affordable(self.start, most)
        self.most = most
        self.joined = _joined(self.groups or ())
        self.crowded = any(len(part) > TOGETHER for part in self.joined)
        self.bundles: list[list[_Bundle]] = []
        if self.groups is not None and not self.crowded:
            self.bundles = [_combined(self._part(part), most) for part in self.joined]

    def _part(self, part: Sequence[int]) -> list[_Open]:
        return [self.groups[n] for n in part] if self.groups is not None else []

    def choose(self, budget: int, work_limit: int = WORK_LIMIT) -> Chosen | None:
        """Return the best choice within a budget not above ``most``, None where there is none."""
        if self.groups is None:
            return None
        if self.crowded:
            search = _Branches(budget, work_limit)
            search.explore(_affordable(self.start, budget))
            return search.result()
        return _selected(len(self.groups), self.joined, self.bundles, budget, work_limit)

    def runner_up(self, best: Chosen, budget: int) -> Chosen | None:
        """Return the best choice with a group that ``best`` takes nothing from.

        Each part that has such groups must take one in turn, the most promising part first,
        until the bound of the next is no better than what was found. None where there is none;
        not looked for where too many groups hang together.
        """
        if self.groups is None or self.crowded:
            return None
        new = {n for n, pick in enumerate(best.picks) if pick is None}
        fresh = [
            _combined(
                self._part(part), budget, frozenset(k for k, n in enumerate(part) if n in new)
            )
            if new.intersection(part)
            else []
            for part in self.joined
        ]
        classes = [[row[:2] for row in bundle] for bundle in self.bundles]
        bounds = bounds_instead(classes, [[row[:2] for row in rows] for rows in fresh], budget)
        found: Chosen | None = None
        for n in sorted(range(len(fresh)), key=lambda n: -bounds[n]):
            if not fresh[n] or (found is not None and bounds[n] < found.worth):
                continue
            bundles = [fresh[m] if m == n else bundle for m, bundle in enumerate(self.bundles)]
            other = _selected(len(self.groups), self.joined, bundles, budget, WORK_LIMIT)
            if other is not None and (found is None or _better(other, found)):
                found = other
        return found


def _better(one: Chosen, other: Chosen) -> bool:
    return (one.worth, -one.cost) > (other.worth, -other.cost)


def _selected(
    count: int,
    joined: Sequence[tuple[int, ...]],
    bundles: Sequence[Sequence[_Bundle]],
    budget: int,
    work_limit: int,
) -> Chosen | None:
    """Select one combination of every part, and say what it takes from each of the groups."""
    classes = [[(cost, worth) for cost, worth, _ in bundle] for bundle in bundles]
    found = select(classes, budget, work_limit)
    if found is None:
        return None
    picks: list[int | None] = [None] * count
    for part, bundle, index in zip(joined, bundles, found.picks, strict=True):
        for place, pick in bundle[index][2]:
            picks[part[place]] = pick
    return Chosen(tuple(picks), found.cost, found.worth, found.proven, found.off_by_at_most)


class _Branches:
    """The branches on keys, and the best leaf so far."""

    def __init__(self, budget: int, work_limit: int) -> None:
        self.budget = budget
        self.work_limit = work_limit
        self.best: Chosen | None = None
        self.leaves = 0
        self.most = 0  # the most worth a leaf given up early could have

    def result(self) -> Chosen | None:
        if self.best is None or self.most <= self.best.worth:
            return self.best and replace(self.best, proven=True, off_by_at_most=0)
        return replace(self.best, proven=False, off_by_at_most=self.most - self.best.worth)

    def explore(self, groups: list[_Open] | None) -> None:
        if groups is None:
            return
        joined = _joined(groups)
        crowded = max(joined, key=len, default=())
        reach = most_worth([_plain(group) for group in groups], self.budget)
        if self.best is not None and reach < self.best.worth:
            return
        if self.leaves >= LEAVES:
            self.most = max(self.most, reach)
        elif len(crowded) > TOGETHER:
            self._split(groups, _busiest_key([groups[n] for n in crowded]))
        else:
            self._leaf(groups, joined)

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
        self.leaves += 1
        bundles = [_combined([groups[n] for n in part], self.budget) for part in joined]
        found = _selected(len(groups), joined, bundles, self.budget, self.work_limit)
        if found is None:
            return
        self.most = max(self.most, found.worth + found.off_by_at_most)
        if self.best is None or _better(found, self.best):
            self.best = found


_Picks = tuple[tuple[int, int], ...]  # (place in the part, option)
_Bundle = tuple[int, int, _Picks]  # cost, worth, what is taken
# keys given that later groups need, keys still missing, whether a fresh place was taken
_Signature = tuple[frozenset[str], frozenset[str], bool]


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


def _combined(
    groups: Sequence[_Open], budget: int, fresh: frozenset[int] = frozenset()
) -> list[_Bundle]:
    """Every combination of the groups' options in which nothing is needed and not given.

    Only combinations that no cheaper one equals in worth and in what it still gives are kept.
    With ``fresh`` places, only those that take something at one of them.
    """
    later = _keys_later(groups)
    nothing: frozenset[str] = frozenset()
    states: dict[_Signature, list[_Bundle]] = {(nothing, nothing, not fresh): [(0, 0, ())]}
    for place, group in enumerate(groups):
        needed_later, given_later = later[place]
        grown: dict[_Signature, list[_Bundle]] = defaultdict(list)
        for (given, missing, new), rows in states.items():
            if not group.must and missing <= given_later:
                grown[given & needed_later, missing, new] += rows
            for j, option in group.options.items():
                has = given | option.gives
                lacks = (missing | option.needs) - has
                if lacks <= given_later:
                    grown[has & needed_later, lacks, new or place in fresh] += [
                        (cost + option.cost, worth + option.worth, (*picks, (place, j)))
                        for cost, worth, picks in rows
                        if cost + option.cost <= budget
                    ]
        states = {signature: _front(rows) for signature, rows in grown.items()}
    return _front([row for (_, _, new), rows in states.items() if new for row in rows])


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
