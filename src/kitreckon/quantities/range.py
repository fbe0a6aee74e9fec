"""Three-point figures: low, typical, high; or P10, P50, P90 of a result."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

from kitreckon.quantities.errors import QuantityError


class Ordered(Protocol):
    """Anything that can be compared with its like."""

    def __le__(self, other: Any, /) -> bool: ...


T = TypeVar("T", bound=Ordered)
U = TypeVar("U", bound=Ordered)


@dataclass(frozen=True, slots=True)
class Range(Generic[T]):
    """Three figures in order. Raises QuantityError unless low <= typical <= high.

    >>> Range(5, 8, 14).typical
    8
    """

    low: T
    typical: T
    high: T

    def __post_init__(self) -> None:
        if not (self.low <= self.typical and self.typical <= self.high):
            raise QuantityError(
                f"{self.low}, {self.typical}, {self.high} is not in order",
                want="low, typical and high, the smallest first",
            )

    def __iter__(self) -> Iterator[T]:
        return iter((self.low, self.typical, self.high))

    def map(self, change: Callable[[T], U]) -> Range[U]:
        """Return the range with each figure changed; the change must keep their order."""
        return Range(change(self.low), change(self.typical), change(self.high))
