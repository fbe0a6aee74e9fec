"""The chain in one place: fit, cover, value, what is missing, offer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Machine, OwnPrice, Piece, Preferences, Purchase, Visit
from kitreckon.fitting import fit_all
from kitreckon.fitting.bench import carriers
from kitreckon.fitting.model import Fit
from kitreckon.quantities import Money
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.cover import Covered, cover
from kitreckon.reckoning.findings import told_by_facts
from kitreckon.reckoning.ground import Ground
from kitreckon.reckoning.line import Line
from kitreckon.reckoning.lines import line_of
from kitreckon.reckoning.matching import Worths
from kitreckon.reckoning.model import Adds, Bundle, Offer, Reckoning, Value
from kitreckon.reckoning.offer import offer
from kitreckon.reckoning.prices import Prices
from kitreckon.reckoning.selling import sale_costs
from kitreckon.reckoning.slots import Slot, slots_of, usual_sizes, wanted_kinds
from kitreckon.reckoning.sums import factor_correlation
from kitreckon.reckoning.to_run import to_run
from kitreckon.reckoning.value import Known, gaps, not_looked, value_all

# facts of a machine that decide nothing about what fits it, blank
UNWRITTEN: dict[str, Any] = {
    "name": "", "asking": None, "bare_price": None, "parts_value": None, "extra_costs": (),
    "status": "for-sale", "serial_number": "", "seller": "", "place": "", "note": "",
}  # fmt: skip


@dataclass(slots=True)
class Workings:
    """What a reckoning was worked out from, kept so that the next one need not begin anew."""

    ground: Ground
    slots: tuple[Slot, ...]
    lines: dict[str, Line] = field(default_factory=dict)
    worths: Worths = field(default_factory=dict)
    values: dict[str, Known] = field(default_factory=dict)
    shelf: tuple[Line, ...] = ()
    if_there: dict[tuple[str, int], Money] = field(default_factory=dict)

    def serves(self, machine: Machine, catalogue: Catalogue) -> bool:
        """Whether it holds for a machine that differs at most in what is asked or written."""
        before, now = self.ground.machine, replace(machine, **UNWRITTEN)
        return catalogue is self.ground.catalogue and replace(before, **UNWRITTEN) == now

    def on(self, machine: Machine) -> Workings:
        """Return the same for a machine with other things asked or written of it."""
        if machine == self.ground.machine:
            return self
        return replace(self, ground=replace(self.ground, machine=machine))

    def holding(self, lines: Sequence[Line]) -> Workings:
        """Return the same with the lines of another visit."""
        return replace(
            self,
            lines={line.piece.id: line for line in lines},
            worths=dict(self.worths),
            values=dict(self.values),
        )

    def keep(self, later: object) -> None:
        """Take over the lines of a later reckoning: the next visit is mostly the same."""
        if isinstance(later, Workings):
            self.lines, self.worths, self.values = later.lines, later.worths, later.values


def reckon(
    machine: Machine,
    visit: Visit,
    catalogue: Catalogue,
    preferences: Preferences,
    shelf: Sequence[Piece] = (),
    own_prices: Sequence[OwnPrice] = (),
    purchases: Sequence[Purchase] = (),
    others: Sequence[Reckoning] = (),
) -> Reckoning:
    """Fit, cover, value and offer for one visit. Pure; every result carries its reasons.

    ``shelf`` is what the user owns, ``others`` the reckonings of the other machines in the book.
    Raises KitreckonError for a price, rate or setting that cannot be used.
    """
    owned = tuple(shelf), tuple(own_prices), tuple(purchases)
    rivals = tuple(replace(other, others=()) if other.others else other for other in others)
    kept = _kept(replace(machine, **UNWRITTEN), catalogue, preferences, *owned)
    made = _reckon(visit, kept.on(machine), *owned, rivals)
    kept.keep(made.workings)
    return made


def again(
    reckoning: Reckoning,
    catalogue: Catalogue,
    *,
    visit: Visit | None = None,
    machine: Machine | None = None,
    fits: Mapping[str, Fit] | None = None,
) -> Reckoning:
    """Reckon anew with another visit or machine, or with fits that were found out meanwhile.

    ``fits`` is laid over the fits worked out, by piece id. Prices and unchanged lines are reused.
    """
    owned = reckoning.shelf, reckoning.own_prices, reckoning.purchases
    now = machine or reckoning.machine
    workings = reckoning.workings
    if not isinstance(workings, Workings) or not workings.serves(now, catalogue):
        workings = _kept(replace(now, **UNWRITTEN), catalogue, reckoning.preferences, *owned)
    given = visit or reckoning.visit, workings.on(now), *owned, reckoning.others
    return _reckon(*given, fits=fits or {})


@lru_cache(maxsize=8)
def _prices(
    catalogue: Catalogue,
    preferences: Preferences,
    own_prices: tuple[OwnPrice, ...],
    purchases: tuple[Purchase, ...],
) -> Prices:
    """Keep the prices of the last few settings: they are the same for every visit."""
    return Prices(catalogue, preferences, own_prices, purchases)


@lru_cache(maxsize=8)
def _kept(
    machine: Machine,
    catalogue: Catalogue,
    preferences: Preferences,
    shelf: tuple[Piece, ...],
    own_prices: tuple[OwnPrice, ...],
    purchases: tuple[Purchase, ...],
) -> Workings:
    """Keep what the last few machines were worked out from; no result hangs on it."""
    prices = _prices(catalogue, preferences, own_prices, purchases)
    outfit = catalogue.outfits.get(machine.machine_class)
    slots = slots_of(outfit, machine, catalogue.judgement.size_near, preferences)
    ground = Ground(
        machine=machine,
        catalogue=catalogue,
        preferences=preferences,
        prices=prices,
        sale=sale_costs(catalogue, preferences),
        usual_mm=usual_sizes(slots, catalogue.kinds),
        wanted=wanted_kinds(slots),
    )
    fits = _fitted(shelf, (), ground)
    owned = tuple(line_of(piece, fits.get(piece.id), ground) for piece in shelf)
    return Workings(ground, slots, shelf=owned)


def _reckon(
    visit: Visit,
    workings: Workings,
    shelf: tuple[Piece, ...],
    own_prices: tuple[OwnPrice, ...],
    purchases: tuple[Purchase, ...],
    others: tuple[Reckoning, ...],
    fits: Mapping[str, Fit] | None = None,
) -> Reckoning:
    ground = workings.ground
    fitted = {**fits_of(visit, shelf, ground), **(fits or {})}
    counted = _Counted(visit, purchases, workings.holding(_lines(visit.pieces, fitted, workings)))
    settled = counted.settled(others)
    return Reckoning(
        machine=ground.machine,
        visit=visit,
        preferences=ground.preferences,
        fits=fitted,
        cover=settled.covered.cover,
        values=settled.values,
        gaps=gaps(settled.covered, ground),
        not_looked=not_looked(settled.covered, ground, workings.if_there),
        bundle=_bundle(settled.taken, settled.adds, ground),
        offer=settled.offer,
        shelf=shelf,
        own_prices=own_prices,
        purchases=purchases,
        others=others,
        workings=counted.workings,
    )


@dataclass(frozen=True, slots=True)
class _Settled:
    """The offer, with the cover and the values once it is known what is left with the seller."""

    covered: Covered
    values: Mapping[str, Value]  # of all lines
    taken: Mapping[str, Value]  # of those that are part of the deal
    offer: Offer
    adds: Adds


@dataclass(frozen=True, slots=True)
class _Counted:
    """A visit with its lines, ready to be covered and valued with some pieces left out."""

    visit: Visit
    purchases: tuple[Purchase, ...]
    workings: Workings

    def settled(self, others: Sequence[Reckoning]) -> _Settled:
        """Return cover, values and offer; what is left with the seller covers nothing."""
        covered, values = self.without(frozenset())
        ground = self.workings.ground
        made, adds = offer(
            ground.machine,
            self.visit,
            values,
            ground.catalogue,
            ground.preferences,
            others,
            lambda kept: self.without(kept)[1],
            to_run(self.visit.findings, ground),
        )
        noted = told_by_facts(
            ground.machine, self.visit.findings, ground.catalogue, ground.preferences
        )
        noted += _not_priced(self.visit, values)
        made = replace(made, reasons=(*made.reasons, *noted))
        if not made.let_him_keep:
            return _Settled(covered, values, values, made, adds)
        covered, taken = self.without(frozenset(made.let_him_keep))
        return _Settled(covered, {**values, **taken}, taken, made, adds)

    def without(self, kept: frozenset[str]) -> tuple[Covered, dict[str, Value]]:
        """Return the cover and the values when the seller keeps some pieces."""
        known = self.workings
        lines = [line for piece, line in known.lines.items() if piece not in kept]
        wanted, owned = known.slots, known.shelf
        covered = cover(
            wanted, self.visit, lines, owned, self.purchases, known.ground, known.worths
        )
        return covered, value_all(lines, covered, known.ground, known.values)


def _not_priced(visit: Visit, values: Mapping[str, Value]) -> tuple[Reason, ...]:
    """Name what is here and counts as nothing, since no price of it is known."""
    lines = [piece for piece in visit.pieces if not (piece.his or piece.unsafe)]
    kinds = dict.fromkeys(piece.kind for piece in lines if not values[piece.id].priced)
    things = tuple(Term("kind", kind) for kind in kinds if kind)
    return (because("offer-not-priced", things=things),) if things else ()


def fits_of(visit: Visit, shelf: Sequence[Piece], ground: Ground) -> dict[str, Fit]:
    """Fits of all pieces.

    What the seller keeps, what is unsafe and what is not worth putting right is no adapter for
    others.
    """
    owned = [piece for piece in shelf if _worth_hanging_on(piece, None, ground)]
    return _fitted(visit.pieces, owned, ground)


def _fitted(pieces: Sequence[Piece], owned: Sequence[Piece], ground: Ground) -> dict[str, Fit]:
    out = {piece.id for piece in pieces if piece.his or piece.unsafe}
    fits = _tried(pieces, owned, out, ground)
    hopeless = {
        piece.id
        for piece in pieces
        if piece.id not in out and not _worth_hanging_on(piece, fits[piece.id], ground)
    }
    return _tried(pieces, owned, out | hopeless, ground) if hopeless else fits


def _tried(
    pieces: Sequence[Piece], owned: Sequence[Piece], out: Set[str], ground: Ground
) -> dict[str, Fit]:
    """Fits of all pieces; those that are ``out`` are no adapters."""
    sound = [piece for piece in pieces if piece.id not in out]
    fits = fit_all(sound, ground.machine, ground.catalogue, owned)
    if out:
        rest = [piece for piece in pieces if piece.id in out]
        fits |= fit_all(rest, ground.machine, ground.catalogue, (*sound, *owned))
    return {piece.id: fits[piece.id] for piece in pieces}


def _worth_hanging_on(piece: Piece, fit: Fit | None, ground: Ground) -> bool:
    """Whether what carries others may do so: if it has to be put right, only where that pays."""
    if not piece.repair or not carriers((piece,), ground.catalogue.kinds):
        return True
    return piece.kind in ground.wanted and line_of(piece, fit, ground).blocked is None


def _lines(
    pieces: Sequence[Piece], fits: Mapping[str, Fit], workings: Workings
) -> tuple[Line, ...]:
    """Lines of the pieces; one whose piece and fit are as before is not worked out again."""
    lines = []
    for piece in pieces:
        known = workings.lines.get(piece.id)
        if known is not None and known.piece == piece and known.fit == fits[piece.id]:
            lines.append(known)
        else:
            lines.append(line_of(piece, fits[piece.id], workings.ground))
    return tuple(lines)


def _bundle(values: Mapping[str, Value], adds: Adds, ground: Ground) -> Bundle:
    rho, currency = ground.preferences.rank_correlation, ground.prices.currency
    factor_correlation(rho)  # one that cannot be is said now, not when a band is asked for
    return Bundle(tuple(value.spreads for value in values.values()), rho, currency, adds)


def forget() -> None:
    """Forget what was kept from earlier reckonings, so that the next begins from nothing."""
    _kept.cache_clear()
    _prices.cache_clear()
