"""Why a result is what it is: an id and values. The sentence stands in catalogs/words.

A core result never holds a sentence: it holds Reason objects, which the edge renders in the
user's language, units and money.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Term:
    """A thing that has a name in the catalogue: rendered as that name, not as its id."""

    group: Literal[
        "kind", "class", "condition", "tier", "supply", "adapter", "finding", "part", "want"
    ]
    id: str


@dataclass(frozen=True, slots=True)
class Nominal:
    """A size in mm that stands for a class of sizes: rendered as the trade names it, "10in"."""

    mm: float


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason: the id of its sentence, and the values the sentence names.

    Values are str, int, float, Length, Money, Range, Term or Nominal; a mm figure is given as
    Length so that it is shown in the user's own units.
    """

    id: str
    values: tuple[tuple[str, object], ...] = ()


def because(reason_id: str, /, **values: object) -> Reason:
    """Return a Reason with its values in the order given.

    >>> because("shank-too-large", shank="MT3", socket="MT2").values
    (('shank', 'MT3'), ('socket', 'MT2'))
    """
    return Reason(reason_id, tuple(values.items()))
