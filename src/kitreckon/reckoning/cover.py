"""Which piece covers which want: the greatest total gain over selling, the shelf first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from kitreckon.catalogue.model import Want
from kitreckon.count import Purchase, Visit
from kitreckon.quantities import Money
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.condition import by_group
from kitreckon.reckoning.ground import Ground
from kitreckon.reckoning.line import Line, UnitWorth, is_meant
from kitreckon.reckoning.matching import Lacking, Matching, Worths
from kitreckon.reckoning.model import Cover, Covering, Waiting
from kitreckon.reckoning.slots import Slot


@dataclass(slots=True)
class Covered:
    """The cover, with what each covering unit is worth and which slots stay free."""

    cover: Cover
    units: Mapping[str, tuple[UnitWorth, ...]]  # piece id -> worth of each covering unit
    open_slots: Mapping[str, tuple[Slot, ...]]  # want id -> slots that are missing
    unseen_slots: Mapping[str, tuple[Slot, ...]]  # want id -> slots nobody looked for
    idle: Mapping[str, Reason]  # piece id -> why a sound line covers nothing


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

    What is owned and has to be put right comes last: it displaces nothing that works. The total
    gain of the pieces over selling them is the greatest there is, and among equals as many wants
    as can be are covered. What was bought for another machine counts for nothing; what was bought
    for none in particular counts as the shelf does. ``worths`` keeps what lines are worth.
    """
    bought = [purchase for purchase in purchases if purchase.is_for(ground.machine.id)]
    useless = _useless(slots, (*lines, *shelf), bought)
    search = Matching(
        slots, ground, set(range(len(slots))), useless, {} if worths is None else worths
    )
    coverings = _bought(search, bought)
    sound, broken = ([line for line in shelf if bool(line.repair) is bad] for bad in (False, True))
    coverings += _with_own(search, sound, from_shelf=True)[0]
    here, units = _with_own(search, lines, from_shelf=False)
    coverings += here
    coverings += _with_own(search, broken, from_shelf=True)[0]
    left = _left(search, visit, lines, coverings)
    made = Cover(
        tuple(coverings),
        {want: len(group) for want, group in left.missing.items()},
        tuple(left.unseen),
        left.reasons,
        left.waiting,
    )
    return Covered(made, units, left.missing, left.unseen, search.idle(lines, units))


def _useless(
    slots: Sequence[Slot], lines: Sequence[Line], purchases: Sequence[Purchase]
) -> dict[str, Lacking]:
    """Wants that need another thing which is neither here nor owned."""
    wants = {slot.want.id: slot.want for slot in slots}
    there = {line.kind.id for line in lines if line.blocked is None and line.units > 0}
    there |= {purchase.kind for purchase in purchases}
    missing = {}
    for want in wants.values():
        for need in want.needs:
            other = wants.get(need)
            if other is not None and not there & set(other.any_of):
                reason = because("cover-needs", kind=Term("kind", other.kind))
                missing[want.id] = Lacking(frozenset(other.any_of), reason)
                break
    return missing


def _bought(search: Matching, purchases: Sequence[Purchase]) -> list[Covering]:
    coverings = []
    for purchase in purchases:
        taken = [p for p in sorted(search.free) if search.slots[p].want.id == purchase.want]
        taken = taken[: max(purchase.qty, 0)]
        search.free.difference_update(taken)
        if taken:
            coverings.append(Covering(purchase.want, purchase.id, len(taken), 1.0, True))
    return coverings


def _with_own(
    search: Matching, lines: Sequence[Line], *, from_shelf: bool
) -> tuple[list[Covering], dict[str, tuple[UnitWorth, ...]]]:
    """Cover the free slots with these lines, then with what is fitted in those that cover any.

    A chuck on its arbor wants no other. What is loose goes first: it has no other use.
    """
    made, units = _coverings(search, lines, from_shelf=from_shelf)
    own = {line.piece.id: line.own for line in lines if line.own}
    within = []
    for row in made:
        for kind in own.get(row.piece_id, ()):
            free = [place for place in search.by_kind.get(kind, ()) if place in search.free]
            taken = free[: row.units]
            search.free.difference_update(taken)
            within += [
                replace(row, want=want, units=count, repair=None, within=True)
                for want, count in Counter(search.slots[place].want.id for place in taken).items()
            ]
    return [*made, *within], units


def _coverings(
    search: Matching, lines: Sequence[Line], *, from_shelf: bool
) -> tuple[list[Covering], dict[str, tuple[UnitWorth, ...]]]:
    """Cover the free slots with these lines; return that, and what each covering unit is worth."""
    chosen = search.best(lines)
    lines_of = {line.piece.id: line for line, _, _ in chosen}
    groups: dict[tuple[str, str], list[float]] = {}
    units: dict[str, tuple[UnitWorth, ...]] = {}
    for line, place, worth in chosen:
        slot, piece = search.slots[place], line.piece.id
        grade = search.ground.grade(slot.window, line.own_mm) * _service_grade(line, search.ground)
        groups.setdefault((slot.want.id, piece), []).append(grade)
        units[piece] = (*units.get(piece, ()), worth)
    return _grouped(groups, lines_of, from_shelf, search.ground), units


def _grouped(
    groups: Mapping[tuple[str, str], list[float]],
    lines: Mapping[str, Line],
    from_shelf: bool,
    ground: Ground,
) -> list[Covering]:
    """Return a covering for each want and piece, with the grade of each unit and its repair."""
    made, before = [], Counter[str]()
    for (want, piece), grades in groups.items():
        units = len(grades)
        repair = _put_right(lines[piece], units, before[piece], ground)
        made.append(Covering(want, piece, units, sum(grades) / units, from_shelf, repair))
        before[piece] += units
    return made


def _put_right(line: Line, units: int, before: int, ground: Ground) -> Money | None:
    """Return what putting some units of a line right costs, ``before`` of them put right."""
    if not line.repair:
        return None
    return Money(line.repair_share(units, before), ground.prices.currency)


def _service_grade(line: Line, ground: Ground) -> float:
    """How much of its work it still does, 0 to 1, over the grades it may have."""
    row = by_group(ground.catalogue.shares.service, line.kind.price_group)
    service = sum(chance * row.get(grade, 1.0) for grade, chance in line.grades.chances)
    return min(1.0, service * line.grades.complete)


@dataclass(frozen=True, slots=True)
class _Left:
    """What stays uncovered: missing, not looked at, and why; and what waits for another thing."""

    missing: dict[str, tuple[Slot, ...]] = field(default_factory=dict)
    unseen: dict[str, tuple[Slot, ...]] = field(default_factory=dict)
    reasons: dict[str, tuple[Reason, ...]] = field(default_factory=dict)
    waiting: dict[str, Waiting] = field(default_factory=dict)

    def take(
        self, want: str, missing: list[Slot], unseen: list[Slot], why: tuple[Reason, ...]
    ) -> None:
        """Note what is left of one want; slots not surely wanted are neither."""
        for slots, kept in ((missing, self.missing), (unseen, self.unseen)):
            if slots and slots[0].sure:
                kept[want] = tuple(slots)
        if why:
            self.reasons[want] = why


def _left(
    search: Matching, visit: Visit, lines: Sequence[Line], coverings: Sequence[Covering]
) -> _Left:
    """Share the slots left free into missing and not looked at, with the reasons."""
    free: dict[str, list[Slot]] = {}
    for place in sorted(search.free):
        free.setdefault(search.slots[place].want.id, []).append(search.slots[place])
    by_kind: dict[str, list[Line]] = {}
    for line in lines:
        by_kind.setdefault(line.kind.id, []).append(line)
    used = Counter[str]()
    here = [covering for covering in coverings if not (covering.from_shelf or covering.within)]
    for covering in here:
        used[covering.piece_id] += covering.units
    found = _Left()
    for want in search.wants.values():
        mine = [
            line for kind in want.any_of for line in by_kind.get(kind, ()) if is_meant(line, want)
        ]
        meant = _Meant(
            mine,
            {row.piece_id: row.units for row in here if row.want == want.id},
            {line.piece.id: line.units - used[line.piece.id] for line in mine},
        )
        _share(search, visit, want, free.get(want.id, []), meant, used, found)
    return found


@dataclass(frozen=True, slots=True)
class _Meant:
    """The lines meant for one want: how many of their units cover it, how many are idle."""

    lines: Sequence[Line]
    covering: Mapping[str, int]
    idle: Mapping[str, int]

    @property
    def listed(self) -> int:
        """How many of what was seen on it are written down: each of the loose parts of a set."""
        count = 0
        for line in self.lines:
            units = self.covering.get(line.piece.id, 0) + self.idle[line.piece.id]
            loose = 0 < line.units < line.piece.qty
            count += line.piece.qty if units and loose else units
        return count

    @property
    def own(self) -> list[Line]:
        """The lines that cover it or could: the others serve another want."""
        return [
            line
            for line in self.lines
            if self.idle[line.piece.id] > 0 or line.piece.id in self.covering
        ]


def _share(
    search: Matching,
    visit: Visit,
    want: Want,
    left: list[Slot],
    meant: _Meant,
    used: Counter[str],
    found: _Left,
) -> None:
    """Share out the free slots of one want.

    Units that wait for another thing are here, and nothing is missing but that thing; units that
    will not do leave their want open.
    """
    why = _why_open(visit, want, meant.own, meant.covering)
    if meant.lines and want.id in search.useless:
        why = (search.useless[want.id].reason, *why)
    waits = [line for line in meant.lines if search.waits_for(line, want)]
    claims = _claimed(waits, len(left), used)
    waiting = sum(claims.values())
    if waiting:
        kinds = frozenset[str]().union(*(search.waits_for(line, want) for line in waits))
        repairs = tuple(_repairs(waits, want, claims, search.ground))
        found.waiting[want.id] = Waiting(waiting, kinds, repairs)
    look = visit.looked(want.id)
    if look is None:
        count = min(_failed(want, meant, waits), len(left) - waiting)
        missing, unseen = left[:count], left[count + waiting :]
    else:
        unlisted = max(look.seen - meant.listed, 0)
        missing, unseen = left[unlisted + waiting :], []
        if unlisted:
            why = (*why, because("cover-seen-not-listed", count=unlisted))
    found.take(want.id, missing, unseen, why)


def _failed(want: Want, meant: _Meant, waits: Sequence[Line]) -> int:
    """Return how many idle units of the usual kind are here and will not do."""
    failed = [
        line
        for line in meant.lines
        if line.kind.id == want.kind and _fails(line) and line not in waits
    ]
    return sum(meant.idle[line.piece.id] for line in failed)


def _claimed(lines: Sequence[Line], most: int, used: Counter[str]) -> dict[str, int]:
    """Return how many idle units of each line wait for one want; no other want has them too."""
    claims: dict[str, int] = {}
    for line in lines:
        units = min(line.units - used[line.piece.id], most - sum(claims.values()))
        used[line.piece.id] += units
        claims[line.piece.id] = units
    return claims


def _repairs(
    lines: Sequence[Line], want: Want, claims: Mapping[str, int], ground: Ground
) -> Iterator[Covering]:
    """Yield the units that wait for a want's need and have to be put right as well."""
    for line in lines:
        units = claims[line.piece.id]
        if line.repair and units:
            repair = _put_right(line, units, 0, ground)
            yield Covering(want.id, line.piece.id, units, 0.0, repair=repair)


def _fails(line: Line) -> bool:
    """Whether an idle line will not do: one of another size says nothing of the size wanted."""
    return line.blocked is not None or bool(line.adapters)


def _why_open(
    visit: Visit,
    want: Want,
    mine: Sequence[Line],
    covering: Mapping[str, int],
) -> tuple[Reason, ...]:
    why = [line.blocked for line in mine if line.blocked is not None]
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
