"""Which piece covers which want: the greatest total gain over selling, the shelf first."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, field

from kitreckon.catalogue.model import Want
from kitreckon.count import Machine, Purchase, Visit
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.assignment import Row, choose
from kitreckon.reckoning.condition import by_group
from kitreckon.reckoning.figures import Triple
from kitreckon.reckoning.lines import (
    Ground,
    Line,
    UnitWorth,
    buys,
    chance_wanted,
    in_use,
)
from kitreckon.reckoning.model import Cover, Covering
from kitreckon.reckoning.pert import mean_of
from kitreckon.reckoning.sizes import Window
from kitreckon.reckoning.slots import Slot

# piece id -> its line, and what a unit of it is worth on each want and size, adapters shared
Worths = dict[str, tuple[Line, dict[tuple[str, Window, frozenset[str]], UnitWorth]]]


@dataclass(slots=True)
class Covered:
    """The cover, with what each covering unit is worth and which slots stay free."""

    cover: Cover
    units: Mapping[str, tuple[UnitWorth, ...]]  # piece id -> worth of each covering unit
    open_slots: Mapping[str, tuple[Slot, ...]]  # want id -> slots that are missing
    unseen_slots: Mapping[str, tuple[Slot, ...]]  # want id -> slots nobody looked for
    idle: Mapping[str, Reason]  # piece id -> why a sound line covers nothing


@dataclass(frozen=True, slots=True)
class _Missing:
    """A thing without which a want is of no use, and which is neither here nor owned."""

    kinds: frozenset[str]
    looked_for: bool
    reason: Reason


@dataclass(slots=True)
class _Search:
    """Slots still free, and what each line gains on each want."""

    slots: Sequence[Slot]
    ground: Ground
    free: set[int]
    useless: Mapping[str, _Missing]  # want id -> the prerequisite that is missing
    known: Worths
    by_kind: dict[str, list[int]] = field(default_factory=dict)

    def __post_init__(self) -> None:
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
            and _is_meant(line, self.slots[place].want)
        ]

    def _useful(self, line: Line, want: Want) -> bool:
        """Whether what it needs is here or owned; or is the very adapter its worth pays for."""
        missing = self.useless.get(want.id)
        return missing is None or bool(missing.kinds & buys(line.fit))

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

        An adapter that several lines can use in turns is bought once, if it pays, and its cost
        is shared among them as they gain.
        """
        able = [(line, places) for line in lines if (places := self.places(line))]
        shared, costs = self._shared(able)
        rows, owners = [], []
        for line, places in able:
            needs = frozenset(name for name, _ in line.adapters) & shared
            worths = self._worths(line, places, needs)
            gains = {place: worth.mean - line.part_mean for place, worth in worths.items()}
            for _ in range(min(line.units, len(gains))):
                rows.append(Row(gains, needs))
                owners.append((line, worths))
        choice = choose(rows, costs)
        chosen = [
            (line, place, worths[place], row.needs)
            for (line, worths), row, place in zip(owners, rows, choice.columns, strict=True)
            if place is not None
        ]
        self.free.difference_update(place for _, place, _, _ in chosen)
        return _charged(chosen, {name: costs[name] for name in choice.bought})

    def _shared(
        self, able: Sequence[tuple[Line, list[int]]]
    ) -> tuple[frozenset[str], dict[str, int]]:
        """Return the adapters to buy that more than one line can use, and what each costs."""
        users: dict[str, list[tuple[float, Triple]]] = {}
        for line, places in able:
            tiers = [self.slots[place].want.tier for place in places]
            wanted = max(chance_wanted(tier, self.ground.preferences) for tier in tiers)
            for name, cost in line.adapters:
                users.setdefault(name, []).append((wanted, cost))
        costs = {
            name: round(max(wanted for wanted, _ in group) * mean_of(*group[0][1]))
            for name, group in users.items()
            if len(group) > 1
        }
        return frozenset(costs), costs

    def _worths(
        self, line: Line, places: Sequence[int], shared: frozenset[str]
    ) -> dict[int, UnitWorth]:
        """Return what a unit of a line is worth on each slot it may take.

        A line that takes an adapter to buy is used only where that pays.
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
                known[key] = in_use(line, slot.want, slot.window, self.ground, shared)
            if known[key].mean > line.part_mean or not line.adapters:
                worths[place] = known[key]
        return worths


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
            share = left if whole <= gain else round(left * gain / whole)
            means[k] -= share
            left, whole = left - share, whole - gain
    return [
        (line, place, worth if mean == worth.mean else worth.less(worth.mean - mean))
        for (line, place, worth, _), mean in zip(chosen, means, strict=True)
    ]


def _is_meant(line: Line, want: Want) -> bool:
    """Return False for a thing without a kind whose words share none with the want's label."""
    if line.kind.id != "other":
        return True
    said = _words(f"{line.piece.text} {line.piece.note}")
    return bool(said & _words(want.label or want.id))


def _words(text: str) -> frozenset[str]:
    return frozenset(word.rstrip("s") for word in re.findall(r"[a-z]{3,}", text.lower()))


def cover(
    slots: Sequence[Slot],
    visit: Visit,
    lines: Sequence[Line],
    shelf: Sequence[Line],
    purchases: Sequence[Purchase],
    ground: Ground,
    worths: Worths | None = None,
) -> Covered:
    """Cover wanted units with what was bought, then with the shelf, then with the pieces here.

    The total gain of the pieces over selling them is the greatest there is, and among equals as
    many wants as can be are covered. ``worths`` keeps what lines are worth for the next time.
    """
    useless = _useless(slots, visit, (*lines, *shelf), purchases)
    search = _Search(
        slots, ground, set(range(len(slots))), useless, {} if worths is None else worths
    )
    coverings = _bought(search, purchases, ground.machine)
    coverings += _coverings(search, search.best(shelf), from_shelf=True)
    chosen = search.best(lines)
    coverings += _coverings(search, chosen, from_shelf=False)
    units: dict[str, list[UnitWorth]] = {}
    for line, _, worth in chosen:
        units.setdefault(line.piece.id, []).append(worth)
    left = _left(search, visit, lines, coverings)
    made = Cover(
        tuple(coverings),
        {want: len(group) for want, group in left.missing.items()},
        tuple(left.unseen),
        left.reasons,
    )
    return Covered(
        made,
        {k: tuple(v) for k, v in units.items()},
        left.missing,
        left.unseen,
        search.idle(lines, units),
    )


def _useless(
    slots: Sequence[Slot], visit: Visit, lines: Sequence[Line], purchases: Sequence[Purchase]
) -> dict[str, _Missing]:
    """Wants that need another thing which is neither here nor owned."""
    wants = {slot.want.id: slot.want for slot in slots}
    there = {line.kind.id for line in lines if line.blocked is None and line.units > 0}
    there |= {purchase.kind for purchase in purchases}
    missing = {}
    for want in wants.values():
        for need in want.needs:
            other = wants.get(need)
            look = visit.looked(need)
            if other is not None and not there & set(other.any_of):
                reason = because("cover-needs", kind=Term("kind", other.kind))
                looked_for = (look is not None and look.seen == 0) or _listed(other, lines) > 0
                missing[want.id] = _Missing(frozenset(other.any_of), looked_for, reason)
                break
    return missing


def _listed(want: Want | None, lines: Sequence[Line]) -> int:
    kinds = want.any_of if want is not None else ()
    return sum(line.units for line in lines if line.kind.id in kinds)


def _bought(search: _Search, purchases: Sequence[Purchase], machine: Machine) -> list[Covering]:
    coverings = []
    for purchase in purchases:
        if purchase.machine_id != machine.id or not purchase.want:
            continue
        taken = [p for p in sorted(search.free) if search.slots[p].want.id == purchase.want]
        taken = taken[: max(purchase.qty, 0)]
        search.free.difference_update(taken)
        if taken:
            coverings.append(Covering(purchase.want, purchase.id, len(taken), 1.0, True))
    return coverings


def _coverings(
    search: _Search, chosen: Sequence[tuple[Line, int, UnitWorth]], from_shelf: bool
) -> list[Covering]:
    groups: dict[tuple[str, str], list[float]] = {}
    for line, place, _ in chosen:
        slot = search.slots[place]
        grade = search.ground.grade(slot.window, line.own_mm) * _service_grade(line, search.ground)
        groups.setdefault((slot.want.id, line.piece.id), []).append(grade)
    return [
        Covering(want, piece, len(group), sum(group) / len(group), from_shelf)
        for (want, piece), group in groups.items()
    ]


def _service_grade(line: Line, ground: Ground) -> float:
    """How much of its work it still does, 0 to 1, over the grades it may have."""
    row = by_group(ground.catalogue.shares.service, line.kind.price_group)
    service = sum(chance * row.get(grade, 1.0) for grade, chance in line.grades.chances)
    return min(1.0, service * line.grades.complete)


@dataclass(frozen=True, slots=True)
class _Left:
    """What stays uncovered: missing, not looked at, and why."""

    missing: dict[str, tuple[Slot, ...]]
    unseen: dict[str, tuple[Slot, ...]]
    reasons: dict[str, tuple[Reason, ...]]


def _left(
    search: _Search, visit: Visit, lines: Sequence[Line], coverings: Sequence[Covering]
) -> _Left:
    """Share the slots left free into missing and not looked at, with the reasons."""
    free: dict[str, list[Slot]] = {}
    for place in sorted(search.free):
        free.setdefault(search.slots[place].want.id, []).append(search.slots[place])
    by_kind: dict[str, list[Line]] = {}
    for line in lines:
        by_kind.setdefault(line.kind.id, []).append(line)
    used = Counter[str]()
    here = [covering for covering in coverings if not covering.from_shelf]
    for covering in here:
        used[covering.piece_id] += covering.units
    found = _Left({}, {}, {})
    for want in {slot.want.id: slot.want for slot in search.slots}.values():
        mine = [
            line for kind in want.any_of for line in by_kind.get(kind, ()) if _is_meant(line, want)
        ]
        _share(search, visit, want, free.get(want.id, []), mine, here, used, found)
    return found


def _share(
    search: _Search,
    visit: Visit,
    want: Want,
    left: list[Slot],
    mine: Sequence[Line],
    coverings: Sequence[Covering],
    used: Counter[str],
    found: _Left,
) -> None:
    """Share out the free slots of one want.

    Units that wait for another thing nobody looked for yet are here, and nothing is missing;
    units that will not do leave their want open.
    """
    covering = {c.piece_id: c.units for c in coverings if c.want == want.id}
    idle = {line.piece.id: line.units - used[line.piece.id] for line in mine}
    lacking = search.useless.get(want.id)
    waits = lacking is not None and not lacking.looked_for
    waiting = sum(idle[line.piece.id] for line in mine if waits and line.blocked is None)
    look, why = visit.looked(want.id), _why_open(search, visit, want, mine, covering)
    if look is None:
        lacks = lacking is not None and not waits
        failed = [line for line in mine if line.kind.id == want.kind and _fails(line, lacks)]
        count = min(sum(idle[line.piece.id] for line in failed), len(left))
        missing, unseen = left[:count], left[count + waiting :]
    else:
        unlisted = max(look.seen - sum(covering.values()) - sum(idle.values()), 0)
        missing, unseen = left[unlisted + waiting :], []
        if unlisted:
            why = (*why, because("cover-seen-not-listed", count=unlisted))
    sure = bool(left) and left[0].sure
    for slots, kept in ((missing, found.missing), (unseen, found.unseen)):
        if slots and sure:
            kept[want.id] = tuple(slots)
    if why:
        found.reasons[want.id] = why


def _fails(line: Line, lacks: bool) -> bool:
    """Whether an idle line will not do: one of another size says nothing of the size wanted."""
    return line.blocked is not None or lacks or bool(line.adapters)


def _why_open(
    search: _Search,
    visit: Visit,
    want: Want,
    mine: Sequence[Line],
    covering: Mapping[str, int],
) -> tuple[Reason, ...]:
    why = [line.blocked for line in mine if line.blocked is not None]
    if want.id in search.useless and mine:
        why.append(search.useless[want.id].reason)
    able = [line for line in mine if line.blocked is None]
    why += [
        because("cover-adapters-cost-more", kind=Term("kind", line.kind.id))
        for line in able
        if line.adapters and line.piece.id not in covering
    ]
    why += [
        because("cover-fit-not-known", kind=Term("kind", line.kind.id))
        for line in able
        if line.fit_chance < 1.0
    ]
    look = visit.looked(want.id)
    if look is not None and look.seen == 0 and not mine:
        why.append(because("cover-none-seen"))
    return tuple(dict.fromkeys(why))
