"""What a thing goes on or into, as a line tells it."""

from __future__ import annotations

import re
from collections.abc import Sequence

from kitreckon.reading.clauses import Clause
from kitreckon.reading.habits import Habits

_NUMBERED = re.compile(r"(?:\bno\.?\s?|#\s?)([1-6])\b(?![\d/.\"])")
_GLUED_NOSE = re.compile(r"d1\d+")  # "d12" is a diameter more often than a nose
_BOLT = re.compile(r"\s*(?:bolts?|screws?|studs?|draw ?bars?|t-?nuts?|holes?)\b")
_SERIES = re.compile(r"ER\d+|[ABC]XA|0XA|CA")
_BOTH_TAPERS = re.compile(r"(?<![\w/.-])([0-7])\s?(?:-|to)\s?([0-7])\s?(?:mt\b|morse\b)")
_THREAD = re.compile(r"M\d|[\d.].*[-x]")


def mount_of(
    kind: str, clauses: Sequence[Clause], habits: Habits, low: str
) -> tuple[str | None, str | None]:
    """Return (mount, series): what it goes on or into, and the holders or collets it is of."""
    if kind in habits.unmounted:
        return None, None
    numbered = _number_mount(kind, clauses, low, habits)
    both = _BOTH_TAPERS.search(low) if kind in habits.outer else None
    if both is not None:
        return f"MT{max(both[1], both[2])}", None
    mount = series = None
    for clause in clauses:
        for token in clause.facts:
            if token.kind != "mount" or _GLUED_NOSE.match(token.text):
                continue
            name = str(token.value)
            if kind in habits.models and name.startswith("BS"):
                continue
            if kind in habits.outer and mount and mount[:2] == name[:2] == "MT":
                mount = max(mount, name)
                continue
            if _SERIES.fullmatch(name):
                series = series or name
            elif _THREAD.match(name):
                bolt = _BOLT.match(low, token.end)  # "M6 bolts" hold it to its plate
                if kind in habits.threaded and mount is None and not bolt:
                    mount = name
            elif mount is None or _rank(name) > _rank(mount):
                mount = name
    return mount or numbered, series


def _number_mount(kind: str, clauses: Sequence[Clause], low: str, habits: Habits) -> str | None:
    """Return MT5 for "revolving centre no. 5": a bare number of these is a Morse taper."""
    if kind not in habits.morse or not clauses:
        return None
    match = _NUMBERED.search(low, clauses[0].start, clauses[0].end)
    return f"MT{match[1]}" if match else None


def _rank(name: str) -> int:
    """Return how surely a mount is the one on the machine's side: nose, taper, then chuck's."""
    if name.startswith(("D1", "A1", "A2", "L0", "L1", "L2", "L3")) or (
        name[:1].isdigit() and "-" in name
    ):
        return 3
    return 1 if name.startswith(("JT", "B1", "B2")) or name.endswith("C") else 2
