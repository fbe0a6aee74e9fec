"""Figures of one column in whole units of money that add up to the sum shown below them."""

from __future__ import annotations

from collections.abc import Sequence

from kitreckon.quantities import Money
from kitreckon.quantities.money import currency_digits
from kitreckon.reports.voice import whole


def whole_parts(amounts: Sequence[Money], total: Money | None = None) -> tuple[Money, ...]:
    """Return amounts in whole units, each less than one unit off, that add up to ``total``.

    total: in whole units, by default the sum of the amounts rounded once, at the end. What is
    left over goes to the amounts whose fractions are largest.

    >>> [str(part) for part in whole_parts([Money(1040, "USD"), Money(540, "USD")])]
    ['11', '5']
    """
    if not amounts:
        return ()
    currency = amounts[0].currency
    unit = 10 ** currency_digits(currency)
    if total is None:
        total = whole(Money(sum(amount.minor for amount in amounts), currency))
    units = [amount.minor // unit for amount in amounts]
    short = total.minor // unit - sum(units)
    by_fraction = sorted(range(len(amounts)), key=lambda n: -(amounts[n].minor % unit))
    for place in by_fraction[:short]:
        units[place] += 1
    return tuple(Money.of(each, currency) for each in units)
