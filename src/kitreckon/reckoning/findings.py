"""What the findings on a machine do to its price: one cause once, never below its parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitreckon.catalogue.model import Catalogue, FindingRule
from kitreckon.count import Finding, Machine, Preferences
from kitreckon.quantities import Money
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.exchange import to_user_money
from kitreckon.reckoning.today import of_catalogue


@dataclass(frozen=True, slots=True)
class Deduction:
    """What one cause takes off the bare machine: a share of its price, or an amount."""

    finding: Finding
    cause: str
    factor: float = 1.0  # what is left of the price, 0 to 1
    amount: Money | None = None

    def off(self, price: Money) -> Money:
        """Return what it takes off a price."""
        return price - price * self.factor if self.amount is None else self.amount


@dataclass(frozen=True, slots=True)
class Judged:
    """The findings of one machine, judged: what comes off, and why to walk away."""

    deductions: tuple[Deduction, ...] = ()
    stop: tuple[Reason, ...] = ()
    reasons: tuple[Reason, ...] = ()
    parts_value: Money | None = None

    def left_of(self, price: Money) -> Money:
        """Return what is left of a bare price: factors first, then amounts, then the floor.

        Of the findings of one cause only the one that takes most off this price counts. What is
        left is never less than the machine's parts would fetch, unless the price itself is.
        """
        left = price
        for _, amount in self.taken(price):
            left = left - amount
        floor = self.parts_value or Money.zero(price.currency)
        return max(left, min(floor, price))

    def taken(self, price: Money) -> tuple[tuple[Deduction, Money], ...]:
        """Return what each counted cause takes off: shares of what is left first, then amounts."""
        left, rows = price, []
        counted = self.counted(price)
        shares = [deduction for deduction in counted if deduction.amount is None]
        amounts = [deduction for deduction in counted if deduction.amount is not None]
        for deduction in (*shares, *amounts):
            rows.append((deduction, deduction.off(left)))
            left = left - rows[-1][1]
        return tuple(rows)

    def counted(self, price: Money) -> tuple[Deduction, ...]:
        """Return the one deduction of each cause that takes most off this price."""
        most: dict[str, Deduction] = {}
        for deduction in self.deductions:
            known = most.get(deduction.cause)
            if known is None or deduction.off(price) > known.off(price):
                most[deduction.cause] = deduction
        return tuple(most.values())


def judge_findings(
    machine: Machine,
    findings: Sequence[Finding],
    catalogue: Catalogue,
    preferences: Preferences,
) -> Judged:
    """Judge what was found on a machine.

    The user's own amount stands in place of the rule's effect, also where the rule says to walk
    away: he knows what it would cost him to put right. A reading within the rule's limit takes
    nothing off. A finding the catalogue does not know takes nothing off, and that is said.
    """
    deductions: list[Deduction] = []
    stop: list[Reason] = []
    reasons: list[Reason] = []
    for finding in findings:
        rule = catalogue.findings.get(finding.kind)
        if rule is not None and within_limit(finding, rule):
            reasons.append(because("finding-within-limit", finding=_named(finding)))
        elif finding.amount is not None or (rule is not None and rule.effect in _PRICED):
            deductions.append(_deduction(finding, rule, preferences))
        elif rule is None:
            reasons.append(because("finding-unknown", finding=finding.kind))
        elif ends_deal(finding, rule):
            stop.append(because("finding-walk-away", finding=_named(finding)))
    parts_value = machine.parts_value and to_user_money(
        machine.parts_value, catalogue.shares.currency, preferences
    )
    return Judged(tuple(deductions), tuple(stop), tuple(reasons), parts_value)


_PRICED = ("factor", "amount")


def _deduction(finding: Finding, rule: FindingRule | None, preferences: Preferences) -> Deduction:
    if finding.amount is not None or rule is None:
        own = finding.amount or Money.zero(preferences.currency)
        table = rule.currency if rule else preferences.currency
        unsigned = -own if own.minor < 0 else own  # "100 off" may be typed as -100
        return Deduction(
            finding,
            rule.cause if rule else finding.kind,
            amount=to_user_money(unsigned, table, preferences),
        )
    if rule.effect == "factor":
        return Deduction(finding, rule.cause, factor=min(1.0, max(0.0, rule.value)))
    amount = of_catalogue(rule.value, rule.currency, rule.year, preferences)
    return Deduction(finding, rule.cause, amount=amount)


def ends_deal(finding: Finding, rule: FindingRule) -> bool:
    """Return whether a finding says to walk away: not within its limit, nor with an own amount."""
    own = finding.amount is not None or within_limit(finding, rule)
    return rule.effect == "walk-away" and not own


def within_limit(finding: Finding, rule: FindingRule) -> bool:
    """Return whether what was measured lies within the rule's limit."""
    if finding.value is None or rule.limit_mm is None or finding.value.unit is None:
        return False
    return finding.value.mm <= rule.limit_mm


def noted_rules(
    machine: Machine, findings: Sequence[Finding], catalogue: Catalogue
) -> tuple[FindingRule, ...]:
    """Return what the facts of the machine say that takes nothing off and may cost the buyer.

    With an amount of his own it is taken off as any finding, and is none of these.
    """
    own = {finding.kind for finding in findings if finding.amount is not None}
    found = {finding.kind for finding in findings}
    return tuple(
        rule
        for rule in catalogue.findings.values()
        if rule.feature
        and rule.effect == "note"
        and rule.id not in own
        and (machine.feature(rule.feature) or rule.id in found)
    )


def told_by_facts(
    machine: Machine, findings: Sequence[Finding], catalogue: Catalogue, buyer: Preferences
) -> tuple[Reason, ...]:
    """Name what may cost the buyer while it is not known whether he has what spares him that."""
    return tuple(
        because("finding-costs-apart", finding=Term("finding", rule.id))
        for rule in noted_rules(machine, findings, catalogue)
        if buyer.has(rule.spared_by) is None
    )


def finding_reasons(judged: Judged, price: Money, low: Money) -> tuple[Reason, ...]:
    """Say what each counted cause takes off a price, and which findings were not counted twice.

    ``low`` is the bare price the opening starts from: where a share of it is taken off, that is
    another amount, and both are said.
    """
    counted = judged.counted(price)
    at_low = {d.cause: amount for d, amount in judged.taken(low)}
    said = [_takes_off(d, amount, at_low[d.cause]) for d, amount in judged.taken(price)]
    said += [
        because("finding-same-cause", finding=_named(d.finding))
        for d in judged.deductions
        if d not in counted
    ]
    if judged.parts_value is not None and judged.left_of(price) == judged.parts_value < price:
        said.append(because("finding-parts-value", amount=judged.parts_value))
    return (*said, *judged.reasons)


def _takes_off(deduction: Deduction, amount: Money, at_low: Money) -> Reason:
    finding = _named(deduction.finding)
    if amount == at_low:
        return because("finding-takes-off", finding=finding, amount=amount)
    return because("finding-takes-share", finding=finding, amount=amount, opening=at_low)


def _named(finding: Finding) -> Term:
    return Term("finding", finding.kind)
