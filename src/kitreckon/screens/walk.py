"""The walk over the machine itself: ten minutes of looking, each finding with what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.catalogue.model import FindingRule
from kitreckon.count import FINDING_LOOK, Finding, Visit
from kitreckon.errors import KitreckonError
from kitreckon.quantities import read_length, read_money
from kitreckon.reasons import Term, because
from kitreckon.reckoning.findings import ends_deal, within_limit
from kitreckon.screens.keys import Key, bindings_of
from kitreckon.screens.marking import look_at
from kitreckon.screens.page import Page
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph


class WalkPage(Page):
    """A row a question: so, not so, a reading, or nobody looked."""

    page = "walk"
    needs_machine = True
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("walk")]

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.question"), 26, grow=3),
            Column(self.label("col.found"), 12, grow=1),
            Column(self.label("col.effect"), 14, grow=1, drop=1),
        )

    @property
    def rules(self) -> dict[str, FindingRule]:
        """What to look at on a machine of this class, walk-away checks first."""
        machine = self.session.machine
        assert machine is not None
        fitting = [
            rule
            for rule in self.session.catalogue.findings.values()
            if not rule.classes or machine.machine_class in rule.classes
        ]
        fitting.sort(key=lambda rule: rule.effect != "walk-away")
        return {rule.id: rule for rule in fitting}

    def rows(self) -> Sequence[Row]:
        """Return a row for each thing to look at."""
        return [self._row(rule) for rule in self.rules.values()]

    def _row(self, rule: FindingRule) -> Row:
        finding = self.finding(rule.id)
        looked = self.session.visit.looked(FINDING_LOOK + rule.id) is not None
        name = self.session.term("finding", rule.id)
        if finding is not None:
            found = self.session.length(finding.value) or self.label("walk.found")
            if not finding.seen:
                found = self.label("walk.said")
            alarm = ends_deal(finding, rule)
            return Row(
                rule.id, (name, found, self._effect(rule, finding)), "alarm" if alarm else "strong"
            )
        known = self.known(rule)
        if looked or known is None:
            found = self.label("walk.none" if looked else "state.not-looked")
            return Row(rule.id, (name, found, ""), "" if looked else "faint")
        found = self.label("walk.fact-yes" if known else "walk.fact-no")
        return Row(rule.id, (name, found, self.label(f"effect.{rule.effect}") if known else ""))

    def known(self, rule: FindingRule) -> bool | None:
        """Return what the facts of the machine say of a rule; None where they do not tell."""
        machine = self.session.machine
        return machine.feature(rule.feature) if machine is not None and rule.feature else None

    def _effect(self, rule: FindingRule, finding: Finding) -> str:
        if within_limit(finding, rule):
            return self.label("walk.within")
        if finding.amount is not None:
            return f"-{self.session.typed_money(finding.amount)}"
        return self.label(f"effect.{rule.effect}")

    def finding(self, rule_id: str) -> Finding | None:
        """Return what was found of a rule."""
        return next((f for f in self.session.visit.findings if f.kind == rule_id), None)

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return the question, how to find out, the caution beside it, and the source."""
        rule = self.rules.get(row_id)
        if rule is None:
            return ()
        asked = rule.question or self.session.term("finding", rule.id)
        told = [Paragraph(self.session.spelt(asked), self.session.spelt(rule.look))]
        found = self.finding(rule.id)
        if found is not None and not found.seen:
            words = because("screen-walk-said", text=found.note)
            told.insert(0, Paragraph(self.label("walk.he-says"), self.say(words)))
        if rule.reading and rule.limit_mm is not None:
            limit = self.session.length_mm(rule.limit_mm)
            reading = self.session.term("reading", rule.reading)
            told.append(Paragraph(self.label("walk.limit"), f"{reading} {limit}"))
        told += [
            Paragraph(self.label("caution"), self.session.caution(each)) for each in rule.cautions
        ]
        told.append(Paragraph(self.label("effect"), self.effect_told(rule)))
        if self.known(rule) is not None:
            told.append(Paragraph("", self.label("walk.fact.says")))
        return [*told, Paragraph(self.label("source"), rule.source)]

    def effect_told(self, rule: FindingRule) -> str:
        """Return what a finding does to the price, in words."""
        if rule.effect == "factor":
            return self.say(because("screen-effect-factor", percent=round(rule.value * 100)))
        if rule.effect == "amount":
            return self.say(
                because("screen-effect-amount", amount=f"{rule.value:g} {rule.currency}")
            )
        return self.label(f"effect.{rule.effect}")

    # Marking

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        if key.id in {"found", "not-so"}:
            return (self.sheet.row_id or "") in self.rules
        return super().is_live(key)

    def will(self, text: str) -> str:
        """Return what Enter, space and minus will do, and what it does to the price."""
        rule = self.rules.get(self.sheet.row_id or "")
        if rule is None:
            return self.label("will.nothing")
        name = Term("finding", rule.id)
        if not text:
            effect = self.label(f"effect.{rule.effect}")
            return self.say(because("screen-will-walk", finding=name, effect=effect))
        if not is_figure(text):
            return self.label("will.find")
        try:
            finding = self.read(rule, text)
        except KitreckonError as error:
            return self.say(because("screen-will-not", why=str(error)))
        if finding.amount is not None:
            return self.say(because("screen-will-amount", price=finding.amount, finding=name))
        value = self.session.length(finding.value)
        told = self.label("walk.within" if within_limit(finding, rule) else f"effect.{rule.effect}")
        return self.say(because("screen-will-reading", value=value, finding=name, effect=told))

    def read(self, rule: FindingRule, text: str) -> Finding:
        """Return what a typed figure says: a reading where one is asked, else an amount off."""
        known = self.finding(rule.id) or Finding("", rule.id)
        if rule.reading:
            return replace(known, value=read_length(text, self.session.preferences.units))
        if self.finding(rule.id) is None:
            raise KitreckonError(self.label("walk.no-figure"))
        amount = read_money(text.lstrip("-"), self.session.preferences.currency)
        return replace(known, amount=amount)

    def typed(self, text: str) -> None:
        """Go to the row that words name; a figure is about the row in hand."""
        if not is_figure(text):
            self.find(text)

    def entered(self, text: str) -> None:
        """Note a typed figure at the row in hand; words only found the row."""
        rule = self.rules.get(self.sheet.row_id or "")
        if rule is None or not is_figure(text):
            return
        try:
            finding = self.read(rule, text)
        except KitreckonError as error:
            self.refuse(str(error), text)
            return
        self._found(rule, finding)

    def action_space(self) -> None:
        """Note that it is so."""
        rule = self.rules.get(self.sheet.row_id or "")
        if rule is not None:
            self._found(rule, self.finding(rule.id) or Finding("", rule.id))

    def action_minus(self) -> None:
        """Note that it was looked at, and is not so."""
        rule = self.rules.get(self.sheet.row_id or "")
        if rule is not None:
            visit = look_at(self._without(rule), FINDING_LOOK + rule.id, 0)
            self._note(rule, visit)

    def _found(self, rule: FindingRule, finding: Finding) -> None:
        new_id = finding.id or self.session.new_id("finding")
        finding = replace(finding, id=new_id, seen=True)
        visit = look_at(self._without(rule), FINDING_LOOK + rule.id, None)
        self._note(rule, replace(visit, findings=(*visit.findings, finding)))

    def _without(self, rule: FindingRule) -> Visit:
        visit = self.session.visit
        left = tuple(each for each in visit.findings if each.kind != rule.id)
        return replace(visit, findings=left)

    def _note(self, rule: FindingRule, visit: Visit) -> None:
        label = self.say(because("screen-did-finding", finding=Term("finding", rule.id)))
        self.change(label, visit)
        self.kit.reckon_later()
        self.step(1)


def is_figure(text: str) -> bool:
    """Return whether a text is a figure rather than words."""
    return text.lstrip("-$£€ .")[:1].isdigit()
