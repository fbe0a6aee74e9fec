"""The user's settings: every figure of judgement he may overrule, with its default."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kitreckon.quantities import Money


@dataclass(frozen=True, slots=True)
class Preferences:
    """Settings that a reckoning and its rendering depend on. Shares lie between 0 and 1."""

    currency: str = "USD"
    units: Literal["in", "mm"] = "in"
    words: Literal["british", "american"] = "american"
    language: str = "en"
    # money
    rate: float = 1.0  # of the user's currency, per unit of the catalogue's
    index: float = 1.0  # price level now, over the level of the catalogue's year
    year_indexes: tuple[tuple[int, float], ...] = ()  # (year, level); overrules ``index``
    tax: float = 0.0  # added to new prices
    freight: Money | None = None  # delivery of one new piece, in the user's currency
    # what a buyer has, and does
    three_phase_supply: Literal["unknown", "yes", "no"] = "unknown"
    chance_essential: float = 1.0
    chance_usual: float = 0.6
    chance_handy: float = 0.25
    supply: Literal["used", "new-import", "new-name-brand"] = "new-import"  # for replacement
    power: float = 0.5  # bargaining power: 0 the seller's, 1 the buyer's
    lot_share: float = 0.25  # the seller's floor: what a lot fetches of its singles
    rank_correlation: float = 0.5  # of prices, through one common price level
    # selling singly
    commission: float = 0.13
    commission_cap: Money | None = None
    postage_charged: Money | None = None
    postage_paid: Money | None = None  # None: from the kind's weight class in the catalogue
    packing: Money | None = None
    hours: float = 0.5  # of work for one sale
    hourly: Money | None = None  # None: the catalogue's default rate
    # measuring uncertainty, one standard deviation
    sd_diameter_mm: float = 0.03
    sd_length_mm: float = 0.3
    theme: Literal["dark", "light", "plain"] = "dark"
    ascii_only: bool = False

    def has(self, name: str) -> bool | None:
        """Return the answer to a yes-or-no fact of the buyer, by the catalogue's name for it.

        None where it is not known, or no fact of the buyer at all.
        """
        said = {"three-phase-supply": self.three_phase_supply}.get(name, "unknown")
        return None if said == "unknown" else said == "yes"
