"""Counting what was read: on the row it belongs to, as not there, or outside the list. Pure."""

from __future__ import annotations

from dataclasses import replace

from kitreckon.catalogue.model import Outfit
from kitreckon.count import Machine, Visit
from kitreckon.reading.model import ReadPiece
from kitreckon.reading.to_pieces import piece_of
from kitreckon.screens.details import Details
from kitreckon.screens.marking import NewId, add_named, look_at, none_here, row_of
from kitreckon.screens.rows import count_rows


def details_of(piece: ReadPiece | None) -> Details:
    """Return what was read about a piece as details."""
    return Details() if piece is None else Details.of(piece_of(piece))


def count_read(
    visit: Visit, read: ReadPiece, machine: Machine, outfit: Outfit | None, new_id: NewId
) -> Visit:
    """Return the visit with a thing that was read with others on a typed line."""
    details = details_of(read)
    row = row_of(count_rows(machine, outfit, visit), read.kind, details)
    return add_named(visit, row, read.kind, read.text, details, new_id)


def count_said(
    visit: Visit, read: ReadPiece, machine: Machine, outfit: Outfit | None, new_id: NewId
) -> Visit:
    """Return the visit with what an advert says: his word, until somebody looks.

    Each of several sizes is a piece of its own.
    """
    for each in read.each():
        details = replace(details_of(each), seen=False)
        row = row_of(count_rows(machine, outfit, visit), each.kind, details)
        if each.state == "absent":
            # where the sort of machine is not set yet, the row is named by its usual kind
            visit = none_here(visit, row) if row else look_at(visit, each.kind, 0)
        else:
            visit = add_named(visit, row, each.kind, each.text, details, new_id)
    return visit
