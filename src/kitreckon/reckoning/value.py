"""What each counted line is worth: to replace, to this buyer, sold singly; and what is missing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import NEW_SUPPLIES, Want
from kitreckon.count import Piece, Preferences
from kitreckon.quantities import Length, Money
from kitreckon.quantities.money import round_half_up
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.cover import Covered
from kitreckon.reckoning.figures import ZERO, added, range_of, scaled
from kitreckon.reckoning.ground import Ground
from kitreckon.reckoning.in_use import in_use
from kitreckon.reckoning.line import Line, UnitWorth
from kitreckon.reckoning.lines import line_of
from kitreckon.reckoning.model import NOTHING, Gap, NotLooked, Spreads, Value
from kitreckon.reckoning.prices import Fitted, bare
from kitreckon.reckoning.sizes import Window, size_wanted_mm, window_size_mm
from kitreckon.reckoning.slots import Slot
from kitreckon.reckoning.spread import Part, Spread

# a line, its covering units, why it has none, and the value that followed
Known = tuple[Line, tuple[UnitWorth, ...], Reason | None, Value]


def value_all(
    lines: Sequence[Line], covered: Covered, ground: Ground, known: dict[str, Known] | None = None
) -> dict[str, Value]:
    """Return the value of every line by its piece's id; ``known`` keeps them for the next time."""
    kept = {} if known is None else known
    values = {}
    for line in lines:
        units = covered.units.get(line.piece.id, ())
        last = kept.get(line.piece.id)
        why = covered.idle.get(line.piece.id)
        if last is None or last[0] is not line or last[1:3] != (units, why):
            last = line, units, why, value_of(line, units, ground, why)
            kept[line.piece.id] = last
        values[line.piece.id] = last[3]
    return values


def value_of(
    line: Line, units: Sequence[UnitWorth], ground: Ground, why_idle: Reason | None = None
) -> Value:
    """Return what a whole line is worth, given what each covering unit is worth.

    Unsafe comes before everything: all three values are nothing. What the seller keeps is no
    part of the deal; its replacement is still shown.
    """
    if line.piece.unsafe:
        danger = because("value-unsafe", danger=line.piece.unsafe)
        no_repair = (because("value-unsafe-repair"),) if line.repair else ()
        return _value(line, Spreads(), 0, 0, 0, (danger, *no_repair), ground)
    replacement, bought = _replacement(line, ground)
    if line.piece.his:
        spreads = Spreads(replacement=replacement)
        return _value(line, spreads, 0, 0, 0, (*bought, because("value-his")), ground)
    surplus = line.units - len(units)
    spreads = Spreads(replacement, _worth(line, units, surplus), _part_out(line))
    worth = sum(unit.mean for unit in units) + surplus * line.part_mean
    reasons = (*line.reasons, *bought, *_standing(line, units, surplus, why_idle))
    return _value(
        line,
        spreads,
        worth,
        line.units * line.part_mean,
        _floor(line, ground),
        reasons,
        ground,
        surplus=not units,
    )


def _value(
    line: Line,
    spreads: Spreads,
    worth: int,
    part_out: int,
    floor: int,
    reasons: tuple[Reason, ...],
    ground: Ground,
    surplus: bool = False,
) -> Value:
    currency = ground.prices.currency
    return Value(
        line.piece.id,
        Money.rounded(spreads.replacement.mean, currency),
        Money(worth, currency),
        Money(part_out, currency),
        Money(floor, currency),
        unsafe=bool(line.piece.unsafe),
        surplus=surplus,
        reasons=reasons,
        priced=line.used is not None,
        spreads=spreads,
    )


@dataclass(frozen=True, slots=True)
class Means:
    """The means of a line's value alone, as an offer needs them."""

    worth_mean: Money
    part_out_mean: Money
    floor: Money


def means_of(line: Line, units: Sequence[UnitWorth], ground: Ground) -> Means:
    """Return the means that value_of gives, without how they are spread."""
    currency = ground.prices.currency
    nothing = Money.zero(currency)
    if line.piece.unsafe or line.piece.his:
        return Means(nothing, nothing, nothing)
    worth = sum(unit.mean for unit in units) + (line.units - len(units)) * line.part_mean
    return Means(
        Money(worth, currency),
        Money(line.units * line.part_mean, currency),
        Money(_floor(line, ground), currency),
    )


def _standing(
    line: Line, units: Sequence[UnitWorth], surplus: int, why_idle: Reason | None
) -> tuple[Reason, ...]:
    if line.used is None:
        return ()
    if not units:
        return (line.blocked or why_idle or because("value-surplus"),)
    if surplus:
        return (because("value-part-surplus", count=surplus, of=line.units),)
    return ()


def lot_price(line: Line, preferences: Preferences) -> int:
    """Return what a line fetches in one lot with others: a share of its singles, at most all."""
    return round_half_up(line.singles * min(max(preferences.lot_share, 0.0), 1.0))


def _floor(line: Line, ground: Ground) -> int:
    """Return what the seller is taken to want: his word, else the lot share of the singles."""
    if line.piece.floor is not None:
        return ground.own(line.piece.floor)
    return lot_price(line, ground.preferences)


def _worth(line: Line, units: Sequence[UnitWorth], surplus: int) -> Spread:
    """Add up covering and surplus units of a line, which are of one grade and move together."""
    if not line.part:
        return NOTHING
    rows = [list(part) for part in _alone(line)]
    for row in rows:
        row[1:] = [figure * surplus for figure in row[1:]]
    for unit in units:
        for row, part in zip(rows, unit.parts, strict=True):
            for k in (1, 2, 3):
                row[k] += part[k]
    return Spread.mixture(tuple((w, low, typical, high) for w, low, typical, high in rows))


def _alone(line: Line) -> list[Part]:
    """Return one unit sold, in the same parts as one in use."""
    parts: list[Part] = []
    for chance, _, net in line.part:
        if line.fit_chance < 1.0:
            parts.append((chance * (1.0 - line.fit_chance), *net))
        parts.append((chance * line.fit_chance, *net))
    return parts


def _part_out(line: Line) -> Spread:
    return Spread.mixture(tuple((chance, *scaled(net, line.units)) for chance, _, net in line.part))


def _replacement(line: Line, ground: Ground) -> tuple[Spread, tuple[Reason, ...]]:
    if not line.kind.id:
        return NOTHING, ()
    fitted = ground.prices.new_fitted(line.kind.id, line.size_mm)
    if fitted is None:
        return NOTHING, ()
    figures, reasons = _without_loose(line.kind.id, line.size_mm, fitted, ground), fitted.reasons
    if line.beside == ZERO:
        reasons = tuple(reason for reason in reasons if reason.id != "price-with")
        figures = added(figures, ground.prices.beside(line.kind.id, line.size_mm), -1.0)
    figures = scaled(figures, line.per_unit * line.units)
    return Spread(((1.0, *figures),)), reasons


def _without_loose(
    kind: str, size_mm: float | None, fitted: Fitted, ground: Ground
) -> tuple[float, float, float]:
    """Return the replacement of a set whose loose parts are lines of their own."""
    table = ground.prices.table(kind)
    figures = fitted.low, fitted.typical, fitted.high
    priced = ground.prices.of(kind, size_mm, fitted.supply)
    for loose, count in table.holds if table is not None and priced is not None else ():
        assert priced is not None
        other = ground.prices.of(loose, size_mm, fitted.supply)
        less = bare(priced, other, count, ground.catalogue.judgement.set_bare_least)
        figures = scaled(figures, less[1] / priced.typical if priced.typical else 1.0)
    return figures


def gaps(covered: Covered, ground: Ground) -> tuple[Gap, ...]:
    """Return what is missing, with what it costs from the preferred supply, fitted.

    Loose parts that come with a missing set (holders with a tool post) are not paid twice.
    """
    free: dict[str, int] = {}
    for slots in covered.open_slots.values():
        table = ground.prices.table(slots[0].want.kind)
        for loose, count in table.holds if table is not None else ():
            free[loose] = free.get(loose, 0) + count * len(slots)
    found = []
    for want_id, slots in covered.open_slots.items():
        why = covered.cover.reasons.get(want_id, ())
        gap = _gap(slots, free.get(slots[0].want.kind, 0), why, ground)
        found.append(gap)
    return tuple(found)


def _gap(slots: Sequence[Slot], free: int, why: tuple[Reason, ...], ground: Ground) -> Gap:
    want, window = slots[0].want, slots[0].window
    costs = [_cheapest_kind(slot.want, slot.window, ground) for slot in slots[free:]]
    known = [fitted for fitted in costs if fitted is not None]
    low, typical, high = (
        sum(getattr(fitted, name) for fitted in known) for name in ("low", "typical", "high")
    )
    spread = Spread(((1.0, low, typical, high),))
    table = ground.prices.table(want.kind)
    shown = size_wanted_mm(table, window)
    if len(known) < len(costs):
        why = (*why, because("price-none", kind=Term("kind", want.kind)))
    with_set = (because("gap-comes-with-set", count=min(free, len(slots))),) if free else ()
    return Gap(
        want=want.id,
        kind=want.kind,
        tier=want.tier,
        qty=len(slots),
        size=Length.of_mm(shown) if shown is not None else None,
        mount=window.mount,
        cost=range_of(spread.bands(), ground.prices.currency),
        hard_to_get=_hard_to_get(want.kind, ground),
        reasons=(*why, *(known[0].reasons if known else ()), *with_set),
        priced=len(known) == len(costs),
        supply=known[0].supply if known else None,
        size_mm=window_size_mm(table, window, ground.machine),
        spread=spread,
    )


def _hard_to_get(kind_id: str, ground: Ground) -> bool:
    """Whether no shop has one: made for one machine, and hours to fit, or none sold new."""
    kind, table = ground.catalogue.kinds.get(kind_id), ground.prices.table(kind_id)
    if kind is None or not kind.machine_specific:
        return False
    if table is None or not any(point.supply in NEW_SUPPLIES for point in table.points):
        return True
    hours = table.fitting_hours[1] if table.fitting_hours is not None else 0.0
    return hours >= ground.catalogue.judgement.hard_to_get_hours


def _cheapest_kind(want: Want, window: Window, ground: Ground) -> Fitted | None:
    """Return the usual kind for a want from the preferred supply, else another that serves."""
    for kind in want.any_of:
        size = window_size_mm(ground.prices.table(kind), window, ground.machine)
        fitted = ground.prices.new_fitted(kind, size)
        if fitted is not None:
            return _without_wanted(want, kind, size, fitted, ground)
    return None


def _without_wanted(
    want: Want, kind: str, size: float | None, fitted: Fitted, ground: Ground
) -> Fitted:
    """Leave out what is bought beside a thing where that is a want of its own.

    A drill chuck needs its arbor, and the arbor is on the list by itself: paid once.
    """
    table = ground.prices.table(kind)
    outfit = ground.catalogue.outfits.get(ground.machine.machine_class)
    needed = [outfit.want(need) for need in want.needs] if outfit is not None else []
    if table is None or not any(other and table.bought_with in other.any_of for other in needed):
        return fitted
    figures = (fitted.low, fitted.typical, fitted.high)
    low, typical, high = added(figures, ground.prices.beside(kind, size), -1.0)
    reasons = tuple(reason for reason in fitted.reasons if reason.id != "price-with")
    return replace(fitted, low=low, typical=typical, high=high, reasons=reasons)


def not_looked(
    covered: Covered, ground: Ground, known: dict[tuple[str, int], Money]
) -> tuple[NotLooked, ...]:
    """Return the wants nobody looked at, and what each would add to the limit if it is there."""
    found = []
    for want_id, slots in covered.unseen_slots.items():
        want, key = slots[0].want, (want_id, len(slots))
        if key not in known:
            known[key] = Money(_if_there(slots, ground), ground.prices.currency)
        found.append(
            NotLooked(
                want_id,
                want.kind,
                want.tier,
                len(slots),
                want.chance_here,
                known[key],
                priced=all(_used_price_known(slot, ground) for slot in slots),
                lists=want.lists,
            )
        )
    return tuple(found)


def _used_price_known(slot: Slot, ground: Ground) -> bool:
    kind = slot.want.kind
    size = window_size_mm(ground.prices.table(kind), slot.window, ground.machine)
    return ground.prices.of(kind, size, "used") is not None


def _if_there(slots: Sequence[Slot], ground: Ground) -> int:
    """Return the mean worth of such pieces of usual size that fit and nobody judged."""
    total = 0
    for (want, window), count in Counter((slot.want, slot.window) for slot in slots).items():
        size = Length.of_mm(window.typical_mm) if window.typical_mm is not None else None
        table = ground.prices.table(want.kind)
        lot = count if table is None or table.per_piece else 1
        piece = Piece("", want.kind, qty=lot, size=size, mount=window.mount)
        line = line_of(piece, None, ground)
        total += count * in_use(line, want, window, ground).mean
    return total
