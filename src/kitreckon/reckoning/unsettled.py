"""What is here for a want and may not fit: neither missing nor had before somebody tries it."""

from __future__ import annotations

from dataclasses import dataclass

from kitreckon.catalogue.model import Catalogue, Tier
from kitreckon.reckoning.lines import fit_chance
from kitreckon.reckoning.model import Reckoning
from kitreckon.reckoning.slots import outfit_of


@dataclass(frozen=True, slots=True)
class Unsettled:
    """Units of a want that a piece covers if it fits, and the chance of that, 0 to 1."""

    want: str
    kind: str  # of the piece
    tier: Tier
    qty: int
    chance: float
    piece_id: str


def if_it_fits(reckoning: Reckoning, catalogue: Catalogue) -> tuple[Unsettled, ...]:
    """Return the wants that are covered only by pieces whose fit is not known, in turn."""
    outfit = outfit_of(reckoning.machine, catalogue, reckoning.preferences)
    kinds = {piece.id: piece.kind or "" for piece in (*reckoning.shelf, *reckoning.visit.pieces)}
    found = []
    for row in reckoning.cover.coverings:
        fit = reckoning.fits.get(row.piece_id)
        want = outfit.want(row.want) if outfit is not None else None
        kind = catalogue.kinds.get(kinds.get(row.piece_id, ""))
        if fit is not None and fit.verdict == "unknown" and want is not None and kind is not None:
            chance = fit_chance(kind, catalogue, fit)
            found.append(Unsettled(want.id, kind.id, want.tier, row.units, chance, row.piece_id))
    return tuple(found)
