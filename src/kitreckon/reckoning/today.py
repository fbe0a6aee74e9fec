"""Amounts of the catalogue and of the user in the user's money, at today's price level.

One rule for every amount. What the catalogue says (prices, what a finding takes off, postage,
packing, an hour of work) is brought from its year to today's level and into the user's money. What
the user types is today's as it stands; where he gives a year with it (his own prices, what he
bought) it follows his yearly levels, never the single index, which is about the catalogue's year.
His amounts may be in his money or in the catalogue's; any other is refused.
"""

from __future__ import annotations

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reckoning.exchange import to_user_money
from kitreckon.reckoning.scaling import year_factor


def of_catalogue(amount: float, currency: str, year: int, preferences: Preferences) -> Money:
    """Return an amount that the catalogue gives for a year, today and in the user's money."""
    then = to_user_money(Money.of(amount, currency), currency, preferences)
    return then * year_factor(year, preferences)


def own_factor(year: int, preferences: Preferences) -> float:
    """Return what brings an amount of the user's own from a year to today's level."""
    return year_factor(year, preferences) if preferences.year_indexes else 1.0


def own_setting(money: Money, name: str, catalogue: Catalogue, preferences: Preferences) -> Money:
    """Return an amount from the settings in the user's money.

    Raises KitreckonError that names the setting where no rate is known.
    """
    try:
        return to_user_money(money, catalogue.shares.currency, preferences)
    except KitreckonError as error:
        raise KitreckonError(error.what, where=name, want=error.want) from None


def hourly_rate(catalogue: Catalogue, preferences: Preferences) -> Money:
    """Return what an hour of the user's work costs: his setting, else the catalogue's."""
    if preferences.hourly is not None:
        return own_setting(preferences.hourly, "hourly", catalogue, preferences)
    shares = catalogue.shares
    return of_catalogue(shares.hourly, shares.currency, shares.year, preferences)
