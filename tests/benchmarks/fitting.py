"""Fit of a visit's pieces on one machine, and how it grows. Prints a table of ratios.

Times stand beside that of loading the catalogue's kinds and standards, so that the table says
the same on a slow machine and on a quick one.

    python tests/benchmarks/fitting.py
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

sys.path.insert(0, str(Path(__file__).parents[1]))

from builders import a_lathe, a_mill
from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Machine, Piece
from kitreckon.fitting import fit_all
from kitreckon.quantities import Length

COUNTS = (15, 60, 250, 1000)
ROUNDS = 7


def a_count(catalogue: Catalogue, number: int, seed: int) -> list[Piece]:
    """Return a seeded count: kinds of the catalogue with mounts, sizes and backs."""
    chance = random.Random(seed)
    tables = catalogue.standards
    mounts = [*tables.cones, *tables.noses, *tables.collets, *tables.tool_posts, None]
    kinds = list(catalogue.kinds)
    return [
        Piece(
            id=f"p{place}",
            kind=chance.choice(kinds),
            text=f"piece {place}: {chance.choice(mounts) or 'plain'} {chance.choice(mounts) or ''}",
            mount=chance.choice(mounts),
            size=Length.of_mm(chance.randint(10, 300)),
            back=chance.choice(("plain", "backplate", "direct", None)),
        )
        for place in range(number)
    ]


def best_s(work: Callable[[], object]) -> float:
    """Return the shortest of a few runs, in seconds."""
    times = []
    for _ in range(ROUNDS):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def load() -> None:
    """Load what fitting needs of the catalogue."""
    catalogue = open_catalogue()
    assert catalogue.kinds and catalogue.standards


def main() -> None:
    """Print the table."""
    loading = best_s(load)
    catalogue = open_catalogue()
    print(f"loading kinds and standards: {1000 * loading:.1f} ms")
    print("pieces   machine      ms    over loading   us a piece")
    machines: tuple[tuple[str, Machine], ...] = (("lathe", a_lathe()), ("mill", a_mill()))
    for number in COUNTS:
        pieces = a_count(catalogue, number, seed=number)
        for name, machine in machines:
            fit_all(pieces, machine, catalogue)  # texts are read once and remembered
            spent = best_s(lambda p=pieces, m=machine: fit_all(p, m, catalogue))
            print(
                f"{number:6}   {name:8} {1000 * spent:7.2f}   {spent / loading:11.3f}"
                f"   {1e6 * spent / number:10.1f}"
            )


if __name__ == "__main__":
    main()
