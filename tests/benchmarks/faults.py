"""Every fault, at full count, to the book and to TinyDB's default storage in the same run.

``python tests/benchmarks/faults.py [TRIALS]``: TRIALS kills for each kind of change and size
(default 200). A row says how many faults were injected, after how many of them something
acknowledged was lost (or, for a flipped bit, read differently without a word), and after how
many the file could not be opened.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

if __name__ == "__main__":
    sys.path[0] = str(Path(__file__).parent.parent)  # where "faults" is the folder of the tests
    trials = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    importlib.import_module("faults.full_counts").print_table(trials)
