"""What a reckoning gives: frozen values that hold their reasons."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from kitreckon.catalogue.model import SupplyName, Tier
from kitreckon.count import Machine, OwnPrice, Piece, Preferences, Purchase, Visit
from kitreckon.fitting.model import Fit
from kitreckon.quantities import Length, Money, Range
from kitreckon.reasons import Reason, because
from kitreckon.reckoning.spread import Spread
from kitreckon.reckoning.sums import sum_quantiles

NOTHING = Spread.certain(0.0)


@dataclass(frozen=True, slots=True)
class Spreads:
    """How the three values of a counted line are spread, in minor units, all its quantity."""

    replacement: Spread = NOTHING
    worth: Spread = NOTHING
    part_out: Spread = NOTHING


@dataclass(frozen=True, slots=True)
class Value:
    """What one counted line (all its quantity) is worth.

    The means feed sums; ``reasons`` say the basis, the year and the source of each figure. The
    bands P10, P50, P90 are worked out when they are asked for.
    """

    piece_id: str
    replacement_mean: Money
    worth_mean: Money
    part_out_mean: Money
    floor: Money  # what the seller is taken to want for it
    unsafe: bool = False
    surplus: bool = False  # covers nothing: valued at what it would fetch
    reasons: tuple[Reason, ...] = ()
    priced: bool = True  # False: no price is known, and the zeros say nothing
    spreads: Spreads = Spreads()

    @property
    def replacement(self) -> Range[Money]:
        """What it would cost to replace: P10, P50, P90."""
        return _band(self.spreads.replacement.bands(), self.floor.currency)

    @property
    def worth(self) -> Range[Money]:
        """What it is worth to this buyer: P10, P50, P90."""
        return _band(self.spreads.worth.bands(), self.floor.currency)

    @property
    def part_out(self) -> Range[Money]:
        """What it would leave when sold singly: P10, P50, P90."""
        return _band(self.spreads.part_out.bands(), self.floor.currency)


def _band(figures: tuple[float, float, float], currency: str) -> Range[Money]:
    low, middle, high = (Money.rounded(figure, currency) for figure in figures)
    return Range(low, middle, high)


@dataclass(frozen=True, slots=True)
class Covering:
    """Which piece covers how many units of which want; "shelf" covers come from what is owned.

    ``repair`` is what putting these units right costs: until then they do not work. ``within``
    says that what covers is fitted in a piece that covers another want: the arbor of a chuck.
    """

    want: str
    piece_id: str
    units: int
    grade: float
    from_shelf: bool = False
    repair: Money | None = None
    within: bool = False


@dataclass(frozen=True, slots=True)
class Waiting:
    """Sound units here that cover nothing before a thing of certain kinds is had; not missing.

    Collets without a closer: a new set would need the same closer. ``repairs`` are those of the
    units that have to be put right besides.
    """

    units: int
    kinds: frozenset[str]
    repairs: tuple[Covering, ...] = ()


@dataclass(frozen=True, slots=True)
class Cover:
    """The best covering of wants by pieces, and what stays open."""

    coverings: tuple[Covering, ...]
    open_units: Mapping[str, int]  # want id -> units looked for and not covered
    not_looked: tuple[str, ...]  # want ids nobody looked at
    reasons: Mapping[str, tuple[Reason, ...]]  # want id -> why it is open ("one here, worn out")
    waiting: Mapping[str, Waiting] = field(default_factory=dict)  # want id -> what is here for it

    @property
    def repairs(self) -> tuple[Covering, ...]:
        """The units that do not work before they are put right: on a want, or waiting for one."""
        waiting = (row for wait in self.waiting.values() for row in wait.repairs)
        return tuple(row for row in (*self.coverings, *waiting) if row.repair)


@dataclass(frozen=True, slots=True)
class Gap:
    """A want, or part of it, that is missing: screens say "missing" and "wanted"."""

    want: str
    kind: str
    tier: Tier
    qty: int
    size: Length | None
    mount: str | None
    cost: Range[Money]  # for all of qty, delivered and fitted, from the preferred supply
    hard_to_get: bool
    reasons: tuple[Reason, ...] = ()
    priced: bool = True  # False: no price is known, and the cost says nothing
    supply: SupplyName | None = None  # where the cost comes from
    size_mm: float | None = None  # as the price table measures it
    spread: Spread = NOTHING  # of the cost, in minor units


@dataclass(frozen=True, slots=True)
class NotLooked:
    """A want nobody looked at: adds nothing, and is no gap."""

    want: str
    kind: str
    tier: Tier
    qty: int
    chance: float
    if_there: Money  # what it would add to the limit
    priced: bool = True  # False: no price is known, and the amount says nothing
    lists: int = 0  # of a well-tooled machine, that name it

    @property
    def basis(self) -> Reason:
        """What the chance rests on: nobody counted such machines."""
        return because("chance-judged", lists=self.lists)


@dataclass(frozen=True, slots=True)
class Adds:
    """What the bundle adds to each figure of the offer."""

    opening: Money
    target: Money
    limit: Money


@dataclass(frozen=True, slots=True)
class Bundle:
    """All counted pieces together, with the price level they share.

    The three bands are worked out when they are asked for.
    """

    spreads: tuple[Spreads, ...]  # of the counted lines
    rank_correlation: float
    currency: str
    adds: Adds

    @property
    def replacement(self) -> Range[Money]:
        """What all of it would cost to replace: P10, P50, P90."""
        return self._band(tuple(line.replacement for line in self.spreads))

    @property
    def worth(self) -> Range[Money]:
        """What all of it is worth to this buyer: P10, P50, P90."""
        return self._band(tuple(line.worth for line in self.spreads))

    @property
    def part_out(self) -> Range[Money]:
        """What all of it would leave when sold singly: P10, P50, P90."""
        return self._band(tuple(line.part_out for line in self.spreads))

    def _band(self, spreads: tuple[Spread, ...]) -> Range[Money]:
        return _band(_sum_bands(spreads, self.rank_correlation), self.currency)


@lru_cache(maxsize=256)
def _sum_bands(spreads: tuple[Spread, ...], rank_correlation: float) -> tuple[float, float, float]:
    return sum_quantiles(spreads, rank_correlation)


@dataclass(frozen=True, slots=True)
class Offer:
    """Opening, target and limit; all None when there is no offer, with the reason in ``stop``."""

    opening: Money | None
    target: Money | None
    limit: Money | None
    worth_to_you: Money  # of machine and bundle; may be above the asking price
    let_him_keep: tuple[str, ...] = ()  # piece ids whose floor is above their worth
    stop: tuple[Reason, ...] = ()  # walk away, or no offer: why
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """What to find out next: how much it would move the target, per minute of looking."""

    id: str  # "look:steady-rest", "judge:<piece>", "fit:<piece>", "finding:<id>"
    question: Reason
    moves: Money  # expected absolute change of the target
    minutes: float
    walk_away: bool = False
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reckoning:
    """One visit, reckoned."""

    machine: Machine
    visit: Visit
    preferences: Preferences
    fits: Mapping[str, Fit]  # piece id -> fit
    cover: Cover
    values: Mapping[str, Value]  # piece id -> value
    gaps: tuple[Gap, ...]
    not_looked: tuple[NotLooked, ...]
    bundle: Bundle
    offer: Offer
    shelf: tuple[Piece, ...] = ()
    own_prices: tuple[OwnPrice, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    others: tuple[Reckoning, ...] = ()  # the other machines in the book
    workings: object = field(default=None, compare=False, repr=False)  # of chain: for again()
