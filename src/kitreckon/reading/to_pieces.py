"""The one way from what was read to what is counted: sheets, tables, lines and adverts take it."""

from __future__ import annotations

from collections.abc import Callable

from kitreckon.count import CONDITIONS, Piece
from kitreckon.reading.model import ReadPiece


def pieces_of(
    read: ReadPiece, text: str = "", new_id: Callable[[], str] = lambda: ""
) -> tuple[Piece, ...]:
    """Return the pieces a reading says are here: one of each size where each has its own.

    None where it says that the thing is absent. text: what was typed, where that is more than
    the words the piece was read from. Whether the reading is to be taken at all is not asked.

    >>> pieces_of(ReadPiece("follow-rest", state="absent"))
    ()
    """
    if read.state == "absent":
        return ()
    return tuple(piece_of(each, text, new_id()) for each in read.each())


def piece_of(read: ReadPiece, text: str = "", piece_id: str = "") -> Piece:
    """Return all that was read of one thing as one piece, whether it is here or not."""
    return Piece(
        id=piece_id,
        kind=read.kind,
        text=text or read.text,
        qty=read.qty,
        set_of=read.set_of,
        set_has=read.set_has,
        size=read.size,
        mount=read.interface,
        back=read.back,
        condition=next((grade for grade in CONDITIONS if grade == read.condition), None),
        parts_missing=read.parts_missing,
        unsafe=read.unsafe,
    )
