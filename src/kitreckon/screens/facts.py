"""Facts typed one by one: a row for each, what was typed read at once, not known allowed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from kitreckon.errors import KitreckonError
from kitreckon.reasons import because
from kitreckon.screens.keys import Key
from kitreckon.screens.page import Page
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph

NOT_KNOWN = object()


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact. ``read`` turns typed text into its value and raises KitreckonError.

    ``choices`` are (value, name) pairs for a fact that is one of a few things.
    """

    id: str
    group: str
    read: Callable[[str], Any]
    show: Callable[[Any], str]
    choices: tuple[tuple[Any, str], ...] = ()
    label: str = ""  # where the name is not a label of the screens


class FactsPage(Page):
    """A page of facts: the line is about the fact at the arrow."""

    def facts(self) -> Sequence[Fact]:
        """Return the facts of the page in their order."""
        raise NotImplementedError

    def value(self, fact: Fact) -> Any:
        """Return the value of a fact, None when it is not known."""
        raise NotImplementedError

    def set_value(self, fact: Fact, value: Any) -> None:
        """Set a fact; None makes it not known."""
        raise NotImplementedError

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.fact"), 22, grow=1),
            Column(self.label("col.is"), 18, grow=2),
        )

    def rows(self) -> Sequence[Row]:
        """Return a row for each fact, with a heading for each group."""
        drawn: list[Row] = []
        group = ""
        for fact in self.facts():
            if fact.group != group:
                group = fact.group
                drawn.append(
                    Row(f"group:{group}", (self.label(f"group.{group}"), ""), sort="heading")
                )
            drawn.append(self._row(fact))
        return drawn

    def _row(self, fact: Fact) -> Row:
        value = self.value(fact)
        shown = self.label("not-known") if value in (None, "") else self.shown(fact, value)
        return Row(fact.id, (self.fact_name(fact), shown), "faint" if value in (None, "") else "")

    def fact_name(self, fact: Fact) -> str:
        """Return what a fact is called."""
        return fact.label or self.label(f"fact.{fact.id}")

    def shown(self, fact: Fact, value: Any) -> str:
        """Return a value as its row shows it."""
        return fact.show(value)

    @property
    def fact(self) -> Fact | None:
        """The fact in hand."""
        row_id = self.sheet.row_id
        return next((fact for fact in self.facts() if fact.id == row_id), None)

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        fact = self.fact
        if key.id in {"yes", "change"}:
            return fact is not None and bool(fact.choices)
        if key.id in {"not-known", "default"}:
            return fact is not None
        return super().is_live(key)

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return how to find a fact out, and what may be typed."""
        fact = next((fact for fact in self.facts() if fact.id == row_id), None)
        if fact is None:
            row = self.sheet.row_in_hand
            noted = row.cells[0] if row and row.sort == "note" else ""
            return [Paragraph("", noted or self.label(f"{self.page}.says"))]
        told = [Paragraph(self.fact_name(fact), self.label(f"fact.{fact.id}.says"))]
        if fact.choices:
            names = "   ".join(f"{n} {name}" for n, (_, name) in enumerate(fact.choices, 1))
            told.append(Paragraph(self.label("one-of"), names))
        return told

    def typed(self, text: str) -> None:
        """Typing is about the fact in hand: the arrow stays."""

    def understood(self, fact: Fact, text: str) -> Any:
        """Return the value typed text gives a fact; raises KitreckonError."""
        if fact.choices:
            return chosen(fact, text)
        return fact.read(text)

    def will(self, text: str) -> str:
        """Return what Enter will set, or why the text cannot be read."""
        fact = self.fact
        if fact is None:
            return self.label("will.choose-fact")
        if not text:
            return self.label("will.fact-empty")
        try:
            value = self.understood(fact, text)
        except KitreckonError as error:
            return self.say(because("screen-will-not", why=str(error)))
        return self.say(
            because("screen-will-set", fact=self.fact_name(fact), value=fact.show(value))
        )

    def entered(self, text: str) -> None:
        """Set the fact in hand and go to the next."""
        fact = self.fact
        if fact is None or not text:
            self.step(1)
            return
        try:
            value = self.understood(fact, text)
        except KitreckonError as error:
            self.refuse(str(error), text)
            return
        self.set_value(fact, value)
        self.step(1)

    def action_space(self) -> None:
        """Say yes, or take the next of the choices."""
        fact = self.fact
        if fact is None or not fact.choices:
            return
        values = [value for value, _ in fact.choices]
        now = self.value(fact)
        place = values.index(now) + 1 if now in values else 0
        self.set_value(fact, values[place % len(values)])

    def action_minus(self) -> None:
        """Make the fact not known."""
        if self.fact is not None:
            self.set_value(self.fact, None)


def chosen(fact: Fact, text: str) -> Any:
    """Return the choice that typed text names: by number, or by the start of a word of it."""
    low = text.lower().strip()
    if low.isdigit() and 1 <= int(low) <= len(fact.choices):
        return fact.choices[int(low) - 1][0]
    for starts in (True, False):
        found = [v for v, name in fact.choices if _matches(name.lower(), low, starts=starts)]
        if found:
            return found[0]
    raise KitreckonError(f"“{text}”", want=" / ".join(name for _, name in fact.choices))


def _matches(name: str, typed: str, *, starts: bool) -> bool:
    if starts:
        return name.startswith(typed)
    return all(any(word.startswith(part) for word in name.split()) for part in typed.split())
