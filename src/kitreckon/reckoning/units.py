"""How many wanted things a counted line is: loose parts of a set are part of one set."""

from __future__ import annotations

from kitreckon.catalogue.model import PriceTable
from kitreckon.count import Piece


def units_of(piece: Piece, table: PriceTable | None) -> tuple[int, float]:
    """How many wanted units a line counts as, and what share of a sold unit each is.

    31 loose collets are parts of sets, never 31 sets. One thing with no number said, or "a set
    of 1", is the whole set.
    """
    count = max(piece.qty, 0)
    if table is None or table.per_piece:
        each = piece.set_of if piece.set_of and (table is None or not table.holds) else 1
        return count * each, 1.0 / (table.unit_count if table is not None else 1)
    if piece.set_of and piece.set_of > 1:
        return count, piece.set_of / max(table.unit_count, 1)
    if count <= 1:
        return count, 1.0
    return 1, count / max(table.unit_count, 1)


def set_share(piece: Piece, table: PriceTable | None) -> float:
    """Return how much of a set is here, 0 to 1; 1 for what is no set."""
    if piece.set_of and piece.set_has is not None:
        return min(piece.set_has / piece.set_of, 1.0)
    if table is None or not is_loose(piece, table):
        return 1.0
    return min(piece.qty / max(table.enough or table.unit_count, 1), 1.0)


def is_loose(piece: Piece, table: PriceTable | None) -> bool:
    """Whether a line is loose parts of what is bought as a set."""
    return table is not None and not table.per_piece and not piece.set_of and piece.qty > 1
