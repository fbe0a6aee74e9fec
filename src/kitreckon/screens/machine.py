"""One machine: the facts that decide what fits, what is asked, what it would be worth bare."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from typing import Any, ClassVar, get_args

from textual.binding import BindingType

from kitreckon.count import ExtraCost, Machine
from kitreckon.count.machine import Status
from kitreckon.errors import KitreckonError
from kitreckon.fitting import Doubt, doubts
from kitreckon.quantities import (
    Length,
    Money,
    QuantityError,
    Range,
    clean_text,
    read_count,
    read_designation,
    read_length,
    read_money,
    show_money,
)
from kitreckon.reasons import because
from kitreckon.screens.facts import Fact, FactsPage
from kitreckon.screens.keys import bindings_of
from kitreckon.screens.session import Session
from kitreckon.screens.widgets.ruled_list import Row
from kitreckon.screens.widgets.text_block import Paragraph

_LATHES = (
    "nose",
    "spindle_socket",
    "tailstock_socket",
    "bore",
    "swing",
    "centre_height",
    "post_height",
)
_TABLES = ("spindle_socket", "table_width", "table_length", "table_slot")
_ALSO_LATHES = ("between_centres", "swing_over_cross_slide", "nose_register", "nose_thread_form")


class MachinePage(FactsPage):
    """Facts of the machine in hand; each may be not known, none is assumed."""

    page = "machine"
    needs_machine = True
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("machine")]

    @property
    def machine(self) -> Machine:
        """The machine in hand."""
        machine = self.session.machine
        assert machine is not None
        return machine

    def facts(self) -> Sequence[Fact]:
        """Return the facts asked of a machine of this class."""
        return machine_facts(self.session, self.machine)

    def value(self, fact: Fact) -> Any:
        """Return the value of a fact."""
        machine = self.machine
        if fact.group == "features":
            return machine.feature(fact.id)
        if fact.id == "centre_height":
            return halved(machine.swing)
        if fact.id == "extra_costs":
            return machine.extra_costs or None
        return getattr(machine, fact.id)

    def shown(self, fact: Fact, value: Any) -> str:
        """Return the value as its row shows it; what was worked out is shown as such."""
        told = super().shown(fact, value)
        return f"{told}, {self.label('from-swing')}" if fact.id == "centre_height" else told

    def rows(self) -> Sequence[Row]:
        """Return a row for each fact, those that cannot all be so in the colour of danger."""
        doubted = {fact for doubt in self._doubts(self.machine) for fact in rows_of(doubt)}
        return [replace(row, look="alarm") if row.id in doubted else row for row in super().rows()]

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return what is doubted of the fact, what may be typed, then all other doubts."""
        found = self._doubts(self.machine)
        here = [self._doubted(each, alarm=True) for each in found if row_id in rows_of(each)]
        rest = [self._doubted(each) for each in found if row_id not in rows_of(each)]
        return [*here, *super().detail(row_id), *rest]

    def _doubted(self, doubt: Doubt, *, alarm: bool = False) -> Paragraph:
        return Paragraph(self.label("caution"), self.say(doubt.reason), alarm=alarm)

    def will(self, text: str) -> str:
        """Return what Enter will set, and what would be doubted of it."""
        told, fact = super().will(text), self.fact
        if fact is None or not text:
            return told
        try:
            changed = with_fact(self.machine, fact, self.understood(fact, text))
        except KitreckonError:
            return told
        known = self._doubts(self.machine)
        new = [self.say(each.reason) for each in self._doubts(changed) if each not in known]
        return "; ".join((told, *new))

    def _doubts(self, machine: Machine) -> tuple[Doubt, ...]:
        return doubts(machine, self.session.catalogue)

    def set_value(self, fact: Fact, value: Any) -> None:
        """Store a fact as one action."""
        label = self.say(because("screen-did-fact", fact=self.fact_name(fact)))
        self.change(label, with_fact(self.machine, fact, value))
        self.kit.reckon_later()


def machine_facts(session: Session, machine: Machine) -> list[Fact]:
    """Return the facts asked of a machine: of its class first, then money, then the rest."""
    outfit = session.outfit(machine)
    lathe = outfit is None or outfit.measure == "swing"
    facts = [_text("name", "what"), _class(session)]
    facts += [_fit_fact(session, name) for name in (_LATHES if lathe else _TABLES)]
    facts += [_money(session, "asking"), _three(session, "bare_price")]
    facts += [_money(session, "parts_value"), _costs(session)]
    facts += [_yes_no(session, name) for name in (outfit.features if outfit else ())]
    facts += [_more(session, name) for name in (_ALSO_LATHES if lathe else ())]
    facts += [_number("top_speed_rpm")]
    facts += [_text(name, "papers") for name in ("serial_number", "seller", "place", "note")]
    return [*facts, _status(session)]


def rows_of(doubt: Doubt) -> tuple[str, ...]:
    """Return the rows a doubt is about; the centre height is the swing, halved."""
    return (*doubt.facts, "centre_height") if "swing" in doubt.facts else doubt.facts


def with_fact(machine: Machine, fact: Fact, value: Any) -> Machine:
    """Return the machine with one fact set; None makes it not known."""
    if fact.group == "features":
        answers = {name: yes for name, yes in machine.features if name != fact.id}
        if value is not None:
            answers[fact.id] = value
        return replace(machine, features=tuple(answers.items()))
    if fact.id == "centre_height":
        return replace(machine, swing=doubled(value))
    if fact.id == "extra_costs":
        return replace(machine, extra_costs=(*machine.extra_costs, value) if value else ())
    if value is None:
        value = next((f.default for f in fields(Machine) if f.name == fact.id), None)
        value = value if isinstance(value, str) else None
        value = "" if fact.id in {"name", "machine_class"} else value
    return replace(machine, **{fact.id: value})


def doubled(height: Length | None) -> Length | None:
    """Return the swing over the bed of a centre height."""
    return Length(height.amount * 2, height.unit, "") if height else None


def halved(swing: Length | None) -> Length | None:
    """Return the centre height of a swing over the bed."""
    return Length(swing.amount / 2, swing.unit, "") if swing else None


# Facts by what they hold


def _text(name: str, group: str) -> Fact:
    return Fact(name, group, clean_text, str)


def _class(session: Session) -> Fact:
    choices = tuple((each, session.term("class", each)) for each in session.catalogue.outfits)
    return Fact("machine_class", "what", str, lambda value: session.term("class", value), choices)


def _fit_fact(session: Session, name: str) -> Fact:
    if name in {"nose", "spindle_socket", "tailstock_socket"}:
        return Fact(name, "fit", _designation, str)
    return Fact(name, "fit", _length(session), session.length)


def _more(session: Session, name: str) -> Fact:
    if name == "nose_thread_form":
        return Fact(name, "more", str, lambda v: f"{v}°", (("60", "60°"), ("55", "55°")))
    return Fact(name, "more", _length(session), session.length)


def _money(session: Session, name: str) -> Fact:
    show = show_money if name == "asking" else session.money
    return Fact(name, "money", lambda text: read_money(text, session.preferences.currency), show)


def _three(session: Session, name: str) -> Fact:
    return Fact(
        name, "money", lambda text: three_prices(text, session.preferences.currency), session.range
    )


def _costs(session: Session) -> Fact:
    def read(text: str) -> ExtraCost:
        amount, _, label = text.partition(" ")
        return ExtraCost(clean_text(label) or "-", read_money(amount, session.preferences.currency))

    def show(costs: Any) -> str:
        each = costs if isinstance(costs, tuple) else (costs,)
        return ", ".join(f"{cost.label} {show_money(cost.amount)}" for cost in each)

    return Fact("extra_costs", "money", read, show)


def _yes_no(session: Session, name: str) -> Fact:
    choices = ((True, session.label("yes")), (False, session.label("no")))
    return Fact(
        name, "features", str, lambda yes: choices[0 if yes else 1][1], choices,
        session.label(f"feature.{name}"),
    )  # fmt: skip


def _number(name: str) -> Fact:
    return Fact(name, "more", lambda text: read_count(text.replace(",", "")), str)


def _status(session: Session) -> Fact:
    choices = tuple((each, session.label(f"status.{each}")) for each in get_args(Status))
    return Fact("status", "papers", str, lambda v: session.label(f"status.{v}"), choices)


def _designation(text: str) -> str:
    named = read_designation(text)
    if named is None:
        raise QuantityError(f"“{text}”", want="D1-4, L0, 1-1/2-8, MT3, R8, 5C")
    return named


def _length(session: Session) -> Callable[[str], Length]:
    return lambda text: read_length(text, session.preferences.units)


def three_prices(text: str, currency: str) -> Range[Money]:
    """Return low, typical and high from text such as ``900 1200 1600`` or ``1200``.

    Two figures name no typical one, and none is guessed.
    """
    spaced = re.sub(r"(?<=\d)\s*[-–]\s*(?=\S*\d)", " ", text.replace("/", " "))
    parts = [part for part in spaced.split() if part not in {"-", "to"}]
    prices = sorted(read_money(part, currency) for part in parts)
    if len(prices) == 1:
        return Range(prices[0], prices[0], prices[0])
    if len(prices) != 3:
        raise KitreckonError(
            f"“{text}” is not one price or three", want="low, typical and high: 900 1200 1600"
        )
    return Range(*prices)
