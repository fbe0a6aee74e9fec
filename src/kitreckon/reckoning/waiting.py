"""Pieces that are here and cover nothing for want of what they go on: collets without a closer.

Whoever buys the closer has their use for nothing, so the list of what to buy must know of them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import Catalogue, Want
from kitreckon.count import Piece
from kitreckon.fitting.model import Adapter, Fit
from kitreckon.reckoning.chain import again
from kitreckon.reckoning.model import Reckoning


@dataclass(frozen=True, slots=True)
class Waiting:
    """So many units of a missing want that are here, of a kind, once what they need is had."""

    kind: str
    units: int


def waiting_for(
    reckoning: Reckoning, wants: Mapping[str, Want], catalogue: Catalogue
) -> dict[str, Waiting]:
    """Return the missing wants that pieces here would cover if what they need were bought."""
    idle = _idle(reckoning)
    missing = {gap.want: gap.qty for gap in reckoning.gaps if gap.want in wants}
    found = {}
    for want_id, qty in missing.items():
        want = wants[want_id]
        sought = {k for need in want.needs if need in missing for k in wants[need].any_of}
        for piece in idle:
            adapters = reckoning.fits[piece.id].adapters
            if piece.kind in want.any_of and any(one.kind in sought for one in adapters):
                units = qty - _left(reckoning, want_id, adapters, catalogue)
                if units > 0:
                    found[want_id] = Waiting(piece.kind, units)
    return found


def _idle(reckoning: Reckoning) -> list[Piece]:
    used = {row.piece_id for row in reckoning.cover.coverings}
    return [
        piece
        for piece in reckoning.visit.pieces
        if piece.id not in used and piece.kind and not piece.unsafe and not piece.his
    ]


def _left(
    reckoning: Reckoning, want_id: str, adapters: tuple[Adapter, ...], catalogue: Catalogue
) -> int:
    """Return how much of a want would still be missing with these adapters here and tried."""
    had = tuple(
        Piece(f"~{n}", one.kind, mount=one.mount or None, condition="good", tried=True)
        for n, one in enumerate(adapters)
    )
    visit = replace(reckoning.visit, pieces=(*reckoning.visit.pieces, *had))
    fits = {piece.id: Fit("fits", ()) for piece in had}
    gaps = again(reckoning, catalogue, visit=visit, fits=fits).gaps
    return next((gap.qty for gap in gaps if gap.want == want_id), 0)
