"""What reading a text gives: pieces with confidence, questions left open, and why."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from kitreckon.quantities import Length
from kitreckon.reasons import Reason


@dataclass(frozen=True, slots=True)
class Likely:
    """A kind a text may mean, with the confidence that it does (0 to 1)."""

    kind: str
    confidence: float


@dataclass(frozen=True, slots=True)
class ReadPiece:
    """One piece read from a text. ``taken`` is False where the user should be asked."""

    kind: str
    qty: int = 1
    set_of: int | None = None
    size: Length | None = None
    mount: str | None = None
    series: str | None = None  # ER32, AXA: the collets or holders it takes or is of
    back: Literal["plain", "backplate", "direct"] | None = None
    condition: str | None = None
    parts_missing: tuple[str, ...] = ()
    unsafe: str = ""
    state: Literal["here", "absent"] = "here"
    confidence: float = 0.0
    taken: bool = False
    others: tuple[Likely, ...] = ()
    why: tuple[Reason, ...] = ()
    text: str = ""
    set_has: int | None = None  # how many of the set are there; None: all, or nothing is said
    sizes: tuple[Length, ...] = ()  # where each of several has a size of its own

    @property
    def interface(self) -> str | None:
        """What decides its fit: the mount, else the series of holders or collets."""
        return self.mount or self.series

    def each(self) -> tuple[ReadPiece, ...]:
        """Return the piece as several, one of each size, where each has its own."""
        if not self.sizes:
            return (self,)
        return tuple(replace(self, qty=1, size=size, sizes=()) for size in self.sizes)

    def said_to_be(self, kind: str, why: tuple[Reason, ...]) -> ReadPiece:
        """Return the piece as what the user said it is."""
        return replace(self, kind=kind, confidence=1.0, taken=True, others=(), why=why)


@dataclass(frozen=True, slots=True)
class TextReading:
    """What one line, or a whole advert, was read as: pieces in order of mention.

    ``none_confidence`` is the confidence that the text names no kind at all. ``asking`` and
    ``machine_text`` are what an advert says of the machine itself, kept as typed.
    ``not_understood`` holds what was left over, as typed. ``unsafe`` is said of a thing that is
    none of the kinds, such as a chipped grinding wheel; what is said of a kind stands with it.
    """

    text: str
    none_confidence: float
    pieces: tuple[ReadPiece, ...] = ()
    not_understood: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()
    machine_text: str = ""
    asking_text: str = ""
    unsafe: str = ""  # a word of danger in a text that names no kind

    @property
    def questions(self) -> tuple[ReadPiece, ...]:
        """The pieces the user should be asked about."""
        return tuple(piece for piece in self.pieces if not piece.taken)
