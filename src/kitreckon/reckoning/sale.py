"""What to sell with the machine, what singly, what in one lot: the split that nets most.

The next buyer of the machine reckons as this program does: a piece adds to his price what the
two settle on, between the lot price and its worth to him. Sold singly it leaves what remains
after commission, postage, packing and hours; in one lot it fetches a share of the singles.
What was made for this machine goes with it: nobody else has a use for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Literal

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Machine, OwnPrice, Piece, Preferences, Purchase, Visit
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.chain import reckon
from kitreckon.reckoning.exchange import to_user_money
from kitreckon.reckoning.findings import judge_findings
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.offer import split
from kitreckon.reckoning.outlook import Outlook
from kitreckon.reckoning.value import lot_price

EVERY_SPLIT = 8  # lines hanging together of which every split is tried; of more, the likely ones
_HOLDS_WORK = frozenset({"spindle-nose", "table"})

Way = Literal["with-machine", "singly", "in-lot"]


@dataclass(frozen=True, slots=True)
class Selling:
    """One counted line of a sale: how to sell it and what that leaves."""

    piece_id: str
    kind: str
    qty: int
    way: Way
    leaves: Money
    reason: Reason


@dataclass(frozen=True, slots=True)
class SalePlan:
    """The split that nets most.

    ``machine`` is what it fetches with its pieces, None where no bare price is known; ``total``
    is everything together; ``hours`` the work of the single sales; ``never`` the pieces that are
    not to be sold, with the danger.
    """

    machine: Money | None
    lines: tuple[Selling, ...]
    total: Money
    hours: float
    never: tuple[tuple[str, Reason], ...] = ()
    reasons: tuple[Reason, ...] = ()


def sale(
    machine: Machine,
    visit: Visit,
    catalogue: Catalogue,
    preferences: Preferences,
    own_prices: Sequence[OwnPrice] = (),
    purchases: Sequence[Purchase] = (),
    hours: float | None = None,
) -> SalePlan:
    """Return which pieces to sell with the machine, which singly and which in a lot.

    ``hours`` is the time there is for selling singly, None for as much as it takes. Nothing
    unsafe is ever listed. Raises KitreckonError for hours below 0.
    """
    if hours is not None and not hours >= 0.0:
        raise KitreckonError(f"{hours:g} hours", where="hours", want="a number of 0 or more")
    reckoning = reckon(
        machine, visit, catalogue, preferences, own_prices=own_prices, purchases=purchases
    )
    market = _Market(reckoning, catalogue, hours)
    return market.plan(market.best())


@dataclass(frozen=True, slots=True)
class _Split:
    """One way to split lines that hang together: what stays, what each of it adds, the rest.

    ``rest`` holds what leaves the machine, the one that gains most by a single sale first.
    """

    adds: Mapping[str, int]
    rest: tuple[str, ...]
    lots: int
    gains: tuple[int, ...]  # of selling singly over the lot, falling, none below 0
    shows: bool  # the machine can be shown at work

    def worth(self, singles: int) -> int:
        """Return what it leaves with so many sold singly."""
        return sum(self.adds.values()) + self.lots + sum(self.gains[:singles])


_Picks = tuple[tuple[_Split, int], ...]  # each split with how many are sold singly


def made_for_one(piece: Piece, catalogue: Catalogue) -> bool:
    """Whether a piece goes on one machine alone.

    A plate that is known by its nose goes on every machine with that nose.
    """
    kind = catalogue.kinds.get(piece.kind or "")
    if kind is None or not kind.machine_specific:
        return False
    return "spindle-nose" not in kind.seats or (piece.mount or "") not in catalogue.standards.noses


class _Market:
    """What each piece leaves by each way of selling it."""

    def __init__(self, reckoning: Reckoning, catalogue: Catalogue, hours: float | None) -> None:
        self.reckoning = reckoning
        self.catalogue = catalogue
        self.outlook = Outlook(reckoning)
        self.preferences = reckoning.preferences
        self.pieces = {
            piece.id: piece
            for piece in reckoning.visit.pieces
            if piece.kind in catalogue.kinds and not piece.unsafe and not piece.his
        }
        each = self.preferences.hours
        limited = hours is not None and each > 0.0
        self.most = int((hours or 0.0) / each + 1e-9) if limited else len(self.pieces)
        self.bare = _bare_price(reckoning, catalogue)
        self.shows = {name for name in self.pieces if self._holds_work(name)}
        self.penalty = 0
        if self.shows and self.bare is not None:
            self.penalty = (self.bare * catalogue.judgement.not_shown_at_work).minor

    def _made_for_it(self, piece_id: str) -> bool:
        """Whether a piece was made for this machine; one that does not fit is of another."""
        line = self.outlook.workings.lines[piece_id]
        misfit = line.fit is not None and line.fit.verdict == "misfit"
        return made_for_one(line.piece, self.catalogue) and not misfit

    def _holds_work(self, piece_id: str) -> bool:
        """Whether a piece fits, works as it is, and holds work on the nose or the table."""
        line = self.outlook.workings.lines[piece_id]
        return line.blocked is None and not line.repair and bool(_HOLDS_WORK & set(line.kind.seats))

    def single(self, piece_id: str) -> int:
        """Return what a line leaves sold singly."""
        return self.reckoning.values[piece_id].part_out_mean.minor

    def lot(self, piece_id: str) -> int:
        """Return what a line fetches in one lot, taken away: a share of its single price."""
        return lot_price(self.outlook.workings.lines[piece_id], self.preferences)

    def added(self, staying: Sequence[str], group: Sequence[str]) -> dict[str, int]:
        """Return what each piece that stays adds to the machine when the others are gone."""
        gone = set(group) - set(staying)
        pieces = tuple(
            replace(piece, his=True) if piece.id in gone else piece
            for piece in self.reckoning.visit.pieces
        )
        means = self.outlook.values(replace(self.reckoning.visit, pieces=pieces))
        adds = {}
        for name in staying:
            floor = Money(min(self.lot(name), self.single(name)), means[name].floor.currency)
            adds[name] = split(floor, means[name].worth_mean, 1.0 - self.preferences.power).minor
        return adds

    def splits(self, group: Sequence[str]) -> list[_Split]:
        """Return the splits of lines that hang together: all of few lines, the likely of many."""
        bound = tuple(name for name in group if self._made_for_it(name))
        free = [name for name in group if name not in bound]
        if len(free) <= EVERY_SPLIT:
            return [
                self._split((*bound, *staying), group)
                for count in range(len(free) + 1)
                for staying in combinations(free, count)
            ]
        return list(self._likely(group, frozenset(bound)))

    def _likely(self, group: Sequence[str], bound: frozenset[str]) -> Iterator[_Split]:
        """Yield the splits met when the piece that gains most by leaving leaves, one by one."""
        staying = tuple(group)
        yield self._split(staying, group)
        while not bound.issuperset(staying):
            options = [
                self._split(tuple(n for n in staying if n != gone), group)
                for gone in staying
                if gone not in bound
            ]
            best = max(options, key=lambda row: row.worth(len(row.rest)))
            staying = tuple(best.adds)
            yield best

    def _split(self, staying: Sequence[str], group: Sequence[str]) -> _Split:
        rest = sorted(
            set(group) - set(staying), key=lambda name: (self.lot(name) - self.single(name), name)
        )
        gains = tuple(max(self.single(name) - self.lot(name), 0) for name in rest)
        lots = sum(self.lot(name) for name in rest)
        adds = self.added(staying, group)
        return _Split(adds, tuple(rest), lots, gains, bool(self.shows & set(staying)))

    def best(self) -> _Picks:
        """Choose a split for every group: exact over the hours and over what shows the machine."""
        groups: dict[str, list[str]] = {}
        for name in self.pieces:
            groups.setdefault(self.outlook.group_of(name), []).append(name)
        # (sold singly, shown) -> worth and picks
        states: dict[tuple[int, bool], tuple[int, _Picks]] = {(0, not self.shows): (0, ())}
        for group in groups.values():
            states = self._extend(states, self.splits(group))
        _, (_, picks) = max(
            states.items(),
            key=lambda row: (row[1][0] - (0 if row[0][1] else self.penalty), -row[0][0]),
        )
        return picks

    def _extend(
        self,
        states: Mapping[tuple[int, bool], tuple[int, _Picks]],
        splits: Sequence[_Split],
    ) -> dict[tuple[int, bool], tuple[int, _Picks]]:
        grown: dict[tuple[int, bool], tuple[int, _Picks]] = {}
        for (used, shown), (worth, picks) in states.items():
            for row in splits:
                wanted = sum(gain > 0 for gain in row.gains)
                for singles in range(min(wanted, self.most - used) + 1):
                    key = (used + singles, shown or row.shows)
                    total = worth + row.worth(singles)
                    if key not in grown or total > grown[key][0]:
                        grown[key] = (total, (*picks, (row, singles)))
        return grown

    def plan(self, picks: _Picks) -> SalePlan:
        """Return the plan for the splits chosen."""
        currency = self.preferences.currency
        lines = tuple(line for row, singles in picks for line in self._lines(row, singles))
        adds = sum(sum(row.adds.values()) for row, _ in picks)
        shown = not self.shows or any(row.shows for row, _ in picks)
        machine = None
        if self.bare is not None:
            machine = self.bare + Money(adds - (0 if shown else self.penalty), currency)
        elsewhere = sum(line.leaves.minor for line in lines if line.way != "with-machine")
        total = (machine.minor if machine is not None else adds) + elsewhere
        sold = sum(line.way == "singly" for line in lines)
        short = sum(sum(gain > 0 for gain in row.gains) - singles for row, singles in picks)
        return SalePlan(
            machine,
            lines,
            Money(total, currency),
            sold * self.preferences.hours,
            tuple(self._never()),
            tuple(self._reasons(shown, short)),
        )

    def _lines(self, row: _Split, singles: int) -> Iterator[Selling]:
        for name, amount in row.adds.items():
            yield self._selling(name, "with-machine", amount)
        for place, name in enumerate(row.rest):
            if place < singles:
                yield self._selling(name, "singly", self.single(name))
            else:
                yield self._selling(name, "in-lot", self.lot(name))

    def _selling(self, piece_id: str, way: Way, amount: int) -> Selling:
        piece, money = self.pieces[piece_id], Money(amount, self.preferences.currency)
        made_for_it = way == "with-machine" and self._made_for_it(piece_id)
        told = "sale-made-for-it" if made_for_it else f"sale-{way}"
        reason = because(told, kind=Term("kind", piece.kind or ""), amount=money)
        return Selling(piece_id, piece.kind or "", piece.qty, way, money, reason)

    def _never(self) -> Iterator[tuple[str, Reason]]:
        for piece in self.reckoning.visit.pieces:
            if piece.unsafe:
                kind = Term("kind", piece.kind or "")
                yield piece.id, because("sale-unsafe", kind=kind, danger=piece.unsafe)

    def _reasons(self, shown: bool, short: int) -> Iterator[Reason]:
        if self.bare is None:
            yield because("sale-no-bare-price")
        elif self.shows:
            lost = Money(self.penalty, self.preferences.currency)
            yield because("sale-shown" if shown else "sale-not-shown", amount=lost)
        if short > 0:
            yield because("sale-hours-short", count=short)


def _bare_price(reckoning: Reckoning, catalogue: Catalogue) -> Money | None:
    """Return what the machine fetches without tooling, its findings taken off."""
    machine, preferences = reckoning.machine, reckoning.preferences
    if machine.bare_price is None:
        return None
    judged = judge_findings(machine, reckoning.visit.findings, catalogue, preferences)
    typical = machine.bare_price.typical
    return judged.left_of(to_user_money(typical, catalogue.shares.currency, preferences))
