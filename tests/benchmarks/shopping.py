"""How long the shopping list and the next question take, beside a reference loop of the same run.

Run: python tests/benchmarks/shopping.py

The reference loop adds up a million small numbers in plain Python. Figures are milliseconds, the
best and the worst over seeded cases, and the best's ratio to the reference; "proven" counts the
lists whose optimum was proven.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from builders import a_lathe, a_piece, a_visit, dollars, the_catalogue
from kitreckon.catalogue.model import Catalogue, Outfit, Want
from kitreckon.count import Look, Piece, Preferences, Visit
from kitreckon.reckoning import next_questions, reckon, shopping
from kitreckon.reckoning.packs import RANK
from kitreckon.reckoning.prerequisites import Group, Option, choose

GAPS = (10, 30, 100, 300)
BUDGETS = (200, 600, 2000)
PIECES = (10, 40, 80, 250)
SEEDS = 5


def main() -> None:
    """Print the tables."""
    reference = min(timed(reference_loop) for _ in range(5))
    print(f"reference loop {reference:.1f} ms\n")
    print(f"{'what':44}{'best ms':>9}{'worst ms':>10}{'of reference':>14}  proven")
    for name, cases in measured():
        times, proven, count = [], 0, 0
        for case in cases:
            times.append(min(timed(case) for _ in range(3)))
            made = case()
            known = getattr(made, "proven_optimal", getattr(made, "proven", None))
            count += known is not None
            proven += bool(known)
        shown = f"{proven} of {count}" if count else ""
        print(
            f"{name:44}{min(times):9.2f}{max(times):10.2f}{min(times) / reference:14.3f}  {shown}"
        )


def timed(run: Callable[[], object]) -> float:
    """Return how long one run takes, in milliseconds."""
    start = time.perf_counter()
    run()
    return 1000.0 * (time.perf_counter() - start)


def reference_loop() -> int:
    """Add up a million small numbers."""
    total = 0
    for number in range(1_000_000):
        total += number & 7
    return total


def measured() -> Iterator[tuple[str, list[Callable[[], object]]]]:
    """Yield what is timed, with its cases."""
    yield (
        "buy: a bare lathe of the catalogue",
        [lambda budget=budget: buy(the_catalogue(), budget) for budget in BUDGETS],
    )
    for count in GAPS:
        wide = a_catalogue_of(count)
        yield (
            f"buy: {count} gaps of a made-up outfit",
            [lambda budget=budget, wide=wide: buy(wide, budget) for budget in BUDGETS],
        )
    for count in GAPS:
        yield (
            f"choose: {count} gaps, prices and worth at random",
            [
                lambda seed=seed, count=count: choose(*at_random(count, seed))
                for seed in range(SEEDS)
            ],
        )
    for count in GAPS:
        yield (
            f"choose: {count} gaps, worth close to price",
            [
                lambda seed=seed, count=count: choose(*close_to_price(count, seed))
                for seed in range(SEEDS)
            ],
        )
    for count in PIECES:
        made = reckon(a_lathe(), a_large_visit(count), the_catalogue(), Preferences())
        yield (
            f"next question: {count} pieces, most not judged",
            [lambda made=made: next_questions(made, the_catalogue())],
        )


def buy(catalogue: Catalogue, budget: int) -> object:
    """Make the list for a lathe on which everything was looked for and nothing found."""
    outfit = catalogue.outfits["engine-lathe-small"]
    visit = a_visit(looks={want.id: 0 for want in outfit.wants})
    made = reckon(a_lathe(), visit, catalogue, Preferences())
    return shopping(made, dollars(budget), catalogue)


def a_catalogue_of(count: int) -> Catalogue:
    """Return the catalogue with an outfit of so many wants, kinds, tiers and uses in turn."""
    known = the_catalogue()
    outfit = known.outfits["engine-lathe-small"]
    wants = [want for want in outfit.wants if not want.when]
    more = [
        want if turn == 0 else _another(want, turn)
        for turn in range(-(-count // len(wants)))
        for want in wants
    ]
    wide: Outfit = replace(outfit, wants=tuple(more[:count]))
    subjects = {"outfits": {**known.outfits, outfit.machine_class: wide}}
    return Catalogue(lambda subject: subjects.get(subject) or getattr(known, subject))


def _another(want: Want, turn: int) -> Want:
    needs = tuple(f"{need}-{turn}" for need in want.needs)
    return replace(want, id=f"{want.id}-{turn}", needs=needs, lists=(want.lists + turn) % 9)


def at_random(count: int, seed: int) -> tuple[list[Group], int]:
    """Return gaps with two supplies each; every fifth gives what some others need."""
    draw = random.Random(seed)
    groups, costs = [], 0
    for n in range(count):
        cost = draw.randint(500, 60_000)
        worth = draw.choice(list(RANK.values())) * draw.randint(1, 16) * 12
        gives = frozenset({f"k{n}"}) if n % 5 == 0 else frozenset[str]()
        needs = frozenset({f"k{n - n % 5}"}) if n % 5 in (1, 2) else frozenset[str]()
        groups.append(
            Group((Option(cost, worth, needs, gives), Option(2 * cost, worth, needs, gives)))
        )
        costs += cost
    return groups, costs // 3


def close_to_price(count: int, seed: int) -> tuple[list[Group], int]:
    """Return gaps whose worth is their price and a little: the sort that is hard to prove."""
    draw = random.Random(seed)
    costs = [draw.randint(500, 60_000) for _ in range(count)]
    groups = [Group((Option(cost, cost + draw.randint(0, 6_000)),)) for cost in costs]
    return groups, sum(costs) // 3


def a_large_visit(count: int) -> Visit:
    """Return a visit with pieces of all wanted kinds in turn, most of them not judged."""
    draw = random.Random(4)
    wants = the_catalogue().outfits["engine-lathe-small"].wants
    kinds = list(dict.fromkeys(kind for want in wants for kind in want.any_of))
    pieces: list[Piece] = [
        a_piece(
            kinds[n % len(kinds)],
            id=f"p{n}",
            qty=draw.choice((1, 1, 1, 2, 5)),
            condition=draw.choice((None, None, None, "good")),
        )
        for n in range(count)
    ]
    looks = tuple(Look(want.id, 0) for want in wants[::4])
    return replace(a_visit(*pieces), looks=looks)


if __name__ == "__main__":
    main()
