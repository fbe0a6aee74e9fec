"""What one unit of a kind costs, from one supply at a time, in the user's money today."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from kitreckon.catalogue.model import (
    NEW_SUPPLIES,
    Basis,
    Catalogue,
    PricePoint,
    PriceTable,
    SupplyName,
)
from kitreckon.count import OwnPrice, Preferences, Purchase
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, known_mm
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.exchange import minor_per_major, rate_of, to_user_money
from kitreckon.reckoning.figures import ZERO, Triple, scaled, summed
from kitreckon.reckoning.pert import mean_of
from kitreckon.reckoning.scaling import (
    exponent_of,
    points_of,
    price_at_size,
    scale_by_size,
    year_factor,
)
from kitreckon.reckoning.spread import Spread, check_three_points
from kitreckon.reckoning.today import hourly_rate, own_factor, own_setting


@dataclass(frozen=True, slots=True)
class Priced:
    """The price of one unit as sold, in good condition, in minor units of the user's currency."""

    kind: str
    supply: SupplyName
    low: float
    typical: float
    high: float
    unit_count: int  # pieces in the unit
    per_piece: bool  # False: a set, of which loose pieces are parts
    basis: Basis | None  # None: the user's own price
    year: int
    source: str
    reasons: tuple[Reason, ...] = ()

    @property
    def mean(self) -> float:
        """The expected price of one unit."""
        return mean_of(self.low, self.typical, self.high)


@dataclass(frozen=True, slots=True)
class Fitted:
    """One unit from one supply, delivered and fitted to this machine, in minor units."""

    supply: SupplyName
    low: float
    typical: float
    high: float
    reasons: tuple[Reason, ...] = ()

    @property
    def spread(self) -> Spread:
        """The cost as a spread."""
        return Spread(((1.0, self.low, self.typical, self.high),))

    @property
    def mean(self) -> float:
        """The expected cost."""
        return mean_of(self.low, self.typical, self.high)


class Prices:
    """Every price a reckoning asks for, worked out once. Pure: the same question, one answer.

    Own prices win over the catalogue's; purchases pull the price of their own kind and supply.
    """

    def __init__(
        self,
        catalogue: Catalogue,
        preferences: Preferences,
        own_prices: Sequence[OwnPrice] = (),
        purchases: Sequence[Purchase] = (),
    ) -> None:
        self.preferences = preferences
        self.currency = preferences.currency
        self._tables = catalogue.prices
        self._judgement = catalogue.judgement
        self._own: dict[tuple[str, str], list[OwnPrice]] = {}
        for own in own_prices:
            self._own.setdefault((own.kind, own.supply), []).append(own)
        self._bought: dict[tuple[str, str], list[Purchase]] = {}
        for bought in purchases:
            self._bought.setdefault((bought.kind, bought.supply), []).append(bought)
        self._known: dict[tuple[str, float | None, str], Priced | None] = {}
        self._cheapest: dict[tuple[tuple[str, float | None], ...], Triple | None] = {}
        self._beside: dict[tuple[str, float | None], Triple] = {}
        self._fitted: dict[tuple[str, float | None, str], Fitted | None] = {}
        self._hourly = hourly_rate(catalogue, preferences)
        freight = preferences.freight
        self._freight = (
            own_setting(freight, "freight", catalogue, preferences).minor if freight else 0
        )

    def table(self, kind: str) -> PriceTable | None:
        """Return the price table of a kind, or None when there is none."""
        return self._tables.get(kind)

    def hourly(self) -> float:
        """Return what an hour of the user's work is taken to cost, in minor units."""
        return float(self._hourly.minor)

    def of(self, kind: str, size_mm: float | None, supply: SupplyName) -> Priced | None:
        """Return the price of one unit from one supply; None where none is known.

        A size beyond half to double those the price is known for is refused: None.
        Raises KitreckonError for an own price or purchase that cannot be used.
        """
        key = (kind, size_mm, supply)
        if key not in self._known:
            priced = self._own_price(kind, size_mm, supply)
            if priced is None:
                priced = self._table_price(kind, size_mm, supply)
            self._known[key] = priced
        return self._known[key]

    def cheapest_new(self, kind: str, size_mm: float | None) -> Priced | None:
        """Return the cheaper of the two new supplies, as bought: with tax and freight."""
        known = [self.of(kind, size_mm, supply) for supply in NEW_SUPPLIES]
        priced = [price for price in known if price is not None]
        return min(priced, key=lambda price: price.mean) if priced else None

    def cheapest_of(self, things: tuple[tuple[str, float | None], ...]) -> Triple | None:
        """Return the cheapest new one of several kinds, delivered, with the work of fitting it."""
        if things not in self._cheapest:
            priced = [self.cheapest_new(kind, size) for kind, size in things]
            known = [
                summed(self.delivered(price), self.fitting_work(price.kind))
                for price in priced
                if price is not None
            ]
            self._cheapest[things] = min(known, key=lambda figures: mean_of(*figures), default=None)
        return self._cheapest[things]

    def delivered(self, priced: Priced) -> Triple:
        """Return low, typical and high with tax and freight, which a used piece has not."""
        if priced.supply == "used":
            return priced.low, priced.typical, priced.high
        tax, freight = 1.0 + self._tax(), self._freight
        low, typical, high = (p * tax + freight for p in (priced.low, priced.typical, priced.high))
        return low, typical, high

    def beside(self, kind: str, size_mm: float | None) -> Triple:
        """Return what is bought beside one to put it on a machine: its backplate or arbor."""
        key = (kind, size_mm)
        if key not in self._beside:
            self._beside[key] = self._bought_beside(kind, size_mm)
        return self._beside[key]

    def _bought_beside(self, kind: str, size_mm: float | None) -> Triple:
        table = self._tables.get(kind)
        other = table.bought_with if table is not None else ""
        if not other or other == kind:
            return ZERO
        plate = self._tables.get(other)
        same_measure = plate is not None and table is not None and not plate.mount_sizes
        priced = self.cheapest_new(other, size_mm if same_measure else None)
        if priced is None and same_measure:
            priced = self.cheapest_new(other, None)
        return self.delivered(priced) if priced is not None else ZERO

    def fitting_work(self, kind: str) -> Triple:
        """Return the cost of the hours it takes to make one fit, for what no shop stocks."""
        table = self._tables.get(kind)
        hours = table.fitting_hours if table is not None else None
        if hours is None:
            return ZERO
        low, typical, high = (hour * self.hourly() for hour in hours)
        return low, typical, high

    def fitted(self, kind: str, size_mm: float | None, supply: SupplyName) -> Fitted | None:
        """Return one unit from a supply, delivered and fitted; None where no price is known."""
        key = (kind, size_mm, supply)
        if key not in self._fitted:
            self._fitted[key] = self._fit(self.of(kind, size_mm, supply), size_mm)
        return self._fitted[key]

    def new_fitted(self, kind: str, size_mm: float | None) -> Fitted | None:
        """Return the replacement: from the supply the user prefers, else from the next known."""
        wanted = self.preferences.supply
        for supply in (wanted, *(s for s in (*NEW_SUPPLIES, "used") if s != wanted)):
            fitted = self.fitted(kind, size_mm, supply)
            if fitted is not None:
                other = (
                    ()
                    if supply == wanted
                    else (because("price-other-supply", supply=Term("supply", supply)),)
                )
                return Fitted(
                    supply, fitted.low, fitted.typical, fitted.high, fitted.reasons + other
                )
        return None

    def _fit(self, priced: Priced | None, size_mm: float | None) -> Fitted | None:
        if priced is None:
            return None
        beside, work = self.beside(priced.kind, size_mm), self.fitting_work(priced.kind)
        reasons = list(priced.reasons)
        table = self._tables.get(priced.kind)
        if any(beside) and table is not None:
            reasons.append(because("price-with", kind=Term("kind", table.bought_with)))
        if any(work):
            reasons.append(because("price-made-or-fitted", cost=self.money(work[1])))
        low, typical, high = summed(self.delivered(priced), beside, work)
        return Fitted(priced.supply, low, typical, high, tuple(reasons))

    def money(self, minor: float) -> Money:
        """Return an amount in the user's money, rounded to the minor unit."""
        return Money.rounded(minor, self.currency)

    def _tax(self) -> float:
        if not 0.0 <= self.preferences.tax <= 2.0:
            found = f"{self.preferences.tax:g} is not a tax"
            raise KitreckonError(found, where="tax", want="a share such as 0.2")
        return self.preferences.tax

    def _own_price(self, kind: str, size_mm: float | None, supply: SupplyName) -> Priced | None:
        candidates = self._own.get((kind, supply))
        if not candidates:
            return None
        table = self._tables.get(kind)
        own = min(candidates, key=lambda own: (_far(own, size_mm), -own.year))
        prices = self._checked(own, table.currency if table is not None else self.currency)
        factor = self._own_factor(own, table, size_mm)
        if factor is None:
            return None
        factor *= own_factor(own.year, self.preferences)
        low, typical, high = (price.minor * factor for price in prices)
        reason = because("price-own", year=own.year)
        return Priced(
            kind=kind,
            supply=supply,
            low=low,
            typical=typical,
            high=high,
            unit_count=table.unit_count if table is not None else 1,
            per_piece=table.per_piece if table is not None else True,
            basis=None,
            year=own.year,
            source="",
            reasons=(reason,),
        )

    def _checked(self, own: OwnPrice, table_currency: str) -> tuple[Money, Money, Money]:
        where = f"own price of {own.kind}"
        try:
            low, typical, high = (
                to_user_money(price, table_currency, self.preferences) for price in own.price
            )
        except KitreckonError as error:
            raise KitreckonError(error.what, where=where, want=error.want) from None
        scale = minor_per_major(self.currency)
        figures = low.minor / scale, typical.minor / scale, high.minor / scale
        check_three_points(*figures, where)
        return low, typical, high

    def _own_factor(
        self, own: OwnPrice, table: PriceTable | None, size_mm: float | None
    ) -> float | None:
        """Scale an own price to the size asked; one without a size holds for every size."""
        at = known_mm(own.size)
        if at is None or size_mm is None or table is None:
            return 1.0
        if math.isclose(at, size_mm, rel_tol=0.02):
            return 1.0
        reach = self._judgement.price_size_reach
        if not at / reach <= size_mm <= at * reach:
            return None
        exponent = exponent_of(table, own.supply, points_of(table, own.supply))
        return scale_by_size(1.0, at, size_mm, exponent) if exponent is not None else None

    def _table_price(self, kind: str, size_mm: float | None, supply: SupplyName) -> Priced | None:
        table = self._tables.get(kind)
        if table is None:
            return None
        if not points_of(table, supply):
            return None
        size = size_mm if size_mm is not None else table.size_mm
        nearest, prices = self._at_size(table, supply, size)
        if prices is None:
            return None
        factor = year_factor(nearest.year, self.preferences) * self._unit_factor(table)
        pull, reasons = self._pull(kind, supply, table, factor)
        low, typical, high = (price * factor * pull for price in prices)
        basis = because(
            f"price-{nearest.basis}",
            year=nearest.year,
            source=nearest.source,
            unit=table.unit,
            supply=Term("supply", supply),
        )
        return Priced(
            kind=kind,
            supply=supply,
            low=low,
            typical=typical,
            high=high,
            unit_count=table.unit_count,
            per_piece=table.per_piece,
            basis=nearest.basis,
            year=nearest.year,
            source=nearest.source,
            reasons=(basis, *reasons),
        )

    def _at_size(
        self, table: PriceTable, supply: SupplyName, size: float | None
    ) -> tuple[PricePoint, Triple | None]:
        points = points_of(table, supply)
        return price_at_size(table, supply, points, size, self._judgement.price_size_reach)

    def _unit_factor(self, table: PriceTable) -> float:
        rate = 1.0 if table.currency == self.currency else rate_of(self.preferences)
        return rate * minor_per_major(self.currency)

    def _pull(
        self, kind: str, supply: SupplyName, table: PriceTable, factor: float
    ) -> tuple[float, tuple[Reason, ...]]:
        """How far the user's purchases move the table: their mean log ratio, shrunk to none."""
        bought = self._bought.get((kind, supply))
        if not bought:
            return 1.0, ()
        logs = []
        for purchase in bought:
            known = known_mm(purchase.size)
            size = known if known is not None else table.size_mm
            _, prices = self._at_size(table, supply, size)
            paid = self._paid(purchase, table)
            if prices is not None and prices[1] > 0.0 and paid > 0.0:
                logs.append(math.log(paid / (prices[1] * factor)))
        if not logs:
            return 1.0, ()
        pull = math.exp(sum(logs) / (len(logs) + self._judgement.purchase_weight))
        return pull, (because("price-pulled", count=len(logs), percent=round(100 * (pull - 1))),)

    def _paid(self, purchase: Purchase, table: PriceTable) -> float:
        money = to_user_money(purchase.price, table.currency, self.preferences)
        where = f"purchase of {purchase.kind}"
        paid = money.minor / minor_per_major(self.currency)
        check_three_points(paid, paid, paid, where)
        year = purchase.on_date[:4]
        then = own_factor(int(year), self.preferences) if year.isdigit() else 1.0
        return money.minor * then / max(purchase.qty, 1)


def _far(own: OwnPrice, size_mm: float | None) -> float:
    """How far an own price is from the size asked; one without a size is near to any."""
    at = known_mm(own.size)
    if at is None or size_mm is None:
        return 1e-9 if size_mm is not None else 0.0
    return abs(math.log(at / size_mm)) if at > 0.0 < size_mm else math.inf


def bare(priced: Priced, loose: Priced | None, count: int, least: float) -> Triple:
    """Prices of a set without the loose parts it includes, which are counted by themselves.

    least: share of its price that is left however many it includes.
    """
    if loose is None or count <= 0:
        return priced.low, priced.typical, priced.high
    share = max(1.0 - count * loose.mean / priced.mean, least) if priced.mean else 1.0
    return scaled((priced.low, priced.typical, priced.high), share)
