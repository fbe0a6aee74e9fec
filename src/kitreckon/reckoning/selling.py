"""What is left of a price when a piece is sold singly."""

from __future__ import annotations

from dataclasses import dataclass

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reckoning.today import hourly_rate, of_catalogue, own_setting


def commission_on(price: float, postage: float, share: float, cap: float | None = None) -> float:
    """Commission, taken on the total the buyer pays, postage included, up to its cap.

    Published: 10 % of 400 is 40; of 7,800 with 30 postage 783, capped at 750.

    >>> commission_on(400.0, 0.0, 0.10), commission_on(7_800.0, 30.0, 0.10, 750.0)
    (40.0, 750.0)
    """
    fee = share * (price + postage)
    return fee if cap is None else min(fee, cap)


@dataclass(frozen=True, slots=True)
class Sale:
    """What it takes to sell one lot, in minor units of the user's money."""

    commission: float
    cap: float | None
    charged: float | None  # None: the buyer pays the postage as it is
    paid: float | None  # None: by weight
    packing: float
    work: float  # hours times rate
    postage: tuple[tuple[float, float], ...]  # up to kg, amount

    def post(self, weight_kg: float | None) -> float:
        """Return the postage of a parcel; beyond the heaviest step it grows with the weight."""
        if self.paid is not None:
            return self.paid
        if not self.postage:
            return 0.0
        weight = weight_kg if weight_kg is not None else self.postage[0][0]
        for up_to, amount in self.postage:
            if weight <= up_to:
                return amount
        heaviest, amount = self.postage[-1]
        return amount * weight / heaviest

    def net(self, price: float, weight_kg: float | None, units: int = 1) -> float:
        """Return price + postage charged - commission - postage paid - packing - work, or 0."""
        paid = self.post(None if weight_kg is None else weight_kg * units)
        charged = paid if self.charged is None else self.charged
        fee = commission_on(price, charged, self.commission, self.cap)
        return max(price + charged - fee - paid - self.packing - self.work, 0.0)


def sale_costs(catalogue: Catalogue, preferences: Preferences) -> Sale:
    """Return the costs of a sale: the user's settings, else the catalogue's."""
    shares = catalogue.shares
    if not 0.0 <= preferences.commission <= 1.0:
        found = f"{preferences.commission:g} is not a commission"
        raise KitreckonError(found, where="commission", want="a share such as 0.13")
    if not preferences.hours >= 0.0:
        raise KitreckonError("hours below 0", where="hours", want="a number such as 0.5")

    def minor(own: Money | None, name: str) -> float | None:
        if own is None:
            return None
        return float(own_setting(own, name, catalogue, preferences).minor)

    def default(amount: float) -> float:
        return float(of_catalogue(amount, shares.currency, shares.year, preferences).minor)

    packing = minor(preferences.packing, "packing")
    return Sale(
        commission=preferences.commission,
        cap=minor(preferences.commission_cap, "commission_cap"),
        charged=minor(preferences.postage_charged, "postage_charged"),
        paid=minor(preferences.postage_paid, "postage_paid"),
        packing=packing if packing is not None else default(shares.packing),
        work=preferences.hours * hourly_rate(catalogue, preferences).minor,
        postage=tuple((kg, default(amount)) for kg, amount in shares.postage),
    )
