"""What a fit is tried against: the machine, the tables, and the adapters that are here."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from kitreckon.catalogue.model import Kind
from kitreckon.count import Machine, Piece
from kitreckon.fitting.model import Adapter
from kitreckon.quantities import Length, QuantityError, find_designations
from kitreckon.standards import Standards

# Kinds that carry something else: counted or owned ones cost nothing as adapters.
_CARRIERS = frozenset(
    {
        "taper-sleeve",
        "drill-chuck-arbor",
        "chuck-backplate",
        "chuck-collet",
        "collet-adapter",
        "collet-block",
        "end-mill-holder",
        "toolpost-quick-change",
        "toolpost-turret",
        "toolpost-lantern",
        "toolpost-rear",
        "clamping-kit",
    }
)
_MM = Length.of_mm


@lru_cache(maxsize=4096)
def _designations(mount: str, text: str) -> tuple[str, ...]:
    found = [one.name for source in (mount, text) for one in find_designations(source)]
    if mount and not find_designations(mount):
        found.insert(0, mount)
    return tuple(dict.fromkeys(found))


def ends(piece: Piece) -> tuple[str, ...]:
    """Return the designations a piece carries: its mount first, then those in its text.

    >>> ends(Piece("p", "taper-sleeve", text="sleeve MT3 to MT2", mount="MT3"))
    ('MT3', 'MT2')
    """
    return _designations(piece.mount or "", piece.text)


def mm(length: Length | None) -> float | None:
    """Return millimetres, or None where nothing, or no unit, was given."""
    if length is None:
        return None
    try:
        return length.mm
    except QuantityError:
        return None


def length(value_mm: float) -> Length:
    """Return a length for a reason: to the hundredth of a millimetre."""
    return _MM(round(value_mm, 2))


@dataclass(frozen=True, slots=True)
class Carrier:
    """A piece that is here and can carry another: its kind and the designations on it."""

    kind: str
    ends: frozenset[str]
    piece: Piece


@dataclass(frozen=True, slots=True)
class Bench:
    """The machine with its tables and what is at hand. ``carriers`` cost nothing."""

    machine: Machine
    standards: Standards
    kinds: Mapping[str, Kind]
    carriers: tuple[Carrier, ...] = ()

    @property
    def is_lathe(self) -> bool:
        """True for the lathe classes: a nose, a tailstock, a compound."""
        return "lathe" in self.machine.machine_class

    def carrying(self, kind: str, *names: str) -> Carrier | None:
        """Return a carrier of that kind that has all these designations on it."""
        wanted = set(names)
        return next((c for c in self.carriers if c.kind == kind and wanted <= c.ends), None)

    def without(self, piece_id: str) -> Bench:
        """Return the bench without one piece: nothing is its own adapter."""
        if not any(carrier.piece.id == piece_id for carrier in self.carriers):
            return self
        rest = tuple(carrier for carrier in self.carriers if carrier.piece.id != piece_id)
        return Bench(self.machine, self.standards, self.kinds, rest)


def usable(piece: Piece) -> bool:
    """Whether a piece that is here may serve as an adapter: safe, whole enough, not his."""
    return not piece.unsafe and not piece.his and piece.condition not in ("poor", "scrap")


def carriers(pieces: Iterable[Piece]) -> tuple[Carrier, ...]:
    """Return the pieces that can carry others."""
    return tuple(
        Carrier(piece.kind, frozenset(ends(piece)), piece)
        for piece in pieces
        if piece.kind in _CARRIERS and usable(piece)
    )


def set_up(
    machine: Machine, standards: Standards, kinds: Mapping[str, Kind], here: Sequence[Piece]
) -> Bench:
    """Return the bench for a machine and what is here, counted or owned."""
    return Bench(machine, standards, kinds, carriers(here))


def bought(adapters: Iterable[Adapter]) -> int:
    """How many of the adapters would have to be bought."""
    return sum(not adapter.already_here for adapter in adapters)


def effort(adapters: Iterable[Adapter]) -> tuple[int, int, float]:
    """Order of preference of adapters: fewest to buy, fewest in all, least work and loss."""
    chain = tuple(adapters)
    work = math.fsum(
        adapter.hours + (adapter.loss.mm / 1000 if adapter.loss else 0) for adapter in chain
    )
    return bought(chain), len(chain), work
