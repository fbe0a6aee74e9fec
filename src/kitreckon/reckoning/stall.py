"""The ways to see to a missing want: kinds, supplies, packs, repairs; what each needs and gives."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from kitreckon.catalogue.model import NEW_SUPPLIES, Catalogue, SupplyName, Want
from kitreckon.count import Piece
from kitreckon.fitting.bench import carriers
from kitreckon.quantities.money import round_half_up
from kitreckon.reckoning.condition import by_group
from kitreckon.reckoning.model import Gap, Reckoning
from kitreckon.reckoning.packs import Beside, Buyable, Missing, Pack, PutRight, unit_worths
from kitreckon.reckoning.pert import mean_of
from kitreckon.reckoning.prerequisites import Option
from kitreckon.reckoning.prices import Priced, Prices


class Stall:
    """Everything there is to buy or to put right for one machine, priced."""

    def __init__(
        self,
        reckoning: Reckoning,
        catalogue: Catalogue,
        supplies: Sequence[SupplyName],
        wants: Mapping[str, Want],
        gaps: Mapping[str, Gap],
        repairs: Mapping[str, tuple[PutRight, ...]],
    ) -> None:
        self.catalogue = catalogue
        self.supplies = supplies
        self.wants = wants
        self.gaps = gaps
        self.repairs = repairs
        self.open_units = {
            want: (gaps[want].qty if want in gaps else 0)
            + sum(row.units for row in repairs.get(want, ()))
            for want in (*gaps, *repairs)
        }
        self.prices = Prices(
            catalogue, reckoning.preferences, reckoning.own_prices, reckoning.purchases
        )
        self.waiting = reckoning.cover.waiting
        self.had = _units_had(reckoning)
        self.kinds_had = _kinds_had(reckoning)
        self.needed_by = {
            need: [want.id for want in wants.values() if need in want.needs] for need in wants
        }
        self.usual = {wants[want].kind for want in gaps}
        self.kinds_open = {kind for want in self.open_units for kind in wants[want].any_of}
        self.held: dict[str, set[str]] = {}  # holder -> the missing kinds it holds
        for held in self.kinds_open:
            for holder in self._held_by(held):
                self.held.setdefault(holder, set()).add(held)

    def line(self, want: Want, worths: Sequence[int]) -> Missing:
        """Return the line of a want, each of its open units worth what is said."""
        mended = list(self._mended(want))
        rows = [self._only_put_right(want, put_right, worths) for put_right in mended[1:]]
        gap = self.gaps.get(want.id)
        if gap is not None:
            rows += [
                row
                for kind in self._kinds(want)
                for pack in self._packs(want, gap, kind)
                for put_right in mended
                for units in range(1, gap.qty + 1)
                for row in self._buyable(want, pack, units, put_right, worths)
            ]
        return Missing(want, tuple(rows))

    def _mended(self, want: Want) -> Iterator[tuple[PutRight, ...]]:
        """Yield what is put right when none is, when one unit is, two, ...: the cheapest first."""
        whole: tuple[PutRight, ...] = ()
        yield whole
        for row in self.repairs.get(want.id, ()):
            for units in range(1, row.units):
                yield (*whole, replace(row, units=units, cost=row.cost * units // row.units))
            whole = (*whole, row)
            yield whole

    def _only_put_right(
        self, want: Want, put_right: tuple[PutRight, ...], worths: Sequence[int]
    ) -> Buyable:
        units = sum(row.units for row in put_right)
        kinds = tuple(dict.fromkeys(row.kind for row in put_right))
        worth = sum(worths[:units]) + self._awaited(want, kinds, units)
        needs, gives = self._keys(want, kinds, units)
        cost = sum(row.cost for row in put_right)
        return Buyable(Option(cost, worth, needs, gives), None, 0, 0, put_right)

    def _keys(
        self, want: Want, kinds: Sequence[str], units: int
    ) -> tuple[frozenset[str], frozenset[str]]:
        """Return what so many units of a want need, and what they give to others."""
        needs = [self._needs(want, kind, units) for kind in kinds]
        gives = [self._gives(want, kind, units) for kind in kinds]
        return needs[0].union(*needs[1:]), gives[0].union(*gives[1:])

    def _kinds(self, want: Want) -> list[str]:
        """Return the kinds to offer for a want, the usual one first.

        Another kind has to be common; one that is the usual one of another missing want is left
        to that want: else the same thing would be bought twice, and a second system be none.
        """
        others = (self.catalogue.kinds.get(kind) for kind in want.any_of[1:])
        common = [kind.id for kind in others if kind is not None and kind.common]
        return [want.kind, *(kind for kind in common if kind not in self.usual)]

    def _buyable(
        self,
        want: Want,
        pack: Pack,
        units: int,
        put_right: tuple[PutRight, ...],
        worths: Sequence[int],
    ) -> Iterator[Buyable]:
        """Yield the option of buying so many, and that of getting some with a set bought too."""
        total = units + sum(row.units for row in put_right)
        kinds = (pack.kind, *(row.kind for row in put_right if row.kind != pack.kind))
        worth = sum(worths[:total]) + self._awaited(want, kinds, total)
        needs, gives = self._keys(want, kinds, total)
        gives |= {f"kind:{pack.kind}"}
        mending = sum(row.cost for row in put_right)
        for count, keys in ((0, needs), *self._comes_with(pack.kind, needs)):
            packs = max(-(-(units - count) // pack.pieces), 0)
            option = Option(pack.whole_cost * packs + mending, worth, keys, gives)
            yield Buyable(option, pack, packs, units, put_right)

    def _comes_with(self, kind: str, needs: frozenset[str]) -> Iterator[tuple[int, frozenset[str]]]:
        """Yield how many of a kind come with a missing thing, and the keys that then needs."""
        for other in sorted(self.usual):
            table = self.prices.table(other)
            for held, count in table.holds if table is not None else ():
                if held == kind:
                    yield count, needs | {f"kind:{other}"}

    def _gives(self, want: Want, kind: str, units: int) -> frozenset[str]:
        gives = {f"want:{want.id}:{n}" for n in range(1, units + 1)}
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
            if not carried and not self._awaited(want, (kind,), units):
                keys.add(f"use:{want.id}:{count}")
        return frozenset(keys)

    def _awaited(self, want: Want, kinds: Sequence[str], units: int) -> int:
        """Return what so many units of a want bring into use: pieces here that wait for them."""
        waiting = sum(
            sum(self._whole_worths(other)[: row.units - sum(r.units for r in row.repairs)])
            for other, row in self.waiting.items()
            if not row.kinds.isdisjoint(kinds) and want.id in self.wants[other].needs
        )
        if want.id not in self.repairs:
            return waiting
        return waiting + sum(
            self._whole_worths(other)[n]
            for other in self.needed_by.get(want.id, ())
            for n in self._idle(other, want.id, units)
        )

    def _idle(self, other: str, need: str, units: int) -> range:
        """Return which units had of a want do no work before so many of what they need do."""
        count, had = self.had.get(other, 0), self.had.get(need, 0)
        if self._each(self.wants[other].kind, need):
            return range(min(count, had), min(count, had + units))
        return range(0 if had else count)

    def _whole_worths(self, want: str) -> tuple[int, ...]:
        points = self.catalogue.judgement.worth_points
        return unit_worths(self.wants[want], self.wants[want].qty, points)

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
        carries = carriers((Piece("", kind),), self.catalogue.kinds)
        return bool(carries) and not (table is not None and table.holds)

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
            round_half_up(mean_of(low, typical, high)),
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
        return Beside(
            other, bought.supply if bought else "new-import", round_half_up(mean_of(*figures))
        )

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
    """Return how many units of each want are covered by what works."""
    had: dict[str, int] = {}
    for row in reckoning.cover.coverings:
        had[row.want] = had.get(row.want, 0) + (0 if row.repair else row.units)
    return had


def _kinds_had(reckoning: Reckoning) -> set[str | None]:
    """Return the kinds that cover a want and work: counted here, owned or bought."""
    kinds = {piece.id: piece.kind for piece in (*reckoning.visit.pieces, *reckoning.shelf)}
    kinds |= {purchase.id: purchase.kind for purchase in reckoning.purchases}
    return {kinds.get(row.piece_id) for row in reckoning.cover.coverings if not row.repair}
