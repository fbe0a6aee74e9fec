"""What it costs to make a piece fit: the adapters still to buy, and the hours they take."""

from __future__ import annotations

from kitreckon.catalogue.model import PriceTable
from kitreckon.count import Piece
from kitreckon.fitting.model import Adapter, Fit
from kitreckon.quantities import known_mm
from kitreckon.reckoning.figures import ZERO, Triple, added
from kitreckon.reckoning.ground import Ground


def adapter_costs(
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


def wants_beside(piece: Piece, fit: Fit | None, table: PriceTable | None, ground: Ground) -> bool:
    """Whether a bought one would need another thing beside it, not counted as a line of its own.

    What goes into a socket by its own shank needs no backplate.
    """
    if table is None or not table.bought_with or counted_beside(fit):
        return False
    other = ground.catalogue.kinds.get(table.bought_with)
    by_shank = (piece.mount or "") in ground.catalogue.standards.cones
    return not (by_shank and other is not None and other.serves_as == "backplate")


def counted_beside(fit: Fit | None) -> bool:
    """Whether its backplate or arbor is here and counted, or owned, as a line of its own."""
    adapters = fit.adapters if fit is not None and not fit.own else ()
    return bool(adapters) and all(adapter.already_here for adapter in adapters)


def buys(fit: Fit | None) -> frozenset[str]:
    """Return the kinds of the adapters that a piece needs and that are still to buy."""
    return frozenset(adapter.kind for adapter in _to_buy(fit))


def _to_buy(fit: Fit | None) -> tuple[Adapter, ...]:
    return tuple(a for a in (fit.adapters if fit is not None else ()) if not a.already_here)
