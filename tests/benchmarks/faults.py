"""Every fault, at full count, to the book and to TinyDB's default storage in the same run.

``python tests/benchmarks/faults.py [TRIALS [INTERFACE]]``: TRIALS kills of a saving process, and
INTERFACE kills of the program in a pty (which take over a second each), for each kind of change
and size; both are 200 when not given. A row says how many faults were injected, after how many
of them something acknowledged was lost (or, for a flipped bit, read differently without a
word), and after how many the file could not be opened.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

if __name__ == "__main__":
    sys.path[0] = str(Path(__file__).parent.parent)  # where "faults" is the folder of the tests
    given = [int(number) for number in sys.argv[1:3]]
    trials = given[0] if given else 200
    table = importlib.import_module("faults.full_counts")
    table.print_table(trials, given[1] if len(given) > 1 else trials)
