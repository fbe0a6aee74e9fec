"""Counted lines made from pieces: how many units, in what state, and what they would fetch."""

from __future__ import annotations

from dataclasses import replace

from kitreckon.catalogue.model import Catalogue, Kind, PriceTable
from kitreckon.count import Condition, Piece
from kitreckon.errors import KitreckonError
from kitreckon.fitting.model import Fit
from kitreckon.quantities import Money, known_mm
from kitreckon.quantities.money import round_half_up
from kitreckon.reasons import Nominal, Reason, Term, because
from kitreckon.reckoning.adapter_prices import adapter_costs, wants_beside
from kitreckon.reckoning.condition import FOR_PARTS, WORN, Grades, grades, share
from kitreckon.reckoning.figures import ZERO, Triple, added, highest, scaled
from kitreckon.reckoning.ground import Ground
from kitreckon.reckoning.in_use import repair_pays
from kitreckon.reckoning.line import Line, is_meant
from kitreckon.reckoning.pert import mean_of
from kitreckon.reckoning.prices import Priced, bare
from kitreckon.reckoning.sizes import price_size_mm
from kitreckon.reckoning.units import set_share, units_of
from kitreckon.reckoning.weight import weight_kg

_NO_KIND = Kind("", "", ("",), ("",))


def line_of(piece: Piece, fit: Fit | None, ground: Ground) -> Line:
    """Return a counted line with what it would fetch; it is not yet set against any want.

    One whose repair pays on no want of this machine covers nothing. Raises KitreckonError for a
    repair below nothing, or in a currency without a rate.
    """
    repair = _repair(piece, ground)
    line = _line(piece, fit, repair, ground)
    if repair and line.blocked is None and not _worth_mending(line, ground):
        kind, cost = Term("kind", line.kind.id), Money(repair, ground.prices.currency)
        return replace(line, blocked=because("cover-repair-costs-more", kind=kind, repair=cost))
    return line


def _line(piece: Piece, fit: Fit | None, repair: int, ground: Ground) -> Line:
    kind = ground.catalogue.kinds.get(piece.kind or "", _NO_KIND)
    table = ground.prices.table(piece.kind or "")
    state = grades(piece, kind, ground.catalogue)
    units, per_unit = units_of(piece, table)
    known = price_size_mm(table, piece, ground.machine)
    size = known if known is not None else ground.usual_mm.get(kind.id)
    priced = ground.prices.of(kind.id, size, "used") if kind.id else None
    used = _used(priced, table, size, per_unit * state.complete, ground)
    weight = weight_kg(kind, size, table, ground.catalogue.judgement)
    part, singles = _part_out(used, units, repair, state, kind, weight, ground)
    untried = fit is not None and fit.verdict == "unknown"
    chance = fit_chance(kind, ground.catalogue, fit) if untried else 1.0
    whole = set_share(piece, table) >= ground.catalogue.judgement.set_least
    blocked = _blocked(piece, fit, state, whole)
    return Line(
        piece=piece,
        fit=fit,
        kind=kind,
        table=table,
        grades=state,
        units=units,
        per_unit=per_unit,
        fit_chance=chance,
        size_mm=size,
        own_mm=known_mm(piece.size),
        used=used,
        singles=singles,
        part=part,
        part_mean=round_half_up(sum(w * mean_of(*t) for w, _, t in part)),
        adapters=adapter_costs(fit, table, ground),
        beside=ground.prices.beside(kind.id, size)
        if wants_beside(piece, fit, table, ground)
        else ZERO,
        repair=repair,
        blocked=blocked,
        reasons=(
            *_price_reasons(piece, table, known, size, priced, ground),
            *state.reasons,
            *_repair_reasons(piece, repair, ground),
        ),
    )


def _repair(piece: Piece, ground: Ground) -> int:
    """Return what the user says it costs to put the whole line right, in minor units."""
    if piece.repair is None:
        return 0
    if piece.repair.minor < 0:
        raise KitreckonError(
            f"{piece.repair} is below nothing",
            where=f"repair of {piece.text or piece.kind or piece.id}",
            want="an amount of 0 or more",
        )
    return ground.own(piece.repair)


def _worth_mending(line: Line, ground: Ground) -> bool:
    """Whether putting a line right pays for some want of this machine.

    True for what is wanted nowhere: it is sold as it is, and no repair is at issue.
    """
    wanted = [
        (want, window)
        for want, window in ground.wanted.get(line.kind.id, ())
        if is_meant(line, want) and ground.grade(window, line.own_mm) > 0.0
    ]
    return not wanted or any(repair_pays(line, *pair, ground) for pair in wanted)


def _repair_reasons(piece: Piece, repair: int, ground: Ground) -> tuple[Reason, ...]:
    if not repair:
        return ()
    cost = Money(repair, ground.prices.currency)
    if piece.repair_of:
        return (because("value-repair-of", repair=cost, what=piece.repair_of),)
    return (because("value-repair", repair=cost),)


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
    repair: int,
    state: Grades,
    kind: Kind,
    weight: float | None,
    ground: Ground,
) -> tuple[tuple[tuple[float, Condition, Triple], ...], float]:
    """Return what a unit nets by grade, the line sold as one lot; and the gross of the lot."""
    if used is None or units == 0:
        return tuple((chance, grade, ZERO) for grade, chance in state.chances), 0.0
    rows, gross = [], 0.0
    for grade, chance in state.chances:
        lot = _as_it_is(scaled(used, units), grade, repair, kind, ground)
        gross += chance * mean_of(*lot)
        low, typical, high = (ground.sale.net(p, weight, units) / units for p in lot)
        rows.append((chance, grade, (low, typical, high)))
    return tuple(rows), gross


def _as_it_is(good: Triple, grade: Condition, repair: int, kind: Kind, ground: Ground) -> Triple:
    """Return what a lot fetches: whoever buys it takes off the repair, down to its parts' value."""
    shares, group = ground.catalogue.shares.resale, kind.price_group
    resale = share(shares, group, grade)
    lot = scaled(good, resale)
    if not repair:
        return lot
    for_parts = scaled(good, min(resale, share(shares, group, FOR_PARTS)))
    return highest(added(lot, (repair, repair, repair), -1.0), for_parts)


def fit_chance(kind: Kind, catalogue: Catalogue, fit: Fit | None = None) -> float:
    """Return the chance that a piece of this kind fits while nobody tried it: judgement.

    Where its fit knows more than its kind (a thread that agrees), that chance holds.
    """
    if fit is not None and fit.chance is not None:
        return fit.chance
    chances = catalogue.shares.fit_chance
    known = [chances[seat] for seat in kind.seats if seat in chances]
    return max(known) if known else chances.get("", catalogue.judgement.fit_untried)


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
    return (*priced.reasons, because("price-usual-size", kind=kind, size=Nominal(size)))
