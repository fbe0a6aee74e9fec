"""What if he keeps some pieces: the same visit without them, not saved anywhere."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from kitreckon.catalogue.model import Catalogue
from kitreckon.errors import KitreckonError
from kitreckon.reckoning.chain import again
from kitreckon.reckoning.model import Reckoning


def without(reckoning: Reckoning, piece_ids: Collection[str], catalogue: Catalogue) -> Reckoning:
    """Reckon the visit as if the seller kept these pieces; the whole cover is solved anew.

    What two pieces bring together is not the sum of what each brings: without both chucks the
    loss is more than without either. Raises KitreckonError for an id that was not counted.
    """
    unknown = sorted(set(piece_ids) - {piece.id for piece in reckoning.visit.pieces})
    if unknown:
        raise KitreckonError(
            f"no piece {unknown[0]!r} in this visit", want="the ids of pieces that were counted"
        )
    pieces = tuple(
        replace(piece, his=True) if piece.id in piece_ids else piece
        for piece in reckoning.visit.pieces
    )
    return again(reckoning, catalogue, visit=replace(reckoning.visit, pieces=pieces))
