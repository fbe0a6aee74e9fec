"""Does it go on this machine? One piece, all pieces of a visit, one piece on several machines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from kitreckon.catalogue.model import Catalogue, Kind
from kitreckon.count import Machine, Piece
from kitreckon.fitting.bench import Bench, effort, set_up
from kitreckon.fitting.collets import fit_collets, fit_holder
from kitreckon.fitting.given_out import given_out
from kitreckon.fitting.model import Fit
from kitreckon.fitting.noses import fit_nose, nose_cautions
from kitreckon.fitting.posts import fit_in_post, fit_post, fit_shank
from kitreckon.fitting.sockets import fit_taper, with_own_arbor
from kitreckon.fitting.speed import with_speed
from kitreckon.fitting.tables import fit_table
from kitreckon.fitting.verdicts import best_of, fits, misfit, unknown, with_cautions
from kitreckon.reasons import Term, because

_CLOSERS = ("collet-chuck", "draw-tube")  # their two ends are told apart before their seats
_ANY_MACHINE = frozenset({"anywhere", "machine", "chuck"})  # tried alike on any machine
_VERDICTS = ("fits", "fits-with", "unknown", "misfit")


def fit_all(
    pieces: Sequence[Piece],
    machine: Machine,
    catalogue: Catalogue,
    shelf: Sequence[Piece] = (),
) -> dict[str, Fit]:
    """Return the fit of every piece by its id; all of them, and the shelf, may be adapters."""
    bench = set_up(machine, catalogue, (*pieces, *shelf))
    found = {piece.id: _fit(piece, bench.trying(piece)) for piece in pieces}
    return given_out(found, pieces, bench)


def fit(piece: Piece, machine: Machine, catalogue: Catalogue, here: Sequence[Piece] = ()) -> Fit:
    """Return whether one piece goes on a machine, with what is here as possible adapters."""
    bench = set_up(machine, catalogue, here)
    return _fit(piece, bench.trying(piece))


def which_takes(
    piece: Piece, machines: Sequence[Machine], catalogue: Catalogue, here: Sequence[Piece] = ()
) -> tuple[tuple[Machine, Fit], ...]:
    """Return the machines with the fit of a piece on each, the one that takes it best first.

    ``piece.tried`` counts for the machine it was tried on alone, so it is set aside here.
    """
    untried = replace(piece, tried=None)
    tried = [(machine, fit(untried, machine, catalogue, here)) for machine in machines]
    return tuple(
        sorted(tried, key=lambda one: (_VERDICTS.index(one[1].verdict), effort(one[1].adapters)))
    )


def _fit(piece: Piece, bench: Bench) -> Fit:
    if piece.kind is None:
        return unknown("piece.kind", because("kind-not-known"))
    kind = bench.kinds.get(piece.kind)
    if kind is None:
        return unknown("piece.kind", because("kind-not-in-catalogue", kind=piece.kind))
    verdict = _tried(piece, kind, bench) or _by_seat(piece, kind, bench)
    verdict = with_own_arbor(verdict, piece, kind, bench)
    return with_speed(_cautioned(verdict, piece), piece, kind, bench)


def _tried(piece: Piece, kind: Kind, bench: Bench) -> Fit | None:
    """Return what was tried on this very machine: it outranks every table."""
    if piece.tried is None:
        return None
    if not piece.tried:
        return misfit(because("tried-off"))
    went_on = fits(because("tried-on"))
    if "spindle-nose" in kind.seats:
        return nose_cautions(went_on, piece, kind, bench)
    return went_on


def _cautioned(fit: Fit, piece: Piece) -> Fit:
    return with_cautions(fit, ("cracked-body",)) if piece.unsafe else fit


def _by_seat(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    if not bench.sort_known and not _ANY_MACHINE.issuperset(kind.seats):
        return unknown("machine_class", because("which-sort-of-machine"))
    if kind.serves_as in _CLOSERS:
        return fit_holder(piece, kind, bench)
    ways = [_SEATS[seat](piece, kind, bench) for seat in kind.seats if _open(seat, kind, bench)]
    return best_of(ways) if ways else misfit(because("no-seat-here", piece=Term("kind", kind.id)))


def _open(seat: str, kind: Kind, bench: Bench) -> bool:
    """Whether a machine of this class has that seat at all.

    What can go in a tailstock is judged there on a lathe, except what serves at either end;
    drills and their chucks stay in the tailstock.
    """
    if seat == "tailstock-socket":
        return bench.is_lathe
    if seat == "spindle-socket" and bench.is_lathe and "tailstock-socket" in kind.seats:
        return kind.either_end
    if seat == "chuck-mount":
        return False  # judged with the socket its arbor goes into
    if seat == "collet-closer" and "spindle-socket" in kind.seats:
        return kind.collet
    return True


def _spindle(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    if kind.collet:
        return fit_collets(piece, kind, bench)
    return fit_taper(piece, kind, bench, "spindle_socket")


def _tailstock(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    return fit_taper(piece, kind, bench, "tailstock_socket")


def _bed(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Rests and stops are made for one bed: unknown until set on it."""
    if not bench.is_lathe:
        return misfit(because("no-seat-here", piece=Term("kind", kind.id)))
    return unknown("piece.tried", because("try-on-bed", piece=Term("kind", kind.id)))


def _machine(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    if not kind.machine_specific:
        return fits(because("goes-anywhere"))
    question = because("try-on-machine", piece=Term("kind", kind.id))
    return unknown("piece.tried", question)


def _chuck(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Jaws are ground in one chuck: their numbers and slots tell whether it is here."""
    return unknown("piece.tried", because("try-jaws"))


def _anywhere(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    return fits(because("goes-anywhere"))


_SEATS: dict[str, Callable[[Piece, Kind, Bench], Fit]] = {
    "spindle-nose": fit_nose,
    "spindle-socket": _spindle,
    "tailstock-socket": _tailstock,
    "tool-post-seat": fit_post,
    "tool-post": fit_in_post,
    "tool-holder": fit_shank,
    "bed": _bed,
    "collet-closer": fit_collets,
    "table": fit_table,
    "chuck": _chuck,
    "machine": _machine,
    "anywhere": _anywhere,
}
