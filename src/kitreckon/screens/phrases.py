"""How things are said: in the user's words, units and money, covered while money is covered."""

from __future__ import annotations

from typing import Any

from kitreckon.catalogue.model import Catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Machine, Piece, Preferences
from kitreckon.quantities import Length, Money, Range
from kitreckon.quantities import show_length as length_text
from kitreckon.quantities import show_money as money_text
from kitreckon.reasons import Reason, Term, because

COVERED = "•••"


class Phrases:
    """Words for labels, terms, reasons and figures; what it needs is given by its heirs."""

    catalogue: Catalogue
    covered: bool

    @property
    def preferences(self) -> Preferences:
        """The user's settings."""
        raise NotImplementedError

    @property
    def style(self) -> Style:
        """The user's units and words."""
        return Style.of(self.preferences)

    def label(self, label_id: str) -> str:
        """Return a label in the user's words."""
        return self.catalogue.words.label(f"screen.{label_id}", self.style)

    def term(self, group: Any, term_id: str) -> str:
        """Return the name of a condition, a class, a tier, ..."""
        return self.catalogue.words.term(Term(group, term_id), self.style)

    def name(self, kind: str | None) -> str:
        """Return the name of a kind."""
        return self.catalogue.words.name(kind, self.style)

    def say(self, reason: Reason) -> str:
        """Return a reason's sentence; money in it is covered while money is covered."""
        return self.catalogue.words.say(_hidden(reason) if self.covered else reason, self.style)

    def caution(self, caution_id: str) -> str:
        """Return a caution."""
        return self.catalogue.words.caution(caution_id, self.style)

    def length(self, length: Length | None) -> str:
        """Return a length as typed, or in the user's units."""
        return length_text(length, self.style.units) if length is not None else ""

    def length_mm(self, size_mm: float) -> str:
        """Return a length in mm in the user's units."""
        return self.length(Length.of_mm(size_mm))

    def asked(self, machine: Machine) -> str:
        """Return the seller's own price: never covered, he knows it."""
        return money_text(machine.asking) if machine.asking else ""

    def money(self, money: Money | None) -> str:
        """Return one of our own figures, covered while money is covered."""
        if money is None:
            return "-"
        return COVERED if self.covered else money_text(money)

    def range(self, figures: Range[Money] | None) -> str:
        """Return low, typical and high, covered while money is covered."""
        if figures is None:
            return "-"
        if self.covered:
            return COVERED
        return " / ".join(money_text(each) for each in figures)

    def danger(self, piece: Piece) -> str:
        """Return the danger seen on a piece, with what follows from it."""
        return self.say(because("screen-unsafe-piece", danger=piece.unsafe))


def _hidden(value: Any) -> Any:
    """Return a reason's value with every sum of money in it covered."""
    match value:
        case Reason():
            return Reason(value.id, tuple((name, _hidden(each)) for name, each in value.values))
        case Money():
            return COVERED
        case Range():
            return COVERED if isinstance(value.low, Money) else value
        case tuple():
            return tuple(_hidden(each) for each in value)
        case _:
            return value
