"""How long commands take to start, as a ratio to a bare Python start: prints a table.

    python tests/benchmarks/start_up.py

Also the memory and the speed of reading many lines, which must stay flat however long the text.
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SHEET = str(ROOT / "examples" / "lathe-12in.yaml")
ADVERT = str(ROOT / "examples" / "advert.txt")
RUNS = 15
COMMANDS = {
    "bare python": ["-c", "pass"],
    "kitreckon --version": ["-m", "kitreckon", "--version"],
    "kitreckon read advert": ["-m", "kitreckon", "read", ADVERT],
    "kitreckon identify": ["-m", "kitreckon", "identify", "--thread", "1.5in", "--pitch", "8tpi"],
    "kitreckon reckon": ["-m", "kitreckon", "reckon", SHEET],
    "kitreckon buy": ["-m", "kitreckon", "buy", SHEET, "--budget", "600"],
}


def seconds(arguments: list[str]) -> float:
    started = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, capture_output=True)
    return time.perf_counter() - started


def start_up() -> None:
    """Time the commands taking turns, so that a busy moment hits all of them."""
    times: dict[str, list[float]] = {name: [] for name in COMMANDS}
    for _ in range(RUNS):
        for name, arguments in COMMANDS.items():
            times[name].append(seconds(arguments))
    bare = statistics.median(times["bare python"])
    print(f"{'command':24}{'median ms':>10}{'ratio':>8}")
    for name, taken in times.items():
        middle = statistics.median(taken)
        print(f"{name:24}{middle * 1000:10.1f}{middle / bare:8.1f}")


def long_text() -> None:
    """Read a growing number of lines; the peak memory is that of the largest child so far."""
    lines = (ROOT / "tests" / "benchmarks" / "start_up.py").read_text("utf-8").splitlines()
    shop = ["8in 4 jaw chuck D1-4, worn", "set of 13 5C collets", "no steady rest", *lines[:7]]
    print(f"\n{'lines':>8}{'seconds':>10}{'peak MB':>10}")
    for count in (100, 1_000, 10_000):
        with tempfile.NamedTemporaryFile("w", suffix=".txt") as file:
            file.write("\n".join(shop[n % len(shop)] for n in range(count)) + "\n")
            file.flush()
            taken = seconds(["-m", "kitreckon", "read", "--lines", "--json", file.name])
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        print(f"{count:8}{taken:10.2f}{peak:10.1f}")


if __name__ == "__main__":
    long_text()
    start_up()
