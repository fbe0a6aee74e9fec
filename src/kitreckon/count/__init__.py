"""What a visit is made of: the machine, the pieces, the looks, the findings.

Frozen values; a change is a new value. Imports quantities alone.
"""

from kitreckon.count.machine import ExtraCost, Machine
from kitreckon.count.preferences import Preferences
from kitreckon.count.visit import (
    CONDITIONS,
    FINDING_LOOK,
    Condition,
    Correction,
    Finding,
    Look,
    OwnPrice,
    Piece,
    Purchase,
    Reading,
    Saying,
    Visit,
)

__all__ = [
    "CONDITIONS",
    "FINDING_LOOK",
    "Condition",
    "Correction",
    "ExtraCost",
    "Finding",
    "Look",
    "Machine",
    "OwnPrice",
    "Piece",
    "Preferences",
    "Purchase",
    "Reading",
    "Saying",
    "Visit",
]
