"""A machine among the others of its book: the next best for sale caps what it is worth.

The command line and the screens both reckon the machines of a book here, so that both say the
same of one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Machine, OwnPrice, Piece, Preferences, Purchase, Visit
from kitreckon.reckoning.chain import reckon
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.offer import comparable

Counted = tuple[Machine, Visit]


def reckon_among(
    machine: Machine,
    visit: Visit,
    book: Iterable[Counted],
    catalogue: Catalogue,
    preferences: Preferences,
    shelf: Sequence[Piece] = (),
    own_prices: Sequence[OwnPrice] = (),
    purchases: Sequence[Purchase] = (),
) -> Reckoning:
    """Reckon a machine with the other machines of its book as what could be bought instead.

    book: the machines of the book with their counts, this one among them or not. The others are
    reckoned each for itself, and kept: what changes is mostly the machine in hand.
    """
    owned = tuple(shelf), tuple(own_prices), tuple(purchases)
    rivals = tuple(
        _alone(*other, catalogue, preferences, *owned) for other in rivals_of(machine, book)
    )
    return reckon(machine, visit, catalogue, preferences, *owned, others=rivals)


def rivals_of(machine: Machine, book: Iterable[Counted]) -> tuple[Counted, ...]:
    """Return those of a book that could be bought in place of a machine, with their counts."""
    return tuple((other, visit) for other, visit in book if comparable(machine, other))


@lru_cache(maxsize=64)
def _alone(
    machine: Machine,
    visit: Visit,
    catalogue: Catalogue,
    preferences: Preferences,
    shelf: tuple[Piece, ...],
    own_prices: tuple[OwnPrice, ...],
    purchases: tuple[Purchase, ...],
) -> Reckoning:
    return reckon(machine, visit, catalogue, preferences, shelf, own_prices, purchases)
