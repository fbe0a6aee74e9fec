"""What is missing as a list to take to the shop, with a box to tick at each line."""

from __future__ import annotations

from kitreckon.quantities import Money
from kitreckon.reckoning.model import Reckoning
from kitreckon.reports.buyer import missing_table
from kitreckon.reports.document import Bar, Bars, Document, Paragraph, Part
from kitreckon.reports.voice import Voice


def shopping_report(reckoning: Reckoning, voice: Voice) -> Document:
    """Return what is missing, essential things first, and what each tier costs in all."""
    title = voice.say("report-shopping-title", machine=reckoning.machine.name)
    if not reckoning.gaps:
        return Document(title, (Paragraph(voice.say("report-nothing-missing")),))
    parts: tuple[Part, ...] = (
        Paragraph(voice.say("report-shopping-lead", currency=reckoning.preferences.currency)),
        missing_table(reckoning, voice, tick=True),
        _tiers(reckoning, voice),
        Paragraph(voice.say("report-shopping-end")),
    )
    return Document(title, parts)


def _tiers(reckoning: Reckoning, voice: Voice) -> Bars:
    """Return what each tier costs: sums of the low, typical and high figures."""
    bars = []
    for tier in ("essential", "usual", "handy"):
        costs = [gap.cost for gap in reckoning.gaps if gap.tier == tier and gap.priced]
        if not costs:
            continue
        low, typical, high = (
            sum(float(getattr(cost, point).major) for cost in costs)
            for point in ("low", "typical", "high")
        )
        currency = reckoning.preferences.currency
        shown = voice.money(Money.of(round(typical), currency))
        bars.append(Bar(voice.term("tier", tier), low, typical, high, shown))
    return Bars(tuple(bars), voice.say("report-tiers-picture"))
