"""Tapers, noses, threads, collets, T-slots and posts as tables, each row with its sources."""

from kitreckon.standards.read import read_standards
from kitreckon.standards.standards import Standards
from kitreckon.standards.tables import (
    BoringBar,
    ChuckSpeed,
    Collet,
    Companion,
    Cone,
    Evidence,
    Nose,
    Rule,
    Thread,
    ToolPostSeries,
    TSlot,
)

__all__ = [
    "BoringBar",
    "ChuckSpeed",
    "Collet",
    "Companion",
    "Cone",
    "Evidence",
    "Nose",
    "Rule",
    "Standards",
    "TSlot",
    "Thread",
    "ToolPostSeries",
    "read_standards",
]
