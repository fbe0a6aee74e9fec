"""The settings: units, words, money, and every figure of judgement."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any, ClassVar, get_args, get_type_hints

from textual.binding import BindingType

from kitreckon.count import Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities import read_money
from kitreckon.quantities.money import check_currency
from kitreckon.screens.facts import Fact, FactsPage
from kitreckon.screens.keys import bindings_of

GROUPS: dict[str, tuple[str, ...]] = {
    "how": ("units", "words", "currency", "theme", "ascii_only"),
    "judgement": (
        "three_phase_supply", "supply", "power", "lot_share", "chance_essential", "chance_usual",
        "chance_handy", "rank_correlation",
    ),
    "money": ("index", "rate", "tax", "freight"),
    "selling": (
        "commission", "commission_cap", "postage_charged", "postage_paid", "packing", "hours",
        "hourly",
    ),
    "measuring": ("sd_diameter_mm", "sd_length_mm"),
}  # fmt: skip
MONEY = {"freight", "commission_cap", "postage_charged", "postage_paid", "packing", "hourly"}
FREE = {"index", "rate", "hours", "sd_diameter_mm", "sd_length_mm"}  # not a share of one


class SettingsPage(FactsPage):
    """A row a setting; minus gives it back its default."""

    page = "settings"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("settings")]

    def facts(self) -> Sequence[Fact]:
        """Return every setting."""
        return [self._fact(name, group) for group, names in GROUPS.items() for name in names]

    def _fact(self, name: str, group: str) -> Fact:
        hint = get_type_hints(Preferences)[name]
        choices = get_args(hint) if all(isinstance(each, str) for each in get_args(hint)) else ()
        if choices:
            named = tuple((each, self._choice(name, each)) for each in choices)
            return Fact(name, group, str, lambda value: self._choice(name, value), named)
        if hint is bool:
            yes_no = ((True, self.label("yes")), (False, self.label("no")))
            return Fact(name, group, str, lambda yes: self.label("yes" if yes else "no"), yes_no)
        if name in MONEY:
            return Fact(name, group, self._money, str)
        return Fact(name, group, check_currency if name == "currency" else _number(name), _shown)

    def _choice(self, name: str, value: str) -> str:
        return (
            self.session.term("supply", value)
            if name == "supply"
            else self.label(f"choice.{value}")
        )

    def _money(self, text: str) -> Any:
        return read_money(text, self.session.preferences.currency)

    def value(self, fact: Fact) -> Any:
        """Return a setting."""
        return getattr(self.session.preferences, fact.id)

    def set_value(self, fact: Fact, value: Any) -> None:
        """Store a setting; None gives it back its default."""
        value = getattr(Preferences(), fact.id) if value is None else value
        changed = replace(self.session.preferences, **{fact.id: value})
        self.change(self.label("did-settings"), changed)
        self.kit.show_look()
        if fact.id == "currency" and changed.rate == 1.0 and value != Preferences().currency:
            self.session.problem = self.label("settings.set-rate")
            self.take_row("rate")
        self.sheet.set_columns(self.columns())


def _number(name: str) -> Callable[[str], float]:
    def read(text: str) -> float:
        try:
            value = float(text.strip().rstrip("%"))
        except ValueError:
            raise KitreckonError(f"“{text}”", want="0.5, 50%") from None
        value = value / 100 if text.strip().endswith("%") else value
        if not 0 <= value <= (1000 if name in FREE else 1):
            raise KitreckonError(f"“{text}”", want="0 - 1")
        return value

    return read


def _shown(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
