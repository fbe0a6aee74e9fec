"""The same choices given to an integer solver, to check what the core chooses."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from kitreckon.reckoning.assignment import Row


def integer_optimum(rows: Sequence[Row], costs: Mapping[str, int]) -> float:
    """Gain less adapters bought, by an integer program: x for each row and column, y each id."""
    names = sorted(costs)
    pairs = [(k, column) for k, row in enumerate(rows) for column in row.gains]
    if not pairs:
        return 0.0
    size = len(pairs) + len(names)
    objective = np.zeros(size)
    limits, most = [], []
    for at, (k, column) in enumerate(pairs):
        objective[at] = -rows[k].gains[column]
        for name in rows[k].needs:
            use = np.zeros(size)
            use[at], use[len(pairs) + names.index(name)] = 1.0, -1.0
            limits.append(use)
            most.append(0.0)
    for at, name in enumerate(names):
        objective[len(pairs) + at] = costs[name]
    for once in ([p[0] for p in pairs], [p[1] for p in pairs]):
        for mark in set(once):
            limits.append(np.array([float(m == mark) for m in once] + [0.0] * len(names)))
            most.append(1.0)
    found = milp(
        objective,
        integrality=np.ones(size),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(np.array(limits), -np.inf, np.array(most)),
        options={"mip_rel_gap": 0},
    )
    return float(-found.fun)
