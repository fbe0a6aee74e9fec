"""One counted line by itself: what it would fetch, and what it would save on each want.

Figures are minor units of the user's money for one unit of the line, as three points for each
grade the line may have; a judged line has one grade.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from kitreckon.catalogue.model import Catalogue, Kind, PriceTable, Tier, Want
from kitreckon.count import Condition, Machine, Piece, Preferences
from kitreckon.errors import KitreckonError
from kitreckon.fitting.model import Adapter, Fit
from kitreckon.quantities import Length, known_mm, nominal_length
from kitreckon.quantities.length import Unit
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.condition import WORN, Grades, grades, share
from kitreckon.reckoning.figures import ZERO, Triple, added, scaled
from kitreckon.reckoning.pert import mean_of
from kitreckon.reckoning.prices import Priced, Prices, bare
from kitreckon.reckoning.selling import Sale
from kitreckon.reckoning.sizes import Window, price_size_mm, window_size_mm

_NO_KIND = Kind("", "", ("",), ("",))
_FIT_CHANCE = 0.5  # of an untried piece, where the catalogue says nothing


@dataclass(frozen=True, slots=True)
class Ground:
    """What stays the same while a visit changes: machine, catalogue, settings and prices."""

    machine: Machine
    catalogue: Catalogue
    preferences: Preferences
    prices: Prices
    sale: Sale
    usual_mm: Mapping[str, float]  # usual size on this machine of each wanted kind

    def grade(self, window: Window, size_mm: float | None) -> float:
        """Return how well a size serves where a window is wanted, 0 to 1."""
        return window.grade(size_mm, self.catalogue.judgement.size_useless_at)


@dataclass(frozen=True, slots=True)
class Line:
    """A counted line as it stands by itself.

    units: how many wanted units it could cover. part: for each grade its chance, the grade and
    the part-out net of one unit. blocked: why it covers nothing, None when it may.
    """

    piece: Piece
    fit: Fit | None
    kind: Kind
    table: PriceTable | None
    grades: Grades
    units: int
    per_unit: float  # price of one unit as sold, times this
    fit_chance: float
    size_mm: float | None  # as priced; the usual one where it is not known
    own_mm: float | None  # of the piece itself, None when not known
    used: Triple | None  # good condition, one unit of the line
    singles: float  # mean gross price of the whole line, sold singly
    part: tuple[tuple[float, Condition, Triple], ...]
    part_mean: int
    adapters: tuple[tuple[str, Triple], ...]  # to buy for the line: its units take turns
    beside: Triple  # what a bought one would need besides; none where that is counted by itself
    blocked: Reason | None
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class UnitWorth:
    """What one unit is worth on one want: a mixture of three points, and its mean."""

    parts: tuple[tuple[float, float, float, float], ...]
    mean: int

    def less(self, amount: int) -> UnitWorth:
        """Return the worth less a certain cost."""
        return UnitWorth(
            tuple((w, *added((a, m, b), (amount,) * 3, -1.0)) for w, a, m, b in self.parts),
            self.mean - amount,
        )


def line_of(piece: Piece, fit: Fit | None, ground: Ground) -> Line:
    """Return a counted line with what it would fetch; it is not yet set against any want."""
    kind = ground.catalogue.kinds.get(piece.kind or "", _NO_KIND)
    table = ground.prices.table(piece.kind or "")
    state = grades(piece, kind, ground.catalogue)
    units, per_unit = _units(piece, table)
    known = price_size_mm(table, piece, ground.machine)
    size = known if known is not None else ground.usual_mm.get(kind.id)
    priced = ground.prices.of(kind.id, size, "used") if kind.id else None
    used = _used(priced, table, size, per_unit * state.complete, ground)
    part, singles = _part_out(used, units, state, kind, size, table, ground)
    untried = fit is not None and fit.verdict == "unknown"
    chance = fit_chance(kind, ground.catalogue, fit) if untried else 1.0
    whole = _set_share(piece, table) >= ground.catalogue.judgement.set_least
    blocked = _blocked(piece, fit, state, whole)
    return Line(
        piece,
        fit,
        kind,
        table,
        state,
        units,
        per_unit,
        chance,
        size,
        known_mm(piece.size),
        used,
        singles,
        part,
        int(sum(w * mean_of(*t) for w, _, t in part)),
        _adapter_costs(fit, table, ground),
        ZERO if counted_beside(fit) else ground.prices.beside(kind.id, size),
        blocked,
        (*_price_reasons(piece, table, known, size, priced, ground), *state.reasons),
    )


def _units(piece: Piece, table: PriceTable | None) -> tuple[int, float]:
    """How many wanted units a line counts as, and what share of a sold unit each is.

    31 loose collets are parts of sets, never 31 sets. One thing with no number said, or "a set
    of 1", is the whole set.
    """
    count = max(piece.qty, 0)
    if table is None or table.per_piece:
        each = piece.set_of if piece.set_of and (table is None or not table.holds) else 1
        return count * each, 1.0 / (table.unit_count if table is not None else 1)
    if piece.set_of and piece.set_of > 1:
        return count, piece.set_of / max(table.unit_count, 1)
    if count <= 1:
        return count, 1.0
    return 1, count / max(table.unit_count, 1)


def _set_share(piece: Piece, table: PriceTable | None) -> float:
    if piece.set_of and piece.set_has is not None:
        return min(piece.set_has / piece.set_of, 1.0)
    if table is None or table.per_piece or piece.set_of or piece.qty <= 1:
        return 1.0
    return min(piece.qty / max(table.unit_count, 1), 1.0)


def _used(
    priced: Priced | None,
    table: PriceTable | None,
    size: float | None,
    scale: float,
    ground: Ground,
) -> Triple | None:
    if priced is None or table is None:
        return None
    figures = (priced.low, priced.typical, priced.high)
    for kind, count in table.holds:
        loose = ground.prices.of(kind, size, "used")
        figures = bare(priced, loose, count, ground.catalogue.judgement.set_bare_least)
    return scaled(figures, scale)


def _part_out(
    used: Triple | None,
    units: int,
    state: Grades,
    kind: Kind,
    size: float | None,
    table: PriceTable | None,
    ground: Ground,
) -> tuple[tuple[tuple[float, Condition, Triple], ...], float]:
    """Return what a unit nets by grade, the line sold as one lot; and the gross of the lot."""
    if used is None or units == 0:
        return tuple((chance, grade, ZERO) for grade, chance in state.chances), 0.0
    weight = _weight_kg(kind, size, table)
    rows, gross = [], 0.0
    for grade, chance in state.chances:
        price = share(ground.catalogue.shares.resale, kind.price_group, grade) * units
        lot = scaled(used, price)
        gross += chance * mean_of(*lot)
        low, typical, high = (ground.sale.net(p, weight, units) / units for p in lot)
        rows.append((chance, grade, (low, typical, high)))
    return tuple(rows), gross


def _weight_kg(kind: Kind, size: float | None, table: PriceTable | None) -> float | None:
    """Weight of one, which grows about as size to the power 2.5."""
    if kind.weight_kg is None or table is None or not size or not table.size_mm or table.size_of:
        return kind.weight_kg
    return kind.weight_kg * math.pow(size / table.size_mm, 2.5)


def fit_chance(kind: Kind, catalogue: Catalogue, fit: Fit | None = None) -> float:
    """Return the chance that a piece of this kind fits while nobody tried it: judgement.

    Where its fit knows more than its kind (a thread that agrees), that chance holds.
    """
    if fit is not None and fit.chance is not None:
        return fit.chance
    chances = catalogue.shares.fit_chance
    known = [chances[seat] for seat in kind.seats if seat in chances]
    return max(known) if known else chances.get("", _FIT_CHANCE)


def _blocked(piece: Piece, fit: Fit | None, state: Grades, whole: bool) -> Reason | None:
    """Why a line covers nothing, the danger before everything."""
    kind = Term("kind", piece.kind or "")
    if piece.unsafe:
        return because("cover-unsafe", kind=kind, danger=piece.unsafe)
    if piece.his:
        return because("cover-his", kind=kind)
    if fit is not None and fit.verdict == "misfit":
        return because("cover-misfit", kind=kind)
    if not state.works:
        return because("cover-does-not-work", kind=kind)
    if all(grade in WORN for grade, _ in state.chances):
        return because("cover-worn-out", kind=kind)
    if not whole:
        return because("cover-set-short", kind=kind)
    return None


def _adapter_costs(
    fit: Fit | None, table: PriceTable | None, ground: Ground
) -> tuple[tuple[str, Triple], ...]:
    """Return what each adapter still to buy costs, by an id that lines may have in common.

    The hours of turning a backplate's register are left out where a bought chuck would take them
    as well: they are no saving lost.
    """
    costs = []
    for adapter in _to_buy(fit):
        usual = table is not None and adapter.kind == table.bought_with
        costs.append((adapter.id, adapter_price(adapter, ground, with_hours=not usual)))
    return tuple(costs)


def adapter_price(adapter: Adapter, ground: Ground, *, with_hours: bool = True) -> Triple:
    """Return what one adapter costs delivered, with the hours of work it takes."""
    table = ground.prices.table(adapter.kind)
    sizes = dict(table.mount_sizes) if table is not None else {}
    size = sizes.get(adapter.mount) if sizes else known_mm(adapter.size)
    priced = ground.prices.cheapest_new(adapter.kind, size)
    if priced is None:
        priced = ground.prices.cheapest_new(adapter.kind, None)
    bought = ground.prices.delivered(priced) if priced is not None else ZERO
    work = adapter.hours * ground.prices.hourly() if with_hours else 0.0
    return added(bought, (work, work, work))


def counted_beside(fit: Fit | None) -> bool:
    """Whether its backplate or arbor is here and counted, or owned, as a line of its own."""
    adapters = fit.adapters if fit is not None else ()
    return bool(adapters) and all(adapter.already_here for adapter in adapters)


def buys(fit: Fit | None) -> frozenset[str]:
    """Return the kinds of the adapters that a piece needs and that are still to buy."""
    return frozenset(adapter.kind for adapter in _to_buy(fit))


def _to_buy(fit: Fit | None) -> tuple[Adapter, ...]:
    return tuple(a for a in (fit.adapters if fit is not None else ()) if not a.already_here)


def _price_reasons(
    piece: Piece,
    table: PriceTable | None,
    known: float | None,
    size: float | None,
    priced: Priced | None,
    ground: Ground,
) -> tuple[Reason, ...]:
    if piece.kind is None:
        return (because("price-kind-not-known"),)
    kind = Term("kind", piece.kind)
    if table is None:
        return (because("price-none", kind=kind),)
    if priced is None:
        return (because("price-size-refused", kind=kind),)
    sized = any(point.size_mm is not None for point in table.points)
    if known is not None or not sized:
        return priced.reasons
    if size is None:
        return (*priced.reasons, because("price-main-size", kind=kind))
    usual = _nominal(size, ground.preferences.units)
    return (*priced.reasons, because("price-usual-size", kind=kind, size=usual))


@lru_cache(maxsize=512)
def _nominal(mm: float, unit: Unit) -> Length:
    return nominal_length(Length.of_mm(mm), unit)


def chance_wanted(tier: Tier, preferences: Preferences) -> float:
    """Return the chance that this buyer would buy a thing of the tier anyway."""
    chances: Mapping[str, float] = {
        "essential": preferences.chance_essential,
        "usual": preferences.chance_usual,
        "handy": preferences.chance_handy,
    }
    chance = chances[tier]
    if not 0.0 <= chance <= 1.0:
        raise KitreckonError(
            f"{chance:g} is not a chance",
            where=f"chance of {tier} things",
            want="a number from 0 to 1",
        )
    return chance


def in_use(
    line: Line,
    want: Want,
    window: Window,
    ground: Ground,
    shared: frozenset[str] = frozenset(),
) -> UnitWorth:
    """Return what one unit of a line is worth on a want: in use, or sold, whichever is more.

    In use it saves what the buyer would pay for as much service: a used one of its state, or the
    cheapest new thing that serves the want, and what either would need besides to go on this
    machine, less the adapters this one needs. He would buy it only with the chance of its tier.
    The adapters ``shared`` are paid for elsewhere, once for all the lines that use them.
    """
    adapters = ZERO
    for name, cost in line.adapters:
        if name not in shared:
            adapters = added(adapters, cost)
    adapters = scaled(adapters, 1.0 / max(line.units, 1))
    wanted = chance_wanted(want.tier, ground.preferences) * ground.grade(window, line.own_mm)
    new = _cheapest_adequate(want, window, ground)
    parts: list[tuple[float, float, float, float]] = []
    for chance, grade, net in line.part:
        saved = _saved(line, grade, new, ground)
        use = scaled(added(saved, adapters, -1.0), wanted)
        best = added((max(use[0], net[0]), max(use[1], net[1]), max(use[2], net[2])), ZERO)
        if line.fit_chance < 1.0:
            parts.append((chance * (1.0 - line.fit_chance), *net))
        parts.append((chance * line.fit_chance, *best))
    mean = sum(w * mean_of(low, typical, high) for w, low, typical, high in parts)
    return UnitWorth(tuple(parts), max(int(mean), line.part_mean))


def _saved(line: Line, grade: Condition, new: Triple | None, ground: Ground) -> Triple:
    if line.used is None or grade in WORN:
        return ZERO
    service = share(ground.catalogue.shares.service, line.kind.price_group, grade)
    body = scaled(line.used, service)
    if new is not None:
        body = min(body[0], new[0]), min(body[1], new[1]), min(body[2], new[2])
    return added(body, line.beside)


def _cheapest_adequate(want: Want, window: Window, ground: Ground) -> Triple | None:
    """Return the cheapest new thing that serves the want, delivered and fitted."""
    things = tuple(
        (kind, window_size_mm(ground.prices.table(kind), window, ground.machine))
        for kind in want.any_of
    )
    return ground.prices.cheapest_of(things)
