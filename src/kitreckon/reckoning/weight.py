"""What a thing of a kind weighs at another size than its usual one."""

from __future__ import annotations

from kitreckon.catalogue.model import Judgement, Kind, PriceTable


def weight_kg(
    kind: Kind, size_mm: float | None, table: PriceTable | None, judgement: Judgement
) -> float | None:
    """Return about what one weighs, in kg; None where the catalogue has no weight.

    weight = usual weight x (size / usual size) ^ exponent, the usual size being that of the
    kind's prices. Far beyond it, either way, the weight at the end of the reach stands: a guess
    carried further would be none. A size that measures another thing says nothing of the weight.
    """
    usual = kind.weight_kg
    if usual is None or table is None or not size_mm or not table.size_mm or table.size_of:
        return usual
    reach = judgement.weight_size_reach
    ratio = min(max(size_mm / table.size_mm, 1.0 / reach), reach)
    return usual * float(ratio**judgement.weight_exponent)
