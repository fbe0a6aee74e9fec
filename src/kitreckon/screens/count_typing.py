"""What is being typed on the count: what it means, which thing is chosen, where it began. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from kitreckon.count import Correction, Piece, Visit
from kitreckon.screens.line import Meaning
from kitreckon.screens.marking import NewId, drop_pieces
from kitreckon.screens.rows import CountRow

NOTHING = Meaning("nothing")


@dataclass(frozen=True, slots=True)
class Typed:
    """A line half typed. ``start`` is the row at which its typing began."""

    start: str = ""
    meant: Meaning = NOTHING
    choice: int = 0

    @property
    def chosen(self) -> str | None:
        """The kind the text is taken to mean."""
        if self.meant.does not in {"thing", "absent"} or not self.meant.likely:
            return None
        return self.meant.likely[self.choice].kind

    @property
    def open(self) -> bool:
        """Whether there is another thing the text may mean."""
        return len(self.meant.likely) > 1

    def turned(self, steps: int) -> Typed:
        """Return the same with another of the things it may mean chosen."""
        return Typed(self.start, self.meant, (self.choice + steps) % len(self.meant.likely))


def asked_on(row: CountRow | None) -> Piece | None:
    """Return the line kept as typed that a row asks about."""
    return row.pieces[0] if row is not None and row.group == "typed" else None


def without_asked(visit: Visit, asked: Piece | None) -> Visit:
    """Return a count without the line kept as typed that is answered now."""
    return drop_pieces(visit, [asked.id]) if asked else visit


def learned(
    kind: str, typed: Typed, text: str, asked: Piece | None, new_id: NewId
) -> tuple[Correction, ...]:
    """Return what to remember: what a kept line meant, or a choice that was not likeliest."""
    if asked is not None:
        return (Correction(new_id(), asked.text, kind),)
    likely = typed.meant.likely
    return (Correction(new_id(), text, kind),) if likely and likely[0].kind != kind else ()


def row_about(rows: Sequence[CountRow], about: str) -> str | None:
    """Return the row of a want or of a piece."""
    return next(
        (row.id for row in rows if about in {row.id, *(piece.id for piece in row.pieces)}), None
    )
