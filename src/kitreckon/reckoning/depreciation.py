"""What a thing stands at in the books: straight line, as insurers and tax offices reckon it.

Not a market price: it tells nothing of what a buyer pays.
"""

from __future__ import annotations

from kitreckon.errors import KitreckonError


def yearly_charge(cost: float, salvage: float, years: int) -> float:
    """Return what a thing loses each year: (cost - salvage) / years.

    cost and salvage in one currency, 0 <= salvage <= cost, years >= 1. Raises KitreckonError.
    Engineering Economic Analysis, page 343: 900, salvage 70, 5 years.

    >>> yearly_charge(900, 70, 5)
    166.0
    """
    if not 0.0 <= salvage <= cost or years < 1:
        raise KitreckonError(
            f"{cost:g} down to {salvage:g} over {years} years",
            where="depreciation",
            want="a salvage value from 0 to the cost, over a year or more",
        )
    return (cost - salvage) / years


def book_value(cost: float, salvage: float, years: int, age: float) -> float:
    """Return what it stands at after ``age`` years; the salvage value once its life is over.

    >>> [book_value(900, 70, 5, age) for age in (1, 2, 3, 4, 5, 9)]
    [734.0, 568.0, 402.0, 236.0, 70.0, 70.0]
    """
    lost = yearly_charge(cost, salvage, years) * min(max(age, 0.0), years)
    return cost - lost
