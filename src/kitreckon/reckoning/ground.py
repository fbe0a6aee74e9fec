"""What stays the same while a visit changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from kitreckon.catalogue.model import Catalogue, Want
from kitreckon.count import Machine, Preferences
from kitreckon.quantities import Money
from kitreckon.reckoning.exchange import to_user_money
from kitreckon.reckoning.prices import Prices
from kitreckon.reckoning.selling import Sale
from kitreckon.reckoning.sizes import Window


@dataclass(frozen=True, slots=True)
class Ground:
    """What stays the same while a visit changes: machine, catalogue, settings and prices."""

    machine: Machine
    catalogue: Catalogue
    preferences: Preferences
    prices: Prices
    sale: Sale
    usual_mm: Mapping[str, float]  # usual size on this machine of each wanted kind
    wanted: Mapping[str, tuple[tuple[Want, Window], ...]] = field(default_factory=dict)  # by kind

    def grade(self, window: Window, size_mm: float | None) -> float:
        """Return how well a size serves where a window is wanted, 0 to 1."""
        return window.grade(size_mm, self.catalogue.judgement.size_useless_at)

    def own(self, money: Money) -> int:
        """Return money in minor units of the user's; KitreckonError where no rate is known."""
        return to_user_money(money, self.catalogue.shares.currency, self.preferences).minor
