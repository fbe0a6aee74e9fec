"""His counter-offer, and ours: accept, counter or walk, in steps that shrink."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Saying
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.quantities.money import currency_digits
from kitreckon.reasons import Reason, because
from kitreckon.reckoning.model import Offer, Reckoning
from kitreckon.reckoning.offer import said_of_all
from kitreckon.reckoning.what_if import without

Answer = Literal["accept", "counter", "walk"]


@dataclass(frozen=True, slots=True)
class Counter:
    """What to answer when he says a price and keeps some pieces.

    ``say`` is the price to accept or to name, None when walking away. ``offer`` is the offer
    without what he keeps; ``costs`` is how much lower its limit is for that.
    """

    answer: Answer
    say: Money | None
    offer: Offer
    costs: Money
    reasons: tuple[Reason, ...] = ()


def concessions(offer: Offer, steps: int) -> tuple[Money, ...]:
    """Return the figures to say one after another, the opening first.

    Each raise is at most half the one before it, so that he sees them run out; figures are
    round, rounded down, and none is above the limit. Fewer raises come back where the room
    between opening and limit is too small for them. Empty when there is no offer.

    >>> usd = lambda amount: Money(amount * 100, "USD")
    >>> said = concessions(Offer(usd(1000), usd(1250), usd(1500), usd(1500)), 3)
    >>> [money.minor // 100 for money in said]
    [1000, 1250, 1350, 1400]
    """
    if steps < 1:
        raise KitreckonError(f"{steps} steps are none", want="at least one step")
    if offer.opening is None or offer.limit is None:
        return ()
    return raises(offer.opening, offer.limit, steps)


def still_to_say(offer: Offer, sayings: Sequence[Saying], steps: int) -> tuple[Money, ...]:
    """Return the figures of ``concessions`` that are left: over what was offered, under his price.

    What he asks for all now is taken, not offered again.
    """
    figures = concessions(offer, steps)
    sayings = _said_in(figures[0].currency, sayings) if figures else ()
    ours, his = said_by_us(sayings), said_of_all(sayings)
    return tuple(
        figure
        for figure in figures
        if (ours is None or figure > ours) and (his is None or figure < his)
    )


def _said_in(currency: str, sayings: Sequence[Saying]) -> tuple[Saying, ...]:
    """Return the sayings in one money: what was said before the user changed his is no figure."""
    return tuple(
        each for each in sayings if each.price is not None and each.price.currency == currency
    )


def said_by_us(sayings: Sequence[Saying]) -> Money | None:
    """Return the most that was offered so far, None before anything was."""
    ours = [said.price for said in sayings if said.who == "me" and said.price is not None]
    return max(ours, default=None)


def speaks_against(reckoning: Reckoning, price: Money) -> Reason | None:
    """Return why the buyer should not say this price: he asks less, or it is over the limit."""
    his = said_of_all(_said_in(price.currency, reckoning.visit.sayings))
    limit = reckoning.offer.limit
    if his is not None and price > his:
        return because("offer-more-than-asked", price=price, asked=his)
    if limit is not None and price > limit:
        return because("offer-counter-over-limit", price=price, limit=limit.down_to_whole())
    return None


def raises(first: Money, last: Money, steps: int) -> tuple[Money, ...]:
    """Return round figures from ``first`` up to at most ``last``, each raise half or less."""
    room = last.minor - first.minor
    for count in range(steps, 0, -1):
        parts = 2**count - 1
        most = room // parts
        unit = _round_unit(min(most, first.minor) if first.minor else most, first.currency)
        if unit:
            break
    else:
        return (first,)
    figures = [first.minor // unit * unit]
    room = last.minor - figures[0]
    for step in range(count - 1, -1, -1):
        figures.append(figures[-1] + room * 2**step // parts // unit * unit)
    return tuple(Money(figure, first.currency) for figure in figures)


def _round_unit(most: int, currency: str) -> int:
    """Return the largest of 1, 2, 5, 10, 20, ... major units not above ``most``, or 0."""
    whole = 10 ** currency_digits(currency)
    unit = 0
    power = whole
    while power <= most:
        unit = next(factor * power for factor in (5, 2, 1) if factor * power <= most)
        power *= 10
    return unit


def counter(
    reckoning: Reckoning, price: Money, keeps: Collection[str], catalogue: Catalogue
) -> Counter:
    """Judge the seller's word: this price, and he keeps these pieces.

    The offer is reckoned anew without what he keeps. At or under its target: accept. Under its
    limit: name the next figure, or accept when there is none left below his price. Above it:
    name the next figure while there is one, then walk. What both said before is in the visit.
    Raises KitreckonError for a price below 0 or an id that was not counted.
    """
    if price.minor < 0:
        raise KitreckonError(f"a price of {price} is below nothing", want="a price of 0 or more")
    left = without(reckoning, keeps, catalogue) if keeps else reckoning
    offer, before = left.offer, reckoning.offer
    nothing = Money.zero(price.currency)
    costs = nothing
    if offer.limit is not None and before.limit is not None:
        costs = max(nothing, before.limit - offer.limit)
    if offer.limit is None or offer.target is None:
        reasons = tuple(map(_why_walk, offer.stop)) or (because("offer-counter-no-offer"),)
        return Counter("walk", None, offer, costs, reasons)
    if price <= offer.target:
        target = offer.target.down_to_whole()
        reason = because("offer-counter-under-target", price=price, target=target)
        return Counter("accept", price, offer, costs, (reason,))
    steps = concessions(offer, catalogue.judgement.raises)
    return _answer(price, offer, offer.limit, costs, steps, reckoning.visit.sayings)


def _why_walk(stop: Reason) -> Reason:
    """Return why to walk away as it stands behind the answer, which says so already."""
    if stop.id != "finding-walk-away":
        return stop
    return because("offer-counter-finding", finding=dict(stop.values)["finding"])


def _answer(
    price: Money,
    offer: Offer,
    limit: Money,
    costs: Money,
    steps: Sequence[Money],
    sayings: Sequence[Saying],
) -> Counter:
    told = limit.down_to_whole()  # as it stands on every page
    said = said_by_us(sayings)
    figure = next((f for f in steps if (said is None or f > said) and f < price), None)
    if figure is not None:
        reasons = [because("offer-counter-next", figure=figure, limit=told)]
        if price > limit:
            over = because("offer-counter-over-limit", price=price, limit=told)
            reasons.insert(0, over)
        return Counter("counter", figure, offer, costs, tuple(reasons))
    if price <= limit:
        reason = because("offer-counter-within-limit", price=price, limit=told)
        return Counter("accept", price, offer, costs, (reason,))
    if said is None or said < limit:
        reason = because("offer-counter-last", figure=told, price=price)
        return Counter("counter", limit, offer, costs, (reason,))
    reason = because("offer-counter-walk", price=price, limit=told)
    return Counter("walk", None, offer, costs, (reason,))
