"""From how badly each candidate fits to probabilities, with one for "none of these".

Weights are exp(-chi squared / 2). "None" is spread evenly over what a part might measure, so
its weight is what such a spread gives at the place measured. Candidates stay named out to eight
standard deviations, however improbable beside a better one, so that two things nearer than five
are always both named.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from kitreckon.errors import KitreckonError
from kitreckon.fitting.model import Candidate
from kitreckon.reasons import because

NAMED_WITHIN_SD = 8.0  # 5 and 3 more: what is nearer than 5 of a named one is named with it
_WORTH_SAYING = 0.01  # of the notes alone: rarer kin are listed, and not spoken of


@dataclass(frozen=True, slots=True)
class Scored:
    """A candidate before it has a probability: its weight beside that of the others."""

    candidate: Candidate
    weight: float
    chi_squared: float


def likelihood(chi_squared: float) -> float:
    """Return the weight of a chi squared.

    >>> likelihood(0.0), round(likelihood(4.0), 4)
    (1.0, 0.1353)
    """
    return math.exp(-chi_squared / 2)


def ranked(
    scored: Sequence[Scored], none_weight: float, same: Callable[[str, str], bool]
) -> tuple[tuple[Candidate, ...], float]:
    """Return the candidates with probabilities, best first, and that of none of them.

    ``same`` tells whether two names share a cone or a thread, and so are named together.
    """
    near = [one for one in scored if one.chi_squared <= NAMED_WITHIN_SD**2]
    total = math.fsum(one.weight for one in near) + none_weight
    if total <= 0:
        return (), 1.0
    shares = {one.candidate.name: one.weight / total for one in near}
    found = []
    for one in near:
        name = one.candidate.name
        kin = tuple(other for other in shares if other != name and same(name, other))
        likely = tuple(k for k in kin if shares[k] > _WORTH_SAYING)
        notes = one.candidate.notes
        if likely:
            shared = because("shares-cone", others=likely)
            first = 1 if notes and notes[0].id == "length-is-drift-slot" else 0
            notes = (*notes[:first], shared, *notes[first:])
        found.append(
            replace(
                one.candidate,
                probability=shares[name],
                notes=notes,
                together=kin,
                cone_probability=min(1.0, shares[name] + math.fsum(shares[k] for k in kin)),
            )
        )
    found.sort(key=lambda candidate: (-candidate.probability, candidate.error_mm or 0.0))
    return tuple(found), none_weight / total


def above_zero(**values: float) -> None:
    """Refuse measurements that are not above zero; raises KitreckonError naming the field."""
    for name, value in values.items():
        if not math.isfinite(value) or value <= 0:
            field = name.removesuffix("_mm").replace("_", " ")
            raise KitreckonError(
                f"{value:g} mm cannot be measured", where=field, want="a length above zero"
            )
