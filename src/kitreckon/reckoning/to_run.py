"""What the buyer has to buy before a machine runs at his place: a drive for a three-phase motor.

It comes off whether or not one is here: one that is here is worth what it saves him.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kitreckon.count import Finding
from kitreckon.quantities import Money
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.findings import noted_rules
from kitreckon.reckoning.ground import Ground
from kitreckon.reckoning.pert import mean_of


@dataclass(frozen=True, slots=True)
class ToRun:
    """One thing to buy, what it costs new and fitted, and why."""

    cost: Money
    reason: Reason


def to_run(findings: Sequence[Finding], ground: Ground) -> tuple[ToRun, ...]:
    """Return what a buyer of whom it is known that he lacks it has to buy.

    Nothing for what no price is known of, nor where he gave an amount of his own.
    """
    return tuple(_bought(findings, ground))


def _bought(findings: Sequence[Finding], ground: Ground) -> Iterator[ToRun]:
    for rule in noted_rules(ground.machine, findings, ground.catalogue):
        if ground.preferences.has(rule.spared_by) is not False:
            continue
        fitted = ground.prices.new_fitted(rule.bought_for, None)
        if fitted is not None:
            cost = ground.prices.money(mean_of(fitted.low, fitted.typical, fitted.high))
            named = {"finding": Term("finding", rule.id), "kind": Term("kind", rule.bought_for)}
            yield ToRun(cost, because("offer-to-run", amount=cost, **named))
