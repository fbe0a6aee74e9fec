"""A process that saves without end is killed: what it acknowledged is in the book."""

from __future__ import annotations

from pathlib import Path

import pytest

from faults.kill_trials import KINDS, trials

TRIALS = 20


@pytest.mark.parametrize("kind", KINDS)
def test_what_was_acknowledged_survives_kill_9(kind: str, tmp_path: Path) -> None:
    tally = trials("ours", tmp_path, kind, records=40, count=TRIALS)
    assert tally.trials == TRIALS
    assert tally.acknowledged > TRIALS
    assert (tally.lost, tally.unreadable) == (0, 0)
