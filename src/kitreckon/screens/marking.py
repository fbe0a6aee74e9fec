"""What a mark on the sheet does to a visit. Pure: a visit in, a visit out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from kitreckon.catalogue.model import Want
from kitreckon.count import Look, Piece, Visit
from kitreckon.screens.details import Details, with_details
from kitreckon.screens.rows import CountRow

NewId = Callable[[], str]


def look_at(visit: Visit, want: str, seen: int | None) -> Visit:
    """Return the visit with this row looked at; None takes the look away."""
    looks = tuple(look for look in visit.looks if look.want != want)
    return replace(visit, looks=looks if seen is None else (*looks, Look(want, seen)))


def put_piece(visit: Visit, piece: Piece) -> Visit:
    """Return the visit with a piece added, or changed where it stands."""
    if any(each.id == piece.id for each in visit.pieces):
        pieces = tuple(piece if each.id == piece.id else each for each in visit.pieces)
    else:
        pieces = (*visit.pieces, piece)
    return replace(visit, pieces=pieces)


def drop_pieces(visit: Visit, ids: Sequence[str]) -> Visit:
    """Return the visit without these pieces."""
    return replace(visit, pieces=tuple(p for p in visit.pieces if p.id not in ids))


def one_here(visit: Visit, row: CountRow, new_id: NewId) -> Visit:
    """Count one (more) on this row; where some are the seller's word, they are seen instead."""
    if row.only_said:
        for piece in row.only_said:
            visit = put_piece(visit, replace(piece, seen=True))
        return look_at(visit, row.want.id, row.seen) if row.want else visit
    if row.pieces:
        last = row.pieces[-1]
        visit = put_piece(visit, replace(last, qty=last.qty + 1))
    else:
        visit = put_piece(visit, Piece(new_id(), row.kind))
    return look_at(visit, row.want.id, (row.seen or 0) + 1) if row.want else visit


def none_here(visit: Visit, row: CountRow) -> Visit:
    """Mark this row as looked at with nothing there; what was counted on it goes."""
    visit = drop_pieces(visit, [piece.id for piece in row.pieces])
    return look_at(visit, row.want.id, 0) if row.want else visit


def not_looked(visit: Visit, row: CountRow) -> Visit:
    """Make this row as if nobody had looked."""
    visit = drop_pieces(visit, [piece.id for piece in row.pieces])
    return look_at(visit, row.want.id, None) if row.want else visit


def say_about(visit: Visit, row: CountRow, details: Details, new_id: NewId) -> Visit:
    """Put what was said on the last piece of this row; count it first where it was not."""
    piece = row.pieces[-1] if row.pieces else Piece(new_id(), row.kind)
    return _say_of(visit, row, piece, details)


def _say_of(visit: Visit, row: CountRow, piece: Piece, details: Details) -> Visit:
    """Put what was said on one piece of this row: who says so has seen it."""
    piece = with_details(replace(piece, seen=True), details)
    visit = put_piece(visit, piece)
    if row.want is None:
        return visit
    others = sum(each.qty for each in row.pieces if each.id != piece.id)
    return look_at(visit, row.want.id, others + piece.qty)


def add_piece(visit: Visit, kind: str | None, text: str, details: Details, new_id: NewId) -> Visit:
    """Add a thing that is on no row."""
    return put_piece(visit, with_details(Piece(new_id(), kind, text=text), details))


def add_named(
    visit: Visit, row: CountRow | None, kind: str, text: str, details: Details, new_id: NewId
) -> Visit:
    """Count a named thing: on its row, as one more on a row that has some, or outside the list."""
    if row is None:
        return add_piece(visit, kind, text, details, new_id)
    kept = kept_piece(row, kind, details)
    if kept is not None:
        return _keep(visit, row, kept, details, new_id)
    said = said_piece(row, kind, details)
    if said is not None:
        return _say_of(visit, row, said, details)
    if row.pieces:
        return add_on_row(visit, row, kind, text, details, new_id)
    return _say_of(visit, row, Piece(new_id(), kind, text=text), details)


def _keep(visit: Visit, row: CountRow, piece: Piece, details: Details, new_id: NewId) -> Visit:
    """Say of a counted piece whether the seller keeps it; of several, of as many as were named."""
    many = details.qty or piece.qty
    details = replace(details, qty=None)
    if many >= piece.qty:
        return _say_of(visit, row, piece, details)
    visit = put_piece(visit, replace(piece, qty=piece.qty - many))
    kept = replace(piece, id=new_id(), qty=many, seen=True)
    return put_piece(visit, with_details(kept, details))


def add_on_row(
    visit: Visit, row: CountRow, kind: str, text: str, details: Details, new_id: NewId
) -> Visit:
    """Add a thing to a row that already has one: a second piece of its own."""
    piece = with_details(Piece(new_id(), kind, text=text), details)
    visit = put_piece(visit, piece)
    return look_at(visit, row.want.id, (row.seen or 0) + piece.qty) if row.want else visit


def best_row(rows: Sequence[CountRow], kind: str) -> CountRow | None:
    """Return the row a thing of this kind belongs to: one still open first."""
    fitting = [row for row in rows if row.want and kind in row.want.any_of]
    open_rows = [row for row in fitting if (row.seen or 0) < row.wanted]
    return next(iter(open_rows or fitting), None)


def said_piece(row: CountRow, kind: str, details: Details) -> Piece | None:
    """Return the piece of this row that was the seller's word and is what was now found.

    None where another advert speaks, or where size or mount say that it is another piece.
    """
    if details.seen is False:
        return None
    for piece in row.only_said:
        if _may_be(piece, kind, details):
            return piece
    return None


def kept_piece(row: CountRow, kind: str, details: Details) -> Piece | None:
    """Return the counted piece a line means that says whether the seller keeps it.

    One of which that is not said yet comes first; None where the line says nothing of it.
    """
    if details.his is None and ("his", True) not in details.denied:
        return None
    meant = [piece for piece in row.pieces if _may_be(piece, kind, details)]
    his = bool(details.his)
    return next((piece for piece in meant if piece.his != his), next(iter(meant), None))


def _may_be(piece: Piece, kind: str, details: Details) -> bool:
    """Return whether nothing said of a thing makes it another piece."""
    pairs = ((piece.size, details.size), (piece.mount, details.mount))
    return piece.kind == kind and all(a is None or b is None or a == b for a, b in pairs)


def row_of(rows: Sequence[CountRow], kind: str, details: Details) -> CountRow | None:
    """Return the row a thing found belongs to: one that holds what is known of it first."""
    known = (
        row for row in rows if kept_piece(row, kind, details) or said_piece(row, kind, details)
    )
    return next(known, None) or best_row(rows, kind)


def wanted_kinds(wants: Sequence[Want]) -> tuple[str, ...]:
    """Return the kinds a list asks for, each once."""
    return tuple(dict.fromkeys(kind for want in wants for kind in want.any_of))
