"""What the adapters of one piece cost, as the reckoning priced them."""

from __future__ import annotations

from kitreckon.quantities import Money
from kitreckon.reckoning.chain import Workings
from kitreckon.reckoning.model import Reckoning


def adapter_cost(reckoning: Reckoning, piece_id: str) -> Money:
    """Return the typical cost of the adapters a piece still needs, each of them once.

    Nothing where it needs none, where what it needs is here already, or where the piece is not
    part of the reckoning. An adapter that serves several tools in turns is named with each.
    """
    currency = reckoning.preferences.currency
    workings = reckoning.workings
    line = workings.lines.get(piece_id) if isinstance(workings, Workings) else None
    if line is None:
        return Money.zero(currency)
    typical = sum(cost[1] for cost in dict(line.adapters).values())
    return Money.rounded(typical, currency)
