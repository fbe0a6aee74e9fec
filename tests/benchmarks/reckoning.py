"""How long a reckoning takes, beside a reference loop of the same run.

Run: python tests/benchmarks/reckoning.py [--draws 1000000]

The reference loop adds up a million small numbers in plain Python; figures are milliseconds,
the best of several runs, and their ratio to it. With --draws the quantiles of sums are checked
against that many draws as well.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from builders import a_lathe, a_piece, a_visit, length, the_catalogue
from kitreckon.count import Piece, Preferences, Visit
from kitreckon.fitting import fit_all
from kitreckon.reckoning import reckon, without
from kitreckon.reckoning.chain import forget
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.sums import sum_quantiles

COUNTS = (10, 40, 80, 250, 1000)
CONDITIONS = (None, None, "good", "fair", "very-good", "poor")


def main() -> None:
    """Print the table, and the check against draws when it is asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=0)
    draws = parser.parse_args().draws
    reference = best_ms(reference_loop, 5)
    print(f"reference loop {reference:.1f} ms")
    print(f"{'pieces':>7}{'what':>26}{'ms':>9}{'of reference':>14}")
    for count in COUNTS:
        for what, run in measured(count).items():
            took = best_ms(run, 7 if count <= 80 else 3)
            print(f"{count:7}{what:>26}{took:9.2f}{took / reference:14.3f}")
    if draws:
        check_sums(draws)


def reference_loop() -> int:
    """Add up a million small numbers."""
    total = 0
    for number in range(1_000_000):
        total += number & 7
    return total


def best_ms(run: Callable[[], object], times: int) -> float:
    """Return the best of several runs, in milliseconds."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return 1000.0 * best


def measured(count: int) -> dict[str, Callable[[], object]]:
    """Return what is timed for a visit of so many pieces."""
    machine, catalogue, preferences = a_lathe(), the_catalogue(), Preferences()
    visit = a_large_visit(count)
    made = reckon(machine, visit, catalogue, preferences)
    first = visit.pieces[0]
    changed = replace(visit, pieces=(replace(first, condition="poor"), *visit.pieces[1:]))

    def three_bands() -> None:
        for spreads in zip(*_spreads(made), strict=True):
            sum_quantiles(list(spreads), preferences.rank_correlation)

    def from_nothing() -> object:
        forget()
        return reckon(machine, visit, catalogue, preferences)

    return {
        "fit": lambda: fit_all(visit.pieces, machine, catalogue),
        "all, from nothing": from_nothing,
        "all, one line changed": lambda: reckon(machine, changed, catalogue, preferences),
        "three bands of the bundle": three_bands,
        "without one piece": lambda: without(made, [first.id], catalogue),
    }


def _spreads(made: Reckoning) -> list[tuple[object, ...]]:
    return [
        (value.spreads.replacement, value.spreads.worth, value.spreads.part_out)
        for value in made.values.values()
    ]


def a_large_visit(count: int) -> Visit:
    """Return a visit with pieces of all wanted kinds in turn."""
    source = random.Random(4)
    wants = the_catalogue().outfits["engine-lathe-small"].wants
    kinds = list(dict.fromkeys(kind for want in wants for kind in want.any_of))
    return a_visit(*(a_varied_piece(kinds[k % len(kinds)], k, source) for k in range(count)))


def a_varied_piece(kind: str, number: int, source: random.Random) -> Piece:
    """Return a piece of a kind, its state and quantity as they come."""
    mounts = {"chuck": "D1-4", "centre": "MT3", "drill": "JT33"}
    size = source.choice(("6in", "8in", "10in"))
    return a_piece(
        kind,
        id=f"p{number}",
        qty=source.choice((1, 1, 1, 2, 5)),
        mount=mounts.get(kind.split("-")[0]),
        size=length(size) if kind.startswith("chuck") else None,
        condition=source.choice(CONDITIONS),
    )


def check_sums(draws: int) -> None:
    """Print the worst error of P10, P50 and P90 against draws, in percent of P50."""
    from price_draws import a_bundle, draw_sums, worst_error

    print(f"\nquantiles of sums against {draws:,} draws: worst error, % of P50")
    for count in (1, 2, 3, 5, 9, 20, 80):
        errors = []
        for rank_correlation in (0.0, 0.3, 0.7, 1.0):
            spreads = a_bundle(random.Random(count), count, 0.6)
            sums = draw_sums(spreads, rank_correlation, draws, count)
            errors.append(100.0 * worst_error(sum_quantiles(spreads, rank_correlation), sums))
        print(f"{count:4} prices  " + "  ".join(f"{error:5.2f}" for error in errors))


if __name__ == "__main__":
    main()
