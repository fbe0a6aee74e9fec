"""How things are said: in the user's words, units and money, covered while money is covered."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from kitreckon.catalogue.model import Catalogue
from kitreckon.catalogue.words import Style
from kitreckon.count import Machine, Piece, Preferences
from kitreckon.quantities import Length, Money, Range, nominal_length
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
        """Return a reason's sentence; money in it in whole units, or covered with the rest."""
        change: Callable[[Money], Any] = (lambda _: COVERED) if self.covered else whole
        return self.catalogue.words.say(_in_money(reason, change), self.style)

    def spelt(self, text: str) -> str:
        """Return a longer text of the catalogue in the user's spelling."""
        return self.catalogue.words.spelt(text, self.style)

    def caution(self, caution_id: str) -> str:
        """Return a caution."""
        return self.catalogue.words.caution(caution_id, self.style)

    def length(self, length: Length | None) -> str:
        """Return a length as typed, or in the user's units."""
        return length_text(length, self.style.units) if length is not None else ""

    def size(self, length: Length | None) -> str:
        """Return a wanted size as the trade names it in the user's units."""
        return self.length(nominal_length(length, self.style.units)) if length else ""

    def wanted(self, want: str, kind: str) -> str:
        """Return the name of a wanted line."""
        return self.catalogue.words.wanted(want, kind, self.style)

    def length_mm(self, size_mm: float) -> str:
        """Return a length in mm in the user's units."""
        return self.length(Length.of_mm(size_mm))

    def asked(self, machine: Machine) -> str:
        """Return the seller's own price: never covered, he knows it."""
        return money_text(machine.asking) if machine.asking else ""

    def money(self, money: Money | None) -> str:
        """Return an estimate of ours in whole units, covered while money is covered."""
        return self.typed_money(money and whole(money))

    def figure(self, money: Money | None) -> str:
        """Return a figure of the offer, rounded down: a limit is not passed by rounding."""
        return self.typed_money(money and rounded_down(money))

    def typed_money(self, money: Money | None) -> str:
        """Return an amount of ours as it was typed, covered while money is covered."""
        if money is None:
            return "-"
        return COVERED if self.covered else money_text(money)

    def range(self, figures: Range[Money] | None) -> str:
        """Return low, typical and high in whole units, one where they are the same."""
        if figures is None:
            return "-"
        if self.covered:
            return COVERED
        told = [money_text(whole(each)) for each in figures]
        return told[0] if told[0] == told[-1] else " / ".join(told)

    def average(self, mean: Money, spread: Range[Money]) -> str:
        """Return an average, as sums are made of it, and between what it mostly lies."""
        if self.covered:
            return COVERED
        figures = (money_text(whole(each)) for each in (mean, spread.low, spread.high))
        average, low, high = figures
        if low == high:
            return average
        return self.say(because("screen-average", average=average, low=low, high=high))

    def danger(self, piece: Piece) -> str:
        """Return the danger seen on a piece, with what follows from it."""
        return self.say(because("screen-unsafe-piece", danger=piece.unsafe))


def capital(text: str) -> str:
    """Return a sentence with a capital letter first.

    >>> capital("is it there: stand?")
    'Is it there: stand?'
    """
    return text[:1].upper() + text[1:]


def whole(money: Money) -> Money:
    """Return an amount in whole units; the reports' own rule, read when first needed."""
    from kitreckon.reports import voice

    return voice.whole(money)


def rounded_down(money: Money) -> Money:
    """Return an amount in whole units, never above it; the reports' own rule."""
    from kitreckon.reports import voice

    return voice.rounded_down(money)


def _in_money(value: Any, change: Callable[[Money], Any]) -> Any:
    """Return a reason's value with every sum of money in it changed."""
    match value:
        case Reason():
            told = tuple((name, _in_money(each, change)) for name, each in value.values)
            return Reason(value.id, told)
        case Money():
            return change(value)
        case Range() if isinstance(value.low, Money):
            return tuple(change(each) for each in value)
        case tuple():
            return tuple(_in_money(each, change) for each in value)
        case _:
            return value
