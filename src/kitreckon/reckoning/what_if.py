"""What if: the same visit with a piece out, a line changed or another price, not saved anywhere."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Finding, Look, Piece
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
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


def with_piece(reckoning: Reckoning, piece: Piece, catalogue: Catalogue) -> Reckoning:
    """Reckon with one piece changed (by its id), or one more when the id is new."""
    pieces = reckoning.visit.pieces
    if any(known.id == piece.id for known in pieces):
        changed = tuple(piece if known.id == piece.id else known for known in pieces)
    else:
        changed = (*pieces, piece)
    return again(reckoning, catalogue, visit=replace(reckoning.visit, pieces=changed))


def with_finding(reckoning: Reckoning, finding: Finding, catalogue: Catalogue) -> Reckoning:
    """Reckon with one finding more, or one changed (by its id)."""
    others = tuple(known for known in reckoning.visit.findings if known.id != finding.id)
    visit = replace(reckoning.visit, findings=(*others, finding))
    return again(reckoning, catalogue, visit=visit)


def with_look(reckoning: Reckoning, look: Look, catalogue: Catalogue) -> Reckoning:
    """Reckon as if a wanted line had been looked at, with that many seen."""
    others = tuple(known for known in reckoning.visit.looks if known.want != look.want)
    return again(reckoning, catalogue, visit=replace(reckoning.visit, looks=(*others, look)))


def with_asking(reckoning: Reckoning, asking: Money | None, catalogue: Catalogue) -> Reckoning:
    """Reckon with another asking price, or none known."""
    return again(reckoning, catalogue, machine=replace(reckoning.machine, asking=asking))
