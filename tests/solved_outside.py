"""The same choices given to an integer solver, to check what the core chooses."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from kitreckon.reckoning.assignment import Costs, Row


def integer_optimum(rows: Sequence[Row], costs: Costs) -> float:
    """Gain less adapters bought, by an integer program.

    x for each row and column, y for each adapter and chance up to which it is bought.
    """
    bought = [(name, chance) for name in sorted(costs) for chance in sorted(costs[name])]
    pairs = [(k, column) for k, row in enumerate(rows) for column in row.gains]
    if not pairs:
        return 0.0
    size = len(pairs) + len(bought)
    objective = np.zeros(size)
    limits, most = [], []
    for at, (k, column) in enumerate(pairs):
        objective[at] = -rows[k].gains[column]
        sure = rows[k].chances.get(column, 1.0)
        for name in rows[k].needs:
            use = np.zeros(size)
            use[at] = 1.0
            for place, (other, chance) in enumerate(bought):
                if other == name and chance >= sure:
                    use[len(pairs) + place] = -1.0
            limits.append(use)
            most.append(0.0)
    for at, (name, chance) in enumerate(bought):
        objective[len(pairs) + at] = costs[name][chance]
    for once in ([p[0] for p in pairs], [p[1] for p in pairs]):
        for mark in set(once):
            limits.append(np.array([float(m == mark) for m in once] + [0.0] * len(bought)))
            most.append(1.0)
    found = milp(
        objective,
        integrality=np.ones(size),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(np.array(limits), -np.inf, np.array(most)),
        options={"mip_rel_gap": 0},
    )
    return float(-found.fun)
