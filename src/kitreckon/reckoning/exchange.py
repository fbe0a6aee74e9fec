"""Money of one currency in another, at the user's rate."""

from __future__ import annotations

from kitreckon.count import Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money


def to_user_money(money: Money, table_currency: str, preferences: Preferences) -> Money:
    """Return money in the user's currency; raises KitreckonError where no rate is known."""
    if money.currency == preferences.currency:
        return money
    if money.currency != table_currency:
        raise KitreckonError(
            f"no rate from {money.currency} to {preferences.currency}",
            where="currency",
            want=f"amounts in {preferences.currency} or {table_currency}",
        )
    scale = minor_per_major(preferences.currency) / minor_per_major(money.currency)
    return Money(money.minor, preferences.currency) * (scale * rate_of(preferences))


def minor_per_major(currency: str) -> float:
    """Return how many minor units one major unit has."""
    return float(Money.of("1", currency).minor)


def rate_of(preferences: Preferences) -> float:
    """Return how much of the user's currency one unit of the catalogue's is.

    Raises KitreckonError for a rate that cannot be.
    """
    if not 0.0 < preferences.rate < 1e7:
        found = f"{preferences.rate:g} is not a rate of exchange"
        raise KitreckonError(found, where="rate", want="a number above 0, such as 0.79")
    return preferences.rate
