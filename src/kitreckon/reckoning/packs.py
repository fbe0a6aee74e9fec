"""What closes a missing want, or gets one to work: packs that are bought, repairs that are paid.

What a missing thing is worth comes from its tier and its use (how many lists of a well-tooled
machine name it), never from its price. The first of several counts most. Anything essential
outweighs everything usual, and that everything handy.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from kitreckon.catalogue.model import SupplyName, Tier, Want
from kitreckon.reasons import Reason
from kitreckon.reckoning.figures import Triple
from kitreckon.reckoning.prerequisites import Option

RANK: Mapping[Tier, int] = {"essential": 10**12, "usual": 10**6, "handy": 1}


@dataclass(frozen=True, slots=True)
class Beside:
    """What has to be bought with each: the backplate of a chuck, the arbor of a drill chuck."""

    kind: str
    supply: SupplyName
    cost: int


@dataclass(frozen=True, slots=True)
class Pack:
    """One way to buy a want: a pack of ``pieces`` at ``cost`` minor units, fitted."""

    kind: str
    supply: SupplyName
    cost: int
    pieces: int
    figures: Triple  # of the pack with what is bought beside it
    beside: Beside | None = None
    reasons: tuple[Reason, ...] = ()

    @property
    def whole_cost(self) -> int:
        """Cost of one pack with what is bought beside it."""
        return self.cost + (self.beside.cost if self.beside else 0)


@dataclass(frozen=True, slots=True)
class PutRight:
    """Units of a piece that is here or owned, put right at what the user says it costs."""

    piece_id: str
    kind: str
    units: int
    cost: int
    what: str = ""  # what has to be done
    fits: bool = True  # False: whether it fits is not known


@dataclass(frozen=True, slots=True)
class Buyable:
    """So many packs for so many units, and pieces put right; an option for the solver."""

    option: Option
    pack: Pack | None
    packs: int
    units: int
    put_right: tuple[PutRight, ...] = ()

    @property
    def kind(self) -> str:
        """The kind that is bought, or else put right."""
        return self.pack.kind if self.pack is not None else self.put_right[0].kind


@dataclass(frozen=True, slots=True)
class Missing:
    """A want that is missing or does not work yet, with everything that can be done about it."""

    want: Want
    buyable: tuple[Buyable, ...]


def unit_worths(want: Want, missing: int, points: int) -> tuple[int, ...]:
    """Return what each missing unit is worth: 1, 1/2, 1/3, ... of a whole, after those had.

    ``points`` go to the whole quantity, and again for each list that names it. That the shares
    are harmonic is judgement: one holder makes a tool post of use, the eighth is ease.
    """
    whole = points * (1 + want.lists)
    total = sum(1.0 / n for n in range(1, max(want.qty, 1) + 1))
    had = max(want.qty - missing, 0)
    return tuple(
        max(1, round(whole / n / total)) * RANK[want.tier]
        for n in range(had + 1, had + missing + 1)
    )
