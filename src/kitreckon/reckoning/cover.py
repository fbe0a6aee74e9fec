"""Which piece covers which want: the greatest total gain over selling, the shelf first."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from kitreckon.catalogue.model import Outfit, Want
from kitreckon.count import Machine, Purchase, Visit
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.assignment import Row, choose
from kitreckon.reckoning.condition import by_group
from kitreckon.reckoning.lines import (
    Ground,
    Line,
    Triple,
    UnitWorth,
    buys,
    chance_wanted,
    in_use,
    mean_of,
)
from kitreckon.reckoning.model import Cover, Covering
from kitreckon.reckoning.sizes import Window, windows

# piece id -> its line, and what a unit of it is worth on each want and size, adapters shared
Worths = dict[str, tuple[Line, dict[tuple[str, Window, frozenset[str]], UnitWorth]]]


@dataclass(frozen=True, slots=True)
class Slot:
    """One unit of one want."""

    want: Want
    window: Window
    sure: bool  # False: whether the machine needs it hangs on a fact nobody asked yet


@dataclass(slots=True)
class Covered:
    """The cover, with what each covering unit is worth and which slots stay free."""

    cover: Cover
    units: Mapping[str, tuple[UnitWorth, ...]]  # piece id -> worth of each covering unit
    open_slots: Mapping[str, tuple[Slot, ...]]  # want id -> slots that are missing
    unseen_slots: Mapping[str, tuple[Slot, ...]]  # want id -> slots nobody looked for


def applies(want: Want, machine: Machine) -> bool | None:
    """Return whether a machine needs a want; None while a fact it hangs on is not known."""
    answer: bool | None = True
    for condition in want.when:
        negated = condition.startswith("no-")
        fact = machine.feature(condition.removeprefix("no-") if negated else condition)
        if fact is None:
            answer = None
        elif fact is negated:
            return False
    return answer


def slots_of(outfit: Outfit | None, machine: Machine) -> tuple[Slot, ...]:
    """Return every wanted unit of a machine; wants it does not need are left out."""
    slots: list[Slot] = []
    for want in outfit.wants if outfit is not None else ():
        needed = applies(want, machine)
        if needed is not False:
            slots += (Slot(want, window, needed is True) for window in windows(want, machine))
    return tuple(slots)


@dataclass(frozen=True, slots=True)
class _Missing:
    """A thing without which a want is of no use, and which is neither here nor owned."""

    kinds: frozenset[str]
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
            and self.slots[place].window.grade(line.size_mm) > 0.0
            and _is_meant(line, self.slots[place].want)
        ]

    def _useful(self, line: Line, want: Want) -> bool:
        """Whether what it needs is here or owned; or is the very adapter its worth pays for."""
        missing = self.useless.get(want.id)
        return missing is None or bool(missing.kinds & buys(line.fit))

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
            name: round(max(wanted for wanted, _ in group) * mean_of(group[0][1]))
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
    open_slots, unseen, reasons = _left(search, visit, lines, coverings)
    made = Cover(
        tuple(coverings),
        {want: len(group) for want, group in open_slots.items()},
        tuple(unseen),
        reasons,
    )
    return Covered(made, {k: tuple(v) for k, v in units.items()}, open_slots, unseen)


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
            seen_only = look is not None and look.seen > 0 and not _listed(other, lines)
            if other is not None and not (there & set(other.any_of)) and not seen_only:
                reason = because("cover-needs", kind=Term("kind", other.kind))
                missing[want.id] = _Missing(frozenset(other.any_of), reason)
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
        grade = slot.window.grade(line.size_mm) * _service_grade(line, search.ground)
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


def _left(
    search: _Search, visit: Visit, lines: Sequence[Line], coverings: Sequence[Covering]
) -> tuple[dict[str, tuple[Slot, ...]], dict[str, tuple[Slot, ...]], dict[str, tuple[Reason, ...]]]:
    """Share the slots left free into missing and not looked at, with the reasons."""
    free: dict[str, list[Slot]] = {}
    for place in sorted(search.free):
        free.setdefault(search.slots[place].want.id, []).append(search.slots[place])
    wants = {slot.want.id: slot.want for slot in search.slots}
    covering = {(c.want, c.piece_id): c.units for c in coverings}
    elsewhere: dict[str, int] = {}
    for (_, piece), count in covering.items():
        elsewhere[piece] = elsewhere.get(piece, 0) + count
    by_kind: dict[str, list[Line]] = {}
    for line in lines:
        by_kind.setdefault(line.kind.id, []).append(line)
    missing, unseen, reasons = {}, {}, {}
    for want_id, want in wants.items():
        left = free.get(want_id, [])
        mine = [
            line for kind in want.any_of for line in by_kind.get(kind, ()) if _is_meant(line, want)
        ]
        idle = {line.piece.id: line.units - elsewhere.get(line.piece.id, 0) for line in mine}
        why = _why_open(search, visit, want_id, mine, covering)
        look = visit.looked(want_id)
        here = sum(covering.get((want_id, line.piece.id), 0) for line in mine)
        if look is None:
            faulty = sum(
                idle[line.piece.id]
                for line in mine
                if line.kind.id == want.kind and _fails(search, want_id, line)
            )
            count = min(faulty, len(left))
            if left[count:] and left[0].sure:
                unseen[want_id] = tuple(left[count:])
        else:
            unlisted = max(look.seen - here - sum(idle.values()), 0)
            count = max(len(left) - unlisted, 0)
            if unlisted:
                why = (*why, because("cover-seen-not-listed", count=unlisted))
        if count and left[0].sure:
            missing[want_id] = tuple(
                left[len(left) - count :] if look is not None else left[:count]
            )
        if why:
            reasons[want_id] = why
    return missing, unseen, reasons


def _fails(search: _Search, want_id: str, line: Line) -> bool:
    return line.blocked is not None or want_id in search.useless


def _why_open(
    search: _Search,
    visit: Visit,
    want_id: str,
    mine: Sequence[Line],
    covering: Mapping[tuple[str, str], int],
) -> tuple[Reason, ...]:
    why = [line.blocked for line in mine if line.blocked is not None]
    if want_id in search.useless and mine:
        why.append(search.useless[want_id].reason)
    why += [
        because("cover-adapters-cost-more", kind=Term("kind", line.kind.id))
        for line in mine
        if line.adapters and line.blocked is None and (want_id, line.piece.id) not in covering
    ]
    why += [
        because("cover-fit-not-known", kind=Term("kind", line.kind.id))
        for line in mine
        if line.fit_chance < 1.0 and line.blocked is None
    ]
    look = visit.looked(want_id)
    if look is not None and look.seen == 0 and not mine:
        why.append(because("cover-none-seen"))
    return tuple(dict.fromkeys(why))
