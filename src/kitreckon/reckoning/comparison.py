"""Machines side by side: what each costs in all until it is equipped, and which is cheaper.

total = price + what is missing + repairs + extra moving and power - what the surplus would fetch

Repairs are those of the machine, from its findings, and those of the pieces that cover a want.

Every price in both totals moves with one common price level, so that the chance of one machine
being cheaper is that of the difference of the two sums, not of two separate ranges.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from kitreckon.catalogue.model import TIERS, Catalogue, Tier
from kitreckon.count import Look
from kitreckon.errors import KitreckonError
from kitreckon.fitting.model import Fit
from kitreckon.quantities import Money, Range
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.chain import again
from kitreckon.reckoning.exchange import to_user_money
from kitreckon.reckoning.figures import range_of
from kitreckon.reckoning.findings import Judged, judge_findings
from kitreckon.reckoning.lines import fit_chance
from kitreckon.reckoning.model import Gap, Reckoning
from kitreckon.reckoning.questions import open_rules
from kitreckon.reckoning.slots import outfit_of
from kitreckon.reckoning.spread import Spread
from kitreckon.reckoning.sums import sum_quantiles, sum_share_below

_SURE = 1e-3  # how near to 0 and to 1 a chance may come

Part = Literal["price", "missing", "not-looked", "repairs", "moving", "surplus"]


@dataclass(frozen=True, slots=True)
class Cost:
    """One part of a machine's total: how it is spread in minor units, and what it is for."""

    part: Part
    spread: Spread
    about: str = ""  # id of the want, piece or finding
    kind: str = ""
    chance: float = 1.0  # that it has to be paid: below 1 for what was not looked for


@dataclass(frozen=True, slots=True)
class Side:
    """One machine of a comparison. ``total`` is P10, P50, P90; None where no price is known.

    ``walk_away`` says which findings end the deal: such a machine is never the one to choose.
    """

    machine_id: str
    name: str
    machine_class: str
    price: Money | None
    total: Range[Money] | None
    mean: Money | None
    costs: tuple[Cost, ...]
    reasons: tuple[Reason, ...] = ()
    walk_away: tuple[Reason, ...] = ()

    def part(self, part: Part) -> float:
        """Return the mean of one part of the total, in minor units."""
        return sum(cost.spread.mean for cost in self.costs if cost.part == part)


@dataclass(frozen=True, slots=True)
class Reversal:
    """The one open fact most likely to reverse the choice, and how likely it is."""

    fact: Reason
    chance: float
    changes: Money | None  # of the difference of the totals; None: it ends the deal


@dataclass(frozen=True, slots=True)
class Comparison:
    """Machines equipped to a tier, the cheapest first; then those without a price.

    Last stand those to walk away from, and the first of the warnings names them. ``cheaper``
    holds, for the first machine and each other one with a price, the chance that the first is
    cheaper. ``price_gap`` is how much dearer the first may be and still be no dearer.
    """

    tier: Tier
    sides: tuple[Side, ...]
    cheaper: tuple[tuple[str, str, float], ...]
    reversal: Reversal | None
    price_gap: Money | None
    warnings: tuple[Reason, ...] = ()


def compare(reckonings: Sequence[Reckoning], tier: Tier, catalogue: Catalogue) -> Comparison:
    """Compare machines by what they cost until they are equipped to ``tier``.

    The price is the target of the offer, else what is asked. What nobody looked for counts as
    missing with the chance that it is not there: a machine is not cheaper for being uncounted.
    Raises KitreckonError for fewer than two machines or for two currencies.
    """
    if len(reckonings) < 2:
        raise KitreckonError("one machine cannot be compared", want="name two or more count sheets")
    currencies = {reckoning.preferences.currency for reckoning in reckonings}
    if len(currencies) > 1:
        raise KitreckonError(
            f"{' and '.join(sorted(currencies))} cannot be compared", want="one currency"
        )
    pairs = [(_side(reckoning, tier, catalogue), reckoning) for reckoning in reckonings]
    pairs.sort(key=lambda pair: _place(pair[0]))
    sides = [side for side, _ in pairs]
    first, *rest = [side for side in sides if side.mean and not side.walk_away] or [sides[0]]
    correlation = reckonings[0].preferences.rank_correlation
    return Comparison(
        tier,
        tuple(sides),
        tuple(
            (first.machine_id, other.machine_id, chance_cheaper(first, other, correlation))
            for other in rest
        ),
        _reversal(pairs, tier, catalogue) if rest else None,
        rest[0].mean - first.mean if rest and rest[0].mean and first.mean else None,
        tuple(_warnings(sides)),
    )


def _place(side: Side) -> tuple[bool, bool, int]:
    return bool(side.walk_away), side.mean is None, side.mean.minor if side.mean else 0


def chance_cheaper(side: Side, other: Side, rank_correlation: float) -> float:
    """Return the chance that one machine's total is below another's, the price level shared.

    It is never 0 or 1: what nobody looked for may always turn up.
    """
    spreads = [cost.spread for cost in side.costs]
    spreads += [cost.spread.scaled(-1.0) for cost in other.costs]
    return min(max(sum_share_below(spreads, rank_correlation)(0.0), _SURE), 1.0 - _SURE)


def _side(reckoning: Reckoning, tier: Tier, catalogue: Catalogue) -> Side:
    machine, currency = reckoning.machine, reckoning.preferences.currency
    price = _price(reckoning, catalogue)
    costs = tuple(_costs(reckoning, tier, catalogue))
    reasons = [
        because("compare-no-cost-known", kind=Term("kind", gap.kind))
        for gap in reckoning.gaps
        if not gap.priced and _within(gap.tier, tier)
    ]
    total = mean = None
    if price is None:
        reasons.append(because("compare-no-price"))
    else:
        costs = (Cost("price", Spread.certain(float(price.minor))), *costs)
        spreads = [cost.spread for cost in costs]
        bands = sum_quantiles(spreads, reckoning.preferences.rank_correlation)
        total = range_of(bands, currency)
        mean = Money.rounded(sum(spread.mean for spread in spreads), currency)
    name, machine_class = machine.name, machine.machine_class
    stop = _judged(reckoning, catalogue).stop
    return Side(machine.id, name, machine_class, price, total, mean, costs, tuple(reasons), stop)


def _price(reckoning: Reckoning, catalogue: Catalogue) -> Money | None:
    """Return what the machine is taken to be bought for: the target, else what is asked."""
    asking = reckoning.machine.asking
    if reckoning.offer.target is not None or asking is None:
        return reckoning.offer.target
    return to_user_money(asking, catalogue.shares.currency, reckoning.preferences)


def _within(tier: Tier, limit: Tier) -> bool:
    return TIERS.index(tier) <= TIERS.index(limit)


def _costs(reckoning: Reckoning, tier: Tier, catalogue: Catalogue) -> Iterator[Cost]:
    for gap in reckoning.gaps:
        if gap.priced and _within(gap.tier, tier):
            yield Cost("missing", gap.spread, gap.want, gap.kind)
    for gap, chance in _perhaps_missing(reckoning, catalogue):
        if gap.priced and _within(gap.tier, tier):
            yield Cost("not-looked", _perhaps(gap.spread, chance), gap.want, gap.kind, chance)
    yield from _repairs(reckoning, catalogue)
    yield from _pieces_put_right(reckoning, tier, catalogue)
    for extra in reckoning.machine.extra_costs:
        own = to_user_money(extra.amount, catalogue.shares.currency, reckoning.preferences)
        yield Cost("moving", Spread.certain(float(own.minor)), extra.label)
    kept = set(reckoning.offer.let_him_keep)
    kept |= {piece.id for piece in reckoning.visit.pieces if piece.his}
    kinds = {piece.id: piece.kind for piece in reckoning.visit.pieces}
    for piece_id, value in reckoning.values.items():
        if value.surplus and piece_id not in kept:
            spread = value.spreads.part_out.scaled(-1.0)
            yield Cost("surplus", spread, piece_id, kinds.get(piece_id) or "")


def _perhaps(spread: Spread, chance: float) -> Spread:
    """Return a cost that has to be paid with a chance only."""
    parts = tuple((w * chance, low, typical, high) for w, low, typical, high in spread.parts)
    return Spread(((1.0 - chance, 0.0, 0.0, 0.0), *parts)) if chance < 1.0 else spread


def _perhaps_missing(reckoning: Reckoning, catalogue: Catalogue) -> list[tuple[Gap, float]]:
    """Return the gaps there would be if nothing not looked for were there, with their chance."""
    chances = {wanted.want: 1.0 - wanted.chance for wanted in reckoning.not_looked}
    if not chances:
        return []
    looked = {look.want: look.seen for look in reckoning.visit.looks}
    looks = tuple(look for look in reckoning.visit.looks if look.want not in chances)
    looks += tuple(Look(want, looked.get(want, 0)) for want in chances)
    absent = again(reckoning, catalogue, visit=replace(reckoning.visit, looks=looks))
    return [(gap, chances[gap.want]) for gap in absent.gaps if gap.want in chances]


def _repairs(reckoning: Reckoning, catalogue: Catalogue) -> Iterator[Cost]:
    """Yield what the findings will cost to put right: what they take off the bare machine."""
    machine, preferences = reckoning.machine, reckoning.preferences
    judged = _judged(reckoning, catalogue)
    bare = machine.bare_price.typical if machine.bare_price else Money.zero(preferences.currency)
    own = to_user_money(bare, catalogue.shares.currency, preferences)
    for deduction, amount in judged.taken(own):
        yield Cost("repairs", Spread.certain(float(amount.minor)), deduction.finding.kind)


def _judged(reckoning: Reckoning, catalogue: Catalogue) -> Judged:
    findings = reckoning.visit.findings
    return judge_findings(reckoning.machine, findings, catalogue, reckoning.preferences)


def _pieces_put_right(reckoning: Reckoning, tier: Tier, catalogue: Catalogue) -> Iterator[Cost]:
    """Yield what it costs to put right the pieces that wants up to the tier rely on.

    What is sold as it is costs no repair: its surplus is the less for it already.
    """
    outfit = outfit_of(reckoning.machine, catalogue, reckoning.preferences)
    pieces = {piece.id: piece for piece in (*reckoning.shelf, *reckoning.visit.pieces)}
    for row in reckoning.cover.repairs:
        want = outfit.want(row.want) if outfit is not None else None
        if row.repair and want is not None and _within(want.tier, tier):
            kind = pieces[row.piece_id].kind or ""
            yield Cost("repairs", Spread.certain(float(row.repair.minor)), row.piece_id, kind)


def _warnings(sides: Sequence[Side]) -> Iterator[Reason]:
    for side in sides:
        if side.walk_away:
            yield because("compare-walk-away", machine=side.name, why=side.walk_away)
    classes = sorted({side.machine_class for side in sides})
    if len(classes) > 1:
        named = tuple(Term("class", name) for name in classes)
        yield because("compare-classes-differ", classes=named)
    for side in sides:
        if side.mean is None:
            yield because("compare-left-out", machine=side.name)


def _reversal(
    pairs: Sequence[tuple[Side, Reckoning]], tier: Tier, catalogue: Catalogue
) -> Reversal | None:
    """Return the open fact most likely to make the second machine cheaper than the first."""
    (first, first_reckoning), (second, _) = pairs[0], pairs[1]
    if first.mean is None or second.mean is None:
        return None
    ahead = second.mean - first.mean
    found = [
        Reversal(fact, chance, changes)
        for fact, chance, changes in (
            *_if_absent(first, ahead.currency),
            *_if_there(second, ahead.currency),
            *_if_misfit(first_reckoning, first, tier, catalogue),
            *_if_walked_from(first_reckoning, catalogue),
        )
        if changes is None or changes > ahead
    ]
    return max(found, key=_weight, default=None)


def _weight(turn: Reversal) -> tuple[float, float]:
    return turn.chance, math.inf if turn.changes is None else turn.changes.minor


_Fact = tuple[Reason, float, Money | None]  # the fact, its chance, what it changes


def _if_absent(side: Side, currency: str) -> Iterator[_Fact]:
    for cost in side.costs:
        if cost.part == "not-looked" and 0.0 < cost.chance < 1.0:
            changes = cost.spread.mean / cost.chance * (1.0 - cost.chance)
            fact = because("compare-if-absent", machine=side.name, kind=Term("kind", cost.kind))
            yield fact, cost.chance, Money.rounded(changes, currency)


def _if_there(side: Side, currency: str) -> Iterator[_Fact]:
    for cost in side.costs:
        if cost.part == "not-looked" and 0.0 < cost.chance < 1.0:
            fact = because("compare-if-there", machine=side.name, kind=Term("kind", cost.kind))
            yield fact, 1.0 - cost.chance, Money.rounded(cost.spread.mean, currency)


def _if_misfit(
    reckoning: Reckoning, side: Side, tier: Tier, catalogue: Catalogue
) -> Iterator[_Fact]:
    """Yield what it would cost if a piece of unknown fit did not fit; its chance is judgement."""
    kinds = {piece.id: piece.kind or "" for piece in reckoning.visit.pieces}
    for piece_id, fit in reckoning.fits.items():
        if fit.verdict != "unknown" or side.mean is None:
            continue
        then = again(reckoning, catalogue, fits={piece_id: Fit("misfit", ())})
        price, kind = _price(then, catalogue), catalogue.kinds.get(kinds.get(piece_id, ""))
        if price is not None and kind is not None:
            costs = sum(row.spread.mean for row in _costs(then, tier, catalogue))
            changes = price + Money.rounded(costs, price.currency) - side.mean
            fact = because("compare-if-misfit", machine=side.name, kind=Term("kind", kind.id))
            yield fact, 1.0 - fit_chance(kind, catalogue, fit), changes


def _if_walked_from(reckoning: Reckoning, catalogue: Catalogue) -> Iterator[_Fact]:
    """Yield the open findings that would end the deal: whatever it is ahead by is gone then."""
    for rule in open_rules(reckoning, catalogue):
        if rule.effect == "walk-away":
            fact = because(
                "compare-if-found", machine=reckoning.machine.name, finding=Term("finding", rule.id)
            )
            yield fact, rule.chance, None
