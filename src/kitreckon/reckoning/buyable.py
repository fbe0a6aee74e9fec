"""What is missing or does not work yet, each want with the ways to see to it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from kitreckon.catalogue.model import Catalogue, SupplyName, Want
from kitreckon.count import Look
from kitreckon.reckoning.chain import again
from kitreckon.reckoning.model import Gap, Reckoning
from kitreckon.reckoning.packs import Missing, PutRight, unit_worths
from kitreckon.reckoning.slots import outfit_of
from kitreckon.reckoning.stall import Stall


def lines_to_buy(
    reckoning: Reckoning, catalogue: Catalogue, supplies: Sequence[SupplyName]
) -> list[Missing]:
    """Return what is missing or has to be put right, and what others need and nobody looked for."""
    outfit = outfit_of(reckoning.machine, catalogue, reckoning.preferences)
    wants = {want.id: want for want in outfit.wants} if outfit else {}
    gaps = {gap.want: gap for gap in reckoning.gaps if gap.want in wants}
    repairs = _repairs(reckoning, wants)
    unseen = _unseen_needs(reckoning, [*gaps, *repairs], wants)
    others = {gap.want: gap for gap in _gaps_if_absent(reckoning, unseen, catalogue)}
    stall = Stall(reckoning, catalogue, supplies, wants, gaps | others, repairs)
    found = []
    for name in dict.fromkeys((*gaps, *repairs, *others)):
        mended = sum(row.units for row in repairs.get(name, ()))
        open_units = mended + (gaps[name].qty if name in gaps else 0)
        worths = unit_worths(wants[name], open_units, catalogue.judgement.worth_points)
        worths += (0,) * (others[name].qty if name in others else 0)
        found.append(stall.line(wants[name], worths))
    return found


def _repairs(reckoning: Reckoning, wants: Mapping[str, Want]) -> dict[str, tuple[PutRight, ...]]:
    """Return for each want the pieces on it that have to be put right, the cheapest first."""
    pieces = {piece.id: piece for piece in (*reckoning.shelf, *reckoning.visit.pieces)}
    found: dict[str, list[PutRight]] = {}
    for row in reckoning.cover.repairs:
        if row.repair and row.want in wants:
            piece = pieces[row.piece_id]
            fit, cost = reckoning.fits.get(piece.id), row.repair.minor
            fits, what = fit is None or fit.verdict != "unknown", piece.repair_of
            found.setdefault(row.want, []).append(
                PutRight(piece.id, piece.kind or "", row.units, cost, what, fits)
            )
    return {
        want: tuple(sorted(rows, key=lambda row: (row.cost / row.units, row.piece_id)))
        for want, rows in found.items()
    }


def _unseen_needs(
    reckoning: Reckoning, open_wants: Iterable[str], wants: Mapping[str, Want]
) -> set[str]:
    """Return the wants nobody looked at without which some missing thing is of no use."""
    unseen = {wanted.want for wanted in reckoning.not_looked}
    found: set[str] = set()
    queue = list(open_wants)
    while queue:
        for need in wants[queue.pop()].needs:
            if need in unseen and need not in found:
                found.add(need)
                queue.append(need)
    return found


def _gaps_if_absent(
    reckoning: Reckoning, unseen: Iterable[str], catalogue: Catalogue
) -> Iterator[Gap]:
    """Yield the gaps there would be if these wants were looked for and not found."""
    names = sorted(unseen)
    if not names:
        return
    looks = (*reckoning.visit.looks, *(Look(want, 0) for want in names))
    visit = replace(reckoning.visit, looks=looks)
    for gap in again(reckoning, catalogue, visit=visit).gaps:
        if gap.want in names:
            yield gap
