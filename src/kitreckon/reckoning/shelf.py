"""What is owned and spare: duplicates on the shelf, and surplus that another machine lacks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Piece
from kitreckon.fitting import fit
from kitreckon.quantities import Money
from kitreckon.reckoning.chain import Workings
from kitreckon.reckoning.condition import WORN
from kitreckon.reckoning.line import Line
from kitreckon.reckoning.model import Reckoning


@dataclass(frozen=True, slots=True)
class Spare:
    """Units of a piece that no machine uses, and the wants they would fill elsewhere."""

    piece_id: str
    kind: str
    machine_id: str  # "" for the shelf
    units: int
    fills: tuple[tuple[str, str], ...]  # (machine id, want id), missing there and filled by it
    fetches: Money  # what the spare units would leave, sold singly


def spares(reckonings: Sequence[Reckoning], catalogue: Catalogue) -> tuple[Spare, ...]:
    """Return what is spare over all machines, what fills a missing want elsewhere first.

    One thing on the shelf serves every machine in turn: it is spare only beyond the most that
    any one machine uses. What is unsafe or stays with a seller is never spare.
    """
    found = [
        _spare(piece, reckoning.machine.id, (reckoning,), reckonings, catalogue)
        for reckoning in reckonings
        for piece in reckoning.visit.pieces
    ]
    if reckonings:
        found += [
            _spare(piece, "", reckonings, reckonings, catalogue) for piece in reckonings[0].shelf
        ]
    known = [spare for spare in found if spare is not None]
    return tuple(sorted(known, key=lambda spare: (not spare.fills, -spare.fetches.minor)))


def _spare(
    piece: Piece,
    owner: str,
    users: Sequence[Reckoning],
    reckonings: Sequence[Reckoning],
    catalogue: Catalogue,
) -> Spare | None:
    line = _line(piece, owner, users[0])
    if line is None or piece.unsafe or piece.his or not line.kind.id:
        return None
    left = line.units - max(_used(piece.id, owner == "", user) for user in users)
    if left <= 0:
        return None
    currency = users[0].preferences.currency
    return Spare(
        piece.id,
        line.kind.id,
        owner,
        left,
        _fills(piece, owner, reckonings, catalogue),
        Money(left * line.part_mean, currency),
    )


def _line(piece: Piece, owner: str, user: Reckoning) -> Line | None:
    workings = user.workings
    if not isinstance(workings, Workings):
        return None
    lines = workings.lines.values() if owner else workings.shelf
    return next((line for line in lines if line.piece == piece), None)


def _used(piece_id: str, on_shelf: bool, user: Reckoning) -> int:
    """Return how many units of a piece a machine uses."""
    return sum(
        covering.units
        for covering in user.cover.coverings
        if covering.piece_id == piece_id and covering.from_shelf is on_shelf and not covering.within
    )


def _fills(
    piece: Piece, owner: str, reckonings: Sequence[Reckoning], catalogue: Catalogue
) -> tuple[tuple[str, str], ...]:
    """Return the missing wants of other machines that a sound piece would fill."""
    if piece.condition in WORN or piece.repair:
        return ()
    found = []
    for other in reckonings:
        outfit = catalogue.outfits.get(other.machine.machine_class)
        if other.machine.id == owner or outfit is None:
            continue
        untried = replace(piece, tried=None)
        for gap in other.gaps:
            want = outfit.want(gap.want)
            if want is None or piece.kind not in want.any_of:
                continue
            if fit(untried, other.machine, catalogue).verdict in ("fits", "fits-with"):
                found.append((other.machine.id, gap.want))
    return tuple(found)
