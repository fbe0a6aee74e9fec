"""The rows of a count: the lines of the outfit with what was seen, and what stands outside it.

Pure: a visit and an outfit in, rows out.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from kitreckon.catalogue.model import TIERS, Outfit, Want
from kitreckon.count import Machine, Piece, Preferences, Visit
from kitreckon.reckoning.slots import wants_of

Group = Literal["essential", "usual", "handy", "outside", "typed"]


@dataclass(frozen=True, slots=True)
class CountRow:
    """One row. ``seen`` None is not looked; pieces are those counted on this row."""

    id: str
    group: Group
    kind: str | None
    wanted: int
    seen: int | None
    pieces: tuple[Piece, ...] = ()
    want: Want | None = None

    @property
    def only_said(self) -> tuple[Piece, ...]:
        """Return the pieces of this row that are the seller's word."""
        return tuple(piece for piece in self.pieces if not piece.seen)

    @property
    def state(self) -> Literal["here", "said", "none", "not looked"]:
        """Return the one of four that this row counts as; said while any of it is unseen."""
        if self.only_said:
            return "said"
        if self.pieces or self.seen:
            return "here"
        return "not looked" if self.seen is None else "none"


def count_rows(
    machine: Machine, outfit: Outfit | None, visit: Visit, buyer: Preferences | None = None
) -> list[CountRow]:
    """Return every row in its order: by tier, then what is outside the list, then as typed."""
    wants = sorted(wants_of(outfit, machine, buyer), key=lambda want: TIERS.index(want.tier))
    placed, loose = place_pieces(wants, visit)
    rows = [_want_row(want, visit, placed.get(want.id, ())) for want in wants]
    rows += [
        CountRow(f"piece:{p.id}", "outside" if p.kind else "typed", p.kind, 0, p.qty, (p,))
        for p in loose
    ]
    return sorted(rows, key=lambda row: row.group == "typed")


def _want_row(want: Want, visit: Visit, pieces: Sequence[Piece]) -> CountRow:
    look = visit.looked(want.id)
    seen = look.seen if look else None
    if pieces:
        seen = max(seen or 0, sum(piece.qty for piece in pieces))
    return CountRow(want.id, want.tier, want.kind, want.qty, seen, tuple(pieces), want)


def place_pieces(
    wants: Sequence[Want], visit: Visit
) -> tuple[dict[str, tuple[Piece, ...]], list[Piece]]:
    """Put each piece on the row it was seen on; the rest is outside the list.

    A row that was looked at takes pieces of its kinds up to the number seen; what is left goes
    to the first row of its kind, so that nothing counted is shown twice or not at all.
    """
    placed: dict[str, list[Piece]] = {}
    left = {w.id: look.seen for w in wants if (look := visit.looked(w.id)) and look.seen}
    loose: list[Piece] = []
    for piece in visit.pieces:
        rows = [want for want in wants if piece.kind in want.any_of]
        want = next((w for w in rows if left.get(w.id, 0) >= piece.qty), None) or next(
            (w for w in rows if left.get(w.id, 0) > 0), rows[0] if rows else None
        )
        if want is None:
            loose.append(piece)
            continue
        left[want.id] = left.get(want.id, 0) - piece.qty
        placed.setdefault(want.id, []).append(piece)
    return {want: tuple(pieces) for want, pieces in placed.items()}, loose


def tally(rows: Iterable[CountRow]) -> tuple[int, int, int, int, int]:
    """Return here, only said, none, not looked, and kept as typed."""
    rows = list(rows)
    told = [row for row in rows if row.group != "typed"]
    states = [row.state for row in told]
    return (
        states.count("here"),
        states.count("said"),
        states.count("none"),
        states.count("not looked"),
        len(rows) - len(told),
    )


def next_row(rows: Sequence[CountRow], after: str, fits: Callable[[CountRow], bool]) -> str | None:
    """Return the next row after this one, going round, for which ``fits`` holds."""
    ids = [row.id for row in rows]
    start = ids.index(after) + 1 if after in ids else 0
    for row in (*rows[start:], *rows[:start]):
        if fits(row):
            return row.id
    return None
