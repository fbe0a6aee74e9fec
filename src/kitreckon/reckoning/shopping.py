"""What to buy first: the exact best list within a budget.

A dear thing is no better than a cheap one that does the same work (see packs for what things
are worth); prices only decide what can be had together.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from kitreckon.catalogue.model import SUPPLIES, TIERS, Catalogue, SupplyName, Tier
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, Range
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.buyable import lines_to_buy
from kitreckon.reckoning.exchange import minor_per_major, to_user_money
from kitreckon.reckoning.figures import range_of
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.packs import Buyable, Missing, PutRight
from kitreckon.reckoning.prerequisites import Chosen, Group, Problem
from kitreckon.reckoning.spread import Spread
from kitreckon.reckoning.sums import sum_quantiles

Source = SupplyName | Literal["put-right"]  # bought, or a piece that is there and is put right


@dataclass(frozen=True, slots=True)
class Buying:
    """One line of the list: what to buy or put right, where from, and what all of it costs."""

    want: str
    kind: str
    qty: int  # as sold: a set is one
    supply: Source
    cost: Money
    tier: Tier
    goes_with: str = ""  # kind it is bought beside: a backplate for its chuck
    reasons: tuple[Reason, ...] = ()
    piece_id: str = ""  # of the piece to put right
    if_it_fits: bool = False  # whether that piece fits is not known


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another list: the kinds it has and the best one has not, those it leaves out, its total."""

    adds: tuple[str, ...]
    drops: tuple[str, ...]
    total: Money
    worth: int


@dataclass(frozen=True, slots=True)
class ShoppingList:
    """The best list within the budget.

    ``worth`` is in points (see packs); ``off_by_at_most`` is how many more the true optimum
    could have, 0 when ``proven_optimal``. ``runner_up`` is the best list within the budget that
    has something this one leaves out; ``a_little_more`` the one that becomes possible with the
    least addition to the budget.
    """

    buy: tuple[Buying, ...]
    total: Money
    total_range: Range[Money]  # P10, P50, P90
    budget: Money
    worth: int
    runner_up: Alternative | None
    a_little_more: Alternative | None
    proven_optimal: bool
    off_by_at_most: int
    left_out: tuple[tuple[str, Reason], ...] = ()  # want, and why it is not on the list
    reasons: tuple[Reason, ...] = ()


def shopping(
    reckoning: Reckoning,
    budget: Money,
    catalogue: Catalogue,
    supplies: Sequence[SupplyName] = SUPPLIES,
) -> ShoppingList:
    """Return the list of greatest worth that the budget pays for; of equal ones the cheapest.

    What a thing needs is bought with it or is had already; where nobody looked for it, it may be
    bought too. A piece that has to be put right before it works is on the list at what the user
    says that costs. Raises KitreckonError for a budget below 0, or in a currency without a rate.
    """
    money = _budget(budget, reckoning, catalogue)
    lines = lines_to_buy(reckoning, catalogue, supplies)
    groups = [Group(tuple(row.option for row in line.buyable)) for line in lines]
    problem = Problem(groups, money.minor + _reach(groups, money, catalogue))
    uses = _uses(reckoning, catalogue)
    return _listed(lines, problem, money, uses, reckoning.preferences.rank_correlation)


@dataclass(frozen=True, slots=True)
class _Uses:
    """The wants that need a thing: all of them, and those nobody looked for."""

    wants: tuple[str, ...] = ()
    unseen: tuple[str, ...] = ()


def _uses(reckoning: Reckoning, catalogue: Catalogue) -> dict[str, _Uses]:
    """Return for each want that others need what it is of use for."""
    outfit = catalogue.outfits.get(reckoning.machine.machine_class)
    unseen = {wanted.want for wanted in reckoning.not_looked}
    found: dict[str, _Uses] = {}
    for want in outfit.wants if outfit is not None else ():
        for need in want.needs:
            known = found.get(need, _Uses())
            more = (want.id,) if want.id in unseen else ()
            found[need] = _Uses((*known.wants, want.id), (*known.unseen, *more))
    return found


def _budget(budget: Money, reckoning: Reckoning, catalogue: Catalogue) -> Money:
    money = to_user_money(budget, catalogue.shares.currency, reckoning.preferences)
    if money.minor < 0:
        raise KitreckonError(
            f"a budget of {budget} is below nothing", where="budget", want="an amount of 0 or more"
        )
    return money


def _listed(
    lines: Sequence[Missing],
    problem: Problem,
    money: Money,
    uses: Mapping[str, _Uses],
    rank_correlation: float,
) -> ShoppingList:
    best = _best(problem, money.minor)
    taken = list(_taken(lines, best))
    bands = sum_quantiles([_spread(row) for _, row in taken], rank_correlation)
    left_out = [
        line
        for line, pick in zip(lines, best.picks, strict=True)
        if pick is None and _is_missed(line)
    ]
    return ShoppingList(
        tuple(buying for line, row in taken for buying in _buyings(line, row, money.currency)),
        Money(best.cost, money.currency),
        range_of(bands, money.currency),
        money,
        best.worth,
        _alternative(lines, best, problem.runner_up(best, money.minor), money.currency),
        _alternative(lines, best, _a_little_more(problem, best, money), money.currency),
        best.proven,
        best.off_by_at_most,
        tuple((line.want.id, _why_not(line, lines, money, uses)) for line in left_out),
        tuple(_reasons(lines, best, money)),
    )


def _best(problem: Problem, budget: int) -> Chosen:
    """Choose without a must, where the empty list is always there."""
    found = problem.choose(budget)
    return found if found is not None else Chosen((None,) * len(problem.start), 0, 0)


def _taken(lines: Sequence[Missing], chosen: Chosen) -> Iterator[tuple[Missing, Buyable]]:
    for line, pick in zip(lines, chosen.picks, strict=True):
        if pick is not None:
            yield line, line.buyable[pick]


def _spread(row: Buyable) -> Spread:
    """Return how the cost of an option is spread: what is stated is certain."""
    sure = float(sum(each.cost for each in row.put_right))
    figures = row.pack.figures if row.pack is not None else (0.0, 0.0, 0.0)
    low, typical, high = (figure * row.packs + sure for figure in figures)
    return Spread.pert(low, typical, high)


def _buyings(line: Missing, row: Buyable, currency: str) -> Iterator[Buying]:
    """Yield what is put right, the line of the list, and what has to be bought beside it."""
    for each in row.put_right:
        yield _put_right(line, each, currency)
    pack, want, tier = row.pack, line.want.id, line.want.tier
    if pack is None or row.packs == 0:  # all of them come with a set that is on the list
        return
    cost = Money(pack.cost * row.packs, currency)
    yield Buying(want, pack.kind, row.packs, pack.supply, cost, tier, reasons=pack.reasons)
    if pack.beside is not None:
        cost = Money(pack.beside.cost * row.packs, currency)
        yield Buying(want, pack.beside.kind, row.packs, pack.beside.supply, cost, tier, pack.kind)


def _put_right(line: Missing, each: PutRight, currency: str) -> Buying:
    cost = Money(each.cost, currency)
    told = "buy-put-right" if each.fits else "buy-put-right-if-it-fits"
    why = because(f"{told}-of", what=each.what) if each.what else because(told)
    return Buying(
        line.want.id,
        each.kind,
        each.units,
        "put-right",
        cost,
        line.want.tier,
        reasons=(why,),
        piece_id=each.piece_id,
        if_it_fits=not each.fits,
    )


def _reach(groups: Sequence[Group], budget: Money, catalogue: Catalogue) -> int:
    """Return how far past the budget to look: a share of it, or to what makes any difference.

    With nothing to be had for the budget, as far as the cheapest thing with all it needs.
    """
    unit = int(minor_per_major(budget.currency))
    reach = max((budget * catalogue.judgement.a_little_more).minor, unit)
    everything = sum(max((o.cost for o in group.options), default=0) for group in groups)
    if min((o.cost for g in groups for o in g.options if o.cost), default=0) > budget.minor:
        reach = max(reach, min(everything, 2**40))
    return reach


def _a_little_more(problem: Problem, best: Chosen, budget: Money) -> Chosen | None:
    """Return the list that the least addition to the budget makes better, to a whole unit."""
    low, better = budget.minor, _best(problem, problem.most)
    if better.worth <= best.worth:
        return None
    step = int(minor_per_major(budget.currency))
    while better.cost - low > step:
        middle = (low + better.cost) // 2
        found = _best(problem, middle)
        if found.worth > best.worth:
            better = found
        else:
            low = middle
    return better


def _alternative(
    lines: Sequence[Missing], best: Chosen, other: Chosen | None, currency: str
) -> Alternative | None:
    if other is None:
        return None
    adds: list[str] = []
    drops: list[str] = []
    for line, mine, theirs in zip(lines, best.picks, other.picks, strict=True):
        now = line.buyable[mine] if mine is not None else None
        then = line.buyable[theirs] if theirs is not None else None
        more = _units(then) - _units(now)
        if then is not None and more > 0:
            adds.append(then.kind)
        elif now is not None and more < 0:
            drops.append(now.kind)
    return Alternative(tuple(adds), tuple(drops), Money(other.cost, currency), other.worth)


def _units(row: Buyable | None) -> int:
    return row.units + sum(each.units for each in row.put_right) if row is not None else 0


def _reasons(lines: Sequence[Missing], best: Chosen, budget: Money) -> Iterator[Reason]:
    """Say how far each tier is covered, and what is known of the list."""
    if not lines:
        yield because("buy-nothing-missing")
        return
    if budget.minor == 0:
        yield because("buy-no-budget")
    for tier in TIERS:
        rows = [
            (line, pick)
            for line, pick in zip(lines, best.picks, strict=True)
            if line.want.tier == tier
        ]
        if rows:
            bought = sum(pick is not None for _, pick in rows)
            mends = any(row.put_right for line, _ in rows for row in line.buyable)
            told = "buy-tier-put-right" if mends else "buy-tier"
            yield because(told, tier=Term("tier", tier), bought=bought, missing=len(rows))
    if not best.proven:
        yield because("buy-not-proven", points=best.off_by_at_most)


def _is_missed(line: Missing) -> bool:
    """Whether a want stays open without it: not that of what only others on the list need."""
    return not line.buyable or any(row.option.worth for row in line.buyable)


def _why_not(
    line: Missing, lines: Sequence[Missing], budget: Money, uses: Mapping[str, _Uses]
) -> Reason:
    kind = Term("kind", line.want.kind)
    if not line.buyable:
        return because("buy-no-price", kind=kind)
    given = {key for other in lines for row in other.buyable for key in row.option.gives}
    meetable = [row for row in line.buyable if row.option.needs <= given]
    if not meetable:
        return _no_use(line, uses.get(line.want.id, _Uses()), given)
    cheapest = min(meetable, key=lambda row: row.option.cost)
    cost = Money(cheapest.option.cost, budget.currency)
    if cheapest.pack is None:
        told = "buy-put-right-too-dear" if cost > budget else "buy-put-right-left-out"
    else:
        told = "buy-too-dear" if cost > budget else "buy-left-out"
    return because(told, kind=kind, cost=cost)


def _no_use(line: Missing, uses: _Uses, given: set[str]) -> Reason:
    """Say what a thing lacks: another that it needs, or one that would make it of use."""
    kind = Term("kind", line.want.kind)
    lacking = {key for row in line.buyable for key in row.option.needs - given}
    if not all(key.startswith("use:") for key in lacking):
        return because("buy-never", kind=kind)
    if uses.unseen:
        unseen = tuple(Term("want", want) for want in uses.unseen)
        return because("buy-for-what-nobody-looked-for", kind=kind, others=unseen)
    others = tuple(Term("want", want) for want in uses.wants)
    return because("buy-nothing-for-it", kind=kind, others=others)
