"""Lines against the wants they may cover: the greatest total gain, shared adapters bought once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from kitreckon.catalogue.model import Want
from kitreckon.quantities.money import round_half_up
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.adapter_prices import buys
from kitreckon.reckoning.assignment import Row, choose
from kitreckon.reckoning.ground import Ground
from kitreckon.reckoning.in_use import chance_wanted, in_use, repair_pays
from kitreckon.reckoning.line import Line, UnitWorth, is_meant
from kitreckon.reckoning.pert import mean_of
from kitreckon.reckoning.sizes import Window
from kitreckon.reckoning.slots import Slot

# piece id -> its line, and what a unit of it is worth on each want and size, adapters shared
Worths = dict[str, tuple[Line, dict[tuple[str, Window, frozenset[str]], UnitWorth]]]


@dataclass(frozen=True, slots=True)
class Lacking:
    """A thing without which a want is of no use, and which is neither here nor owned."""

    kinds: frozenset[str]
    reason: Reason


@dataclass(slots=True)
class Matching:
    """Slots still free, and what each line gains on each want."""

    slots: Sequence[Slot]
    ground: Ground
    free: set[int]
    useless: Mapping[str, Lacking]  # want id -> the prerequisite that is missing
    known: Worths
    by_kind: dict[str, list[int]] = field(default_factory=dict)
    wants: dict[str, Want] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.wants = {slot.want.id: slot.want for slot in self.slots}
        for place, slot in enumerate(self.slots):
            for kind in slot.want.any_of:
                self.by_kind.setdefault(kind, []).append(place)

    def places(self, line: Line) -> list[int]:
        """Return the free slots a line may cover."""
        if line.blocked is not None:
            return []
        return [
            place
            for place in self.by_kind.get(line.kind.id, ())
            if place in self.free
            and self._useful(line, self.slots[place].want)
            and self.ground.grade(self.slots[place].window, line.own_mm) > 0.0
            and is_meant(line, self.slots[place].want)
            and self._pays(line, self.slots[place])
        ]

    def _useful(self, line: Line, want: Want) -> bool:
        """Whether what it needs is here, in it or owned; or is what its worth pays for."""
        missing = self.useless.get(want.id)
        return missing is None or bool(missing.kinds & (buys(line.fit) | line.own))

    def _pays(self, line: Line, slot: Slot) -> bool:
        """Whether it pays to put a line right for a want; what needs no repair costs nothing."""
        return not line.repair or repair_pays(line, slot.want, slot.window, self.ground)

    def waits_for(self, line: Line, want: Want) -> frozenset[str]:
        """Return the kinds of which a sound line needs one first, as a new one would need it too.

        None is here or owned, or what is here of them does not take this line.
        """
        needed = [self.wants[need] for need in want.needs if need in self.wants]
        if line.blocked is not None or not needed:
            return frozenset()
        bought = buys(line.fit) & {kind for other in needed for kind in other.any_of}
        lacking = self.useless.get(want.id)
        if lacking is None or lacking.kinds & line.own:
            return bought
        return bought or lacking.kinds

    def idle(self, lines: Sequence[Line], used: Container[str]) -> dict[str, Reason]:
        """Return why sound lines cover nothing: what they need is not here, or costs more."""
        reasons = {}
        for line in lines:
            if line.piece.id in used or line.blocked is not None:
                continue
            wants = [self.slots[place].want for place in self.by_kind.get(line.kind.id, ())]
            needs = [self.useless[want.id].reason for want in wants if want.id in self.useless]
            if line.adapters and wants:
                kind = Term("kind", line.kind.id)
                reasons[line.piece.id] = because("cover-adapters-cost-more", kind=kind)
            elif needs:
                reasons[line.piece.id] = needs[0]
        return reasons

    def best(self, lines: Sequence[Line]) -> list[tuple[Line, int, UnitWorth]]:
        """Assign units of lines to free slots at the greatest total gain, and take the slots.

        An adapter that several units can use in turns is bought once, if it pays, and its cost
        is shared among them as they gain. It is paid for as one that a single unit uses is:
        with the chance of the surest use, by the averages.

        Among equals what works goes before what has to be put right first.
        """
        able = [(line, places) for line in lines if (places := self.places(line))]
        shared = self._shared(able)
        scale = _scale(line for line, _ in able)
        rows, owners = [], []
        for line, places in able:
            needs = frozenset(name for name, _ in line.adapters if name in shared)
            worths = self._worths(line, places, needs)
            chances = {place: self._chance(line, place) for place in worths} if needs else {}
            works = int(scale > 1 and not line.repair)
            gains = {
                place: (worth.mean - line.part_mean) * scale + works
                for place, worth in worths.items()
            }
            for _ in range(min(line.units, len(gains))):
                rows.append(Row(gains, needs, chances))
                owners.append((line, worths))
        choice = choose(rows, _times(shared, scale))
        chosen = [
            (line, place, worths[place], row.needs)
            for (line, worths), row, place in zip(owners, rows, choice.columns, strict=True)
            if place is not None
        ]
        self.free.difference_update(place for _, place, _, _ in chosen)
        paid = {name: shared[name][chance] for name, chance in choice.bought.items()}
        return _charged(chosen, paid)

    def _chance(self, line: Line, place: int) -> float:
        """Return how sure it is that a line is used on a slot, and its adapters bought."""
        tier = self.slots[place].want.tier
        return chance_wanted(tier, self.ground.preferences) * line.fit_chance

    def _shared(self, able: Sequence[tuple[Line, list[int]]]) -> dict[str, dict[float, int]]:
        """Return the adapters to buy that more than one unit can use: cost by how sure a use is."""
        users, units = dict[str, list[tuple[Line, list[int]]]](), Counter[str]()
        for line, places in able:
            for name in dict(line.adapters):
                if stays_with(name, line):  # each unit needs its own
                    continue
                users.setdefault(name, []).append((line, places))
                units[name] += min(line.units, len(places))
        costs = {}
        for name, group in users.items():
            if units[name] > 1:
                mean = max(mean_of(*dict(line.adapters)[name]) for line, _ in group)
                chances = {self._chance(line, place) for line, places in group for place in places}
                costs[name] = {chance: round_half_up(chance * mean) for chance in chances}
        return costs

    def _less_own(self, line: Line, place: int, shared: frozenset[str]) -> UnitWorth:
        """Return what a unit is worth on a slot less the adapters that it alone pays for."""
        slot, chance = self.slots[place], self._chance(line, place)
        worth = in_use(line, slot.want, slot.window, self.ground)
        own = [mean_of(*cost) for name, cost in line.adapters if name not in shared]
        cost = sum(round_half_up(chance * each) for each in own)
        return worth.less(cost) if cost else worth

    def _worths(
        self, line: Line, places: Sequence[int], shared: frozenset[str]
    ) -> dict[int, UnitWorth]:
        """Return what a unit of a line is worth on each slot it may take.

        A line that takes an adapter to buy is used only where that pays. The adapters ``shared``
        are paid for once by all the units that use them, those of its own by the line alone.
        """
        last, known = self.known.get(line.piece.id, (None, {}))
        if last is not line:
            known = {}
            self.known[line.piece.id] = line, known
        worths = {}
        for place in places:
            slot = self.slots[place]
            key = (slot.want.id, slot.window, shared)
            if key not in known:
                known[key] = self._less_own(line, place, shared)
            worth = known[key]
            if not line.adapters or worth.mean > line.part_mean:
                worths[place] = worth
        return worths


def stays_with(adapter_id: str, line: Line) -> bool:
    """Whether an adapter is one thing's own: a plate turned to its chuck serves no other."""
    return adapter_id.endswith(f":{line.piece.id}")


def _times(costs: Mapping[str, Mapping[float, int]], scale: int) -> dict[str, dict[float, int]]:
    return {
        name: {chance: cost * scale for chance, cost in row.items()} for name, row in costs.items()
    }


def _scale(lines: Iterable[Line]) -> int:
    """Return by what to multiply gains so that one more for each unit that works decides ties."""
    units = [(line.units, line.repair) for line in lines]
    return sum(count for count, _ in units) + 1 if any(repair for _, repair in units) else 1


def _charged(
    chosen: Sequence[tuple[Line, int, UnitWorth, frozenset[str]]], costs: Mapping[str, int]
) -> list[tuple[Line, int, UnitWorth]]:
    """Share the cost of each adapter bought among the units that use it, as they gain by it."""
    means = [worth.mean for _, _, worth, _ in chosen]
    for name, cost in costs.items():
        users = [k for k, (_, _, _, needs) in enumerate(chosen) if name in needs]
        gains = [max(means[k] - chosen[k][0].part_mean, 0) for k in users]
        left, whole = cost, sum(gains)
        for k, gain in zip(users, gains, strict=True):
            share = left if whole <= gain else round_half_up(left * gain / whole)
            means[k] -= share
            left, whole = left - share, whole - gain
    return [
        (line, place, worth if mean == worth.mean else worth.less(worth.mean - mean))
        for (line, place, worth, _), mean in zip(chosen, means, strict=True)
    ]
