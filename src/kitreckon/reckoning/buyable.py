"""What can be bought for what is missing: kinds, supplies, packs, and what each needs or gives.

What a missing thing is worth comes from its tier and its use (how many lists of a well-tooled
machine name it), never from its price. The first of several counts most. Anything essential
outweighs everything usual, and that everything handy.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import NEW_SUPPLIES, Catalogue, SupplyName, Tier, Want
from kitreckon.count import Look, Piece
from kitreckon.fitting.bench import carriers
from kitreckon.reasons import Reason
from kitreckon.reckoning.chain import again
from kitreckon.reckoning.condition import by_group
from kitreckon.reckoning.figures import Triple
from kitreckon.reckoning.model import Gap, Reckoning
from kitreckon.reckoning.pert import mean_of
from kitreckon.reckoning.prerequisites import Option
from kitreckon.reckoning.prices import Priced, Prices

POINTS = 12  # of worth, for the whole quantity of a want, and again for each list that names it
RANK: Mapping[Tier, int] = {"essential": 10**12, "usual": 10**6, "handy": 1}


@dataclass(frozen=True, slots=True)
class Beside:
    """What has to be bought with each: the backplate of a chuck, the arbor of a drill chuck."""

    kind: str
    supply: SupplyName
    cost: int


@dataclass(frozen=True, slots=True)
class Pack:
    """One way to buy a want: a pack of ``pieces`` at ``cost`` minor units, fitted."""

    kind: str
    supply: SupplyName
    cost: int
    pieces: int
    figures: Triple  # of the pack with what is bought beside it
    beside: Beside | None = None
    reasons: tuple[Reason, ...] = ()

    @property
    def whole_cost(self) -> int:
        """Cost of one pack with what is bought beside it."""
        return self.cost + (self.beside.cost if self.beside else 0)


@dataclass(frozen=True, slots=True)
class Buyable:
    """So many packs that close so many units of a want, as an option for the solver."""

    option: Option
    pack: Pack
    packs: int
    units: int


@dataclass(frozen=True, slots=True)
class Missing:
    """A missing want with everything that can be bought for it."""

    gap: Gap
    buyable: tuple[Buyable, ...]


def lines_to_buy(
    reckoning: Reckoning, catalogue: Catalogue, supplies: Sequence[SupplyName]
) -> list[Missing]:
    """Return what is missing, and what others need and nobody looked for, with ways to buy it."""
    outfit = catalogue.outfits.get(reckoning.machine.machine_class)
    wants = {want.id: want for want in outfit.wants} if outfit else {}
    gaps = [gap for gap in reckoning.gaps if gap.want in wants]
    unseen = _unseen_needs(reckoning, gaps, wants)
    others = list(_gaps_if_absent(reckoning, unseen, catalogue))
    open_units = {gap.want: gap.qty for gap in (*gaps, *others)}
    stall = _Stall(reckoning, catalogue, supplies, wants, open_units)
    lines = [stall.line(gap, _unit_worths(wants[gap.want], gap.qty)) for gap in gaps]
    return lines + [stall.line(gap, (0,) * gap.qty) for gap in others]


def _unit_worths(want: Want, missing: int) -> tuple[int, ...]:
    """Return what each missing unit is worth: 1, 1/2, 1/3, ... of a whole, after those had.

    The harmonic shares are judgement: one holder makes a tool post of use, the eighth is ease.
    """
    whole = POINTS * (1 + want.lists)
    total = sum(1.0 / n for n in range(1, max(want.qty, 1) + 1))
    had = max(want.qty - missing, 0)
    return tuple(
        max(1, round(whole / n / total)) * RANK[want.tier]
        for n in range(had + 1, had + missing + 1)
    )


def _unseen_needs(reckoning: Reckoning, gaps: Sequence[Gap], wants: Mapping[str, Want]) -> set[str]:
    """Return the wants nobody looked at without which some missing thing is of no use."""
    unseen = {wanted.want for wanted in reckoning.not_looked}
    found: set[str] = set()
    queue = [gap.want for gap in gaps]
    while queue:
        for need in wants[queue.pop()].needs:
            if need in unseen and need not in found:
                found.add(need)
                queue.append(need)
    return found


def _gaps_if_absent(
    reckoning: Reckoning, unseen: Iterable[str], catalogue: Catalogue
) -> Iterator[Gap]:
    """Yield the gaps there would be if these wants were looked for and not found."""
    names = sorted(unseen)
    if not names:
        return
    looks = (*reckoning.visit.looks, *(Look(want, 0) for want in names))
    visit = replace(reckoning.visit, looks=looks)
    for gap in again(reckoning, catalogue, visit=visit).gaps:
        if gap.want in names:
            yield gap


class _Stall:
    """Everything there is to buy for one machine, priced."""

    def __init__(
        self,
        reckoning: Reckoning,
        catalogue: Catalogue,
        supplies: Sequence[SupplyName],
        wants: Mapping[str, Want],
        open_units: Mapping[str, int],
    ) -> None:
        self.catalogue = catalogue
        self.supplies = supplies
        self.wants = wants
        self.open_units = open_units
        self.prices = Prices(
            catalogue, reckoning.preferences, reckoning.own_prices, reckoning.purchases
        )
        self.waiting = reckoning.cover.waiting
        self.had = _units_had(reckoning)
        self.kinds_had = _kinds_had(reckoning)
        self.needed_by = {
            need: [want.id for want in wants.values() if need in want.needs] for need in wants
        }
        self.usual = {wants[want].kind for want in open_units}
        self.kinds_open = {kind for want in open_units for kind in wants[want].any_of}
        self.held: dict[str, set[str]] = {}  # holder -> the missing kinds it holds
        for held in self.kinds_open:
            for holder in self._held_by(held):
                self.held.setdefault(holder, set()).add(held)

    def line(self, gap: Gap, worths: Sequence[int]) -> Missing:
        """Return the line of a missing want, each unit worth what is said."""
        want = self.wants[gap.want]
        rows: list[Buyable] = []
        for kind in self._kinds(want):
            for pack in self._packs(want, gap, kind):
                for units in range(1, gap.qty + 1):
                    worth = sum(worths[:units]) + self._awaited(want, kind)
                    rows += self._buyable(want, pack, units, worth)
        return Missing(gap, tuple(rows))

    def _kinds(self, want: Want) -> list[str]:
        """Return the kinds to offer for a want, the usual one first.

        Another kind has to be common; one that is the usual one of another missing want is left
        to that want: else the same thing would be bought twice, and a second system be none.
        """
        others = (self.catalogue.kinds.get(kind) for kind in want.any_of[1:])
        common = [kind.id for kind in others if kind is not None and kind.common]
        return [want.kind, *(kind for kind in common if kind not in self.usual)]

    def _buyable(self, want: Want, pack: Pack, units: int, worth: int) -> Iterator[Buyable]:
        """Yield the option of buying so many, and that of getting some with a set bought too."""
        needs, gives = self._needs(want, pack.kind, units), self._gives(want, pack.kind, units)
        packs = -(-units // pack.pieces)
        option = Option(pack.whole_cost * packs, worth, needs, gives)
        yield Buyable(option, pack, packs, units)
        for holder, count in self._comes_with(pack.kind):
            packs = max(-(-(units - count) // pack.pieces), 0)
            keys = needs | {f"kind:{holder}"}
            option = Option(pack.whole_cost * packs, worth, keys, gives)
            yield Buyable(option, pack, packs, units)

    def _comes_with(self, kind: str) -> Iterator[tuple[str, int]]:
        """Yield the missing kinds that are sold with some of this kind, and how many."""
        for other in sorted(self.usual):
            table = self.prices.table(other)
            for held, count in table.holds if table is not None else ():
                if held == kind:
                    yield other, count

    def _gives(self, want: Want, kind: str, units: int) -> frozenset[str]:
        gives = {f"kind:{kind}", *(f"want:{want.id}:{n}" for n in range(1, units + 1))}
        for need in want.needs:
            if self._each(kind, need):
                carried = range(1, self.had.get(want.id, 0) + units + 1)
            else:
                carried = range(1, self.open_units.get(need, 0) + self.had.get(need, 0) + 1)
            gives |= {f"use:{need}:{n}" for n in carried}
        gives |= {f"holder:{held}" for held in self.held.get(kind, ())}
        return frozenset(gives)

    def _held_by(self, kind: str) -> tuple[str, ...]:
        known = self.catalogue.kinds.get(kind)
        return known.held_by if known is not None else ()

    def _needs(self, want: Want, kind: str, units: int) -> frozenset[str]:
        """Return what must be bought too, unless it is had.

        A holder for this very kind; else as many as there are of these of what is bought for
        each, or one of what they use in turns. What only carries others needs one to carry.
        """
        keys = set()
        had = self.had.get(want.id, 0)
        holders = set(self._held_by(kind))
        if holders & self.kinds_open and not holders & self.kinds_had:
            keys.add(f"holder:{kind}")
        for need in want.needs:
            other = self.wants.get(need)
            if need in self.open_units and other and not holders & set(other.any_of):
                count = had + units if self._each(kind, need) else 1
                count = min(count - self.had.get(need, 0), self.open_units[need])
                if count > 0:
                    keys.add(f"want:{need}:{count}")
        if self.needed_by.get(want.id) and self._only_carries(kind):
            count = had + units
            carried = any(self._carries(w, want.id) >= count for w in self.needed_by[want.id])
            if not carried and not self._awaited(want, kind):
                keys.add(f"use:{want.id}:{count}")
        return frozenset(keys)

    def _awaited(self, want: Want, kind: str) -> int:
        """Return what is brought into use by one of a kind: pieces here that wait for it."""
        return sum(
            sum(_unit_worths(self.wants[other], self.wants[other].qty)[: row.units])
            for other, row in self.waiting.items()
            if kind in row.kinds and want.id in self.wants[other].needs
        )

    def _each(self, kind: str, need: str) -> bool:
        """Whether each of a kind takes one of what it needs for itself, as a chuck its arbor."""
        table, other = self.prices.table(kind), self.wants.get(need)
        return table is not None and other is not None and table.bought_with in other.any_of

    def _carries(self, want: str, need: str) -> float:
        """Return how many of a carrier the units had of a want make use of."""
        had = self.had.get(want, 0)
        return had if not had or self._each(self.wants[want].kind, need) else math.inf

    def _only_carries(self, kind: str) -> bool:
        """Whether a kind is of no use without another thing on it; a set with holders is."""
        table = self.prices.table(kind)
        return bool(carriers((Piece("", kind),))) and not (table is not None and table.holds)

    def _packs(self, want: Want, gap: Gap, kind: str) -> Iterator[Pack]:
        """Yield a pack from each supply that will do."""
        table = self.prices.table(kind)
        needed = {k for need in want.needs if need in self.wants for k in self.wants[need].any_of}
        apart = table is not None and table.bought_with in needed
        for supply in self.supplies:
            priced = self.prices.of(kind, gap.size_mm, supply)
            if priced is not None and (supply != "used" or self._serves_used(kind, gap)):
                yield self._pack(priced, None if apart else self._beside(kind, gap.size_mm))

    def _pack(self, priced: Priced, beside: Beside | None) -> Pack:
        delivered, work = self.prices.delivered(priced), self.prices.fitting_work(priced.kind)
        low, typical, high = (cost + more for cost, more in zip(delivered, work, strict=True))
        extra = beside.cost if beside else 0
        return Pack(
            priced.kind,
            priced.supply,
            round(mean_of(low, typical, high)),
            priced.unit_count if priced.per_piece else 1,
            (low + extra, typical + extra, high + extra),
            beside,
            priced.reasons,
        )

    def _beside(self, kind: str, size_mm: float | None) -> Beside | None:
        table = self.prices.table(kind)
        figures = self.prices.beside(kind, size_mm)
        if table is None or figures[2] <= 0.0:
            return None
        other = table.bought_with
        bought = self.prices.cheapest_new(other, size_mm) or self.prices.cheapest_new(other, None)
        return Beside(other, bought.supply if bought else "new-import", round(mean_of(*figures)))

    def _serves_used(self, kind: str, gap: Gap) -> bool:
        """Whether a used one nobody has judged serves well enough beside a new one.

        What cannot be bought new is offered used whatever it is.
        """
        if not any(self.prices.of(kind, gap.size_mm, new) for new in NEW_SUPPLIES):
            return True
        known = self.catalogue.kinds.get(kind)
        group = known.price_group if known is not None else ""
        service = by_group(self.catalogue.shares.service, group)
        chances = by_group(self.catalogue.chances.conditions, group)
        expected = sum(chance * service.get(grade, 1.0) for grade, chance in chances.items())
        least = self.catalogue.judgement.used_service_least
        return not chances or expected >= least * service.get("new", 1.0)


def _units_had(reckoning: Reckoning) -> dict[str, int]:
    """Return how many units of each want are covered."""
    had: dict[str, int] = {}
    for row in reckoning.cover.coverings:
        had[row.want] = had.get(row.want, 0) + row.units
    return had


def _kinds_had(reckoning: Reckoning) -> set[str | None]:
    """Return the kinds that cover a want: counted here, owned or bought."""
    kinds = {piece.id: piece.kind for piece in (*reckoning.visit.pieces, *reckoning.shelf)}
    kinds |= {purchase.id: purchase.kind for purchase in reckoning.purchases}
    return {kinds.get(row.piece_id) for row in reckoning.cover.coverings}
