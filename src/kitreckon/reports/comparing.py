"""Machines side by side: what each costs until it is equipped, and what could turn it round."""

from __future__ import annotations

from kitreckon.quantities import Money
from kitreckon.reckoning.comparison import Comparison, Reversal, Side
from kitreckon.reckoning.comparison import Part as CostPart
from kitreckon.reports.document import (
    Amount,
    Bar,
    Bars,
    Caution,
    Cell,
    Column,
    Document,
    Paragraph,
    Part,
    Table,
)
from kitreckon.reports.voice import Voice, whole
from kitreckon.reports.whole_parts import whole_parts

# Facts the chance of being cheaper has in it already; the others come on top of it.
_WEIGHED = frozenset({"compare-if-absent", "compare-if-there"})
PARTS: tuple[CostPart, ...] = ("price", "missing", "not-looked", "repairs", "moving", "surplus")


def comparison_report(comparison: Comparison, currency: str, voice: Voice) -> Document:
    """Return the comparison, the cheapest first."""
    tier = voice.term("tier", comparison.tier)
    parts: list[Part] = [Caution(warning) for warning in voice.why(comparison.warnings)]
    parts += [
        Paragraph(voice.say("report-compare-lead", currency=currency)),
        _parts_table(comparison, currency, voice),
        *_bars(comparison.sides, voice),
        *_chances(comparison, voice),
    ]
    parts.append(Paragraph(voice.say("report-compare-not-in-it")))
    if comparison.reversal is not None:
        parts.append(Paragraph(_turned(comparison.reversal, voice)))
    if comparison.price_gap is not None:
        gap = voice.money(whole(comparison.price_gap))
        parts.append(Paragraph(voice.say("report-compare-gap", money=gap)))
    return Document(voice.say("report-compare-title", tier=tier), tuple(parts))


def is_weighed(turn: Reversal) -> bool:
    """Return whether the chance of being cheaper has it in it already."""
    return turn.fact.id in _WEIGHED


def _turned(turn: Reversal, voice: Voice) -> str:
    """Return what could turn the choice round, and by how much where it does not end the deal."""
    chance = voice.percent(turn.chance)
    if turn.changes is None:
        return voice.say("report-compare-reversal-ends", fact=turn.fact, chance=chance)
    money = voice.money(whole(turn.changes))
    told = "report-compare-reversal" if is_weighed(turn) else "report-compare-reversal-beside"
    return voice.say(told, fact=turn.fact, chance=chance, money=money)


def _parts_table(comparison: Comparison, currency: str, voice: Voice) -> Table:
    columns = (
        voice.left("report-compare-part"),
        *(Column(_headed(side, voice), "right") for side in comparison.sides),
    )
    figures = [_parts(side, currency) for side in comparison.sides]
    rows: list[tuple[Cell, ...]] = []
    for number, part in enumerate(PARTS):
        said = voice.say(f"report-compare-{part}")
        rows.append((said, *(voice.amount(each[number]) for each in figures)))
    totals = [
        voice.rounded(side.mean) if side.mean is not None else Amount("?")
        for side in comparison.sides
    ]
    rows.append((voice.say("report-compare-total"), *totals))
    return Table(columns, tuple(rows))


def _headed(side: Side, voice: Voice) -> str:
    """Return the name over a machine's column, with a word where it is not to be bought."""
    if not side.walk_away:
        return side.name
    return voice.say("report-compare-walk-away", machine=side.name)


def _parts(side: Side, currency: str) -> tuple[Money, ...]:
    """Return the parts of a machine's total in whole units; they add up to it."""
    means = [Money.rounded(side.part(part), currency) for part in PARTS]
    return whole_parts(means, None if side.mean is None else whole(side.mean))


def _bars(sides: tuple[Side, ...], voice: Voice) -> list[Part]:
    """Return a bar for each machine there is to choose from."""
    bars = []
    for side in sides:
        if side.total is None or side.walk_away:
            continue
        low, typical, high = (float(figure.major) for figure in side.total)
        bars.append(Bar(side.name, low, typical, high, voice.span(side.total)))
    return [Bars(tuple(bars), voice.say("report-compare-picture"))] if bars else []


def _chances(comparison: Comparison, voice: Voice) -> list[Part]:
    names = {side.machine_id: side.name for side in comparison.sides}
    return [
        Paragraph(
            voice.say(
                "report-compare-cheaper",
                first=names[first],
                other=names[other],
                chance=voice.percent(chance),
            )
        )
        for first, other, chance in comparison.cheaper
    ]
