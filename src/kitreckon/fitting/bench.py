"""What a fit is tried against: the machine, the tables, and the adapters that are here."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from kitreckon.catalogue.model import Kind
from kitreckon.count import Machine, Piece
from kitreckon.fitting.model import Adapter
from kitreckon.quantities import Length, find_designations
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
    """The machine with its tables and what is at hand; what is at hand costs nothing.

    ``at_hand`` lists carriers by kind and by each designation on them; ``aside`` is the piece
    being tried, for nothing is its own adapter. ``ways`` remembers ways between tapers, since
    many pieces of a visit ask for the same.
    """

    machine: Machine
    standards: Standards
    kinds: Mapping[str, Kind]
    carriers: tuple[Carrier, ...] = ()
    at_hand: Mapping[tuple[str, str], tuple[Carrier, ...]] = field(default_factory=dict)
    aside: str = ""
    ways: dict[tuple[str, str, str], Any] = field(default_factory=dict, compare=False)

    @property
    def is_lathe(self) -> bool:
        """True for the lathe classes, and where only a lathe's own facts are known."""
        machine = self.machine
        if machine.machine_class:
            return "lathe" in machine.machine_class
        return machine.nose is not None or machine.tailstock_socket is not None

    @property
    def sort_known(self) -> bool:
        """Whether anything says what sort of machine it is, and so which places it has."""
        machine = self.machine
        return bool(machine.machine_class) or self.is_lathe or machine.table_width is not None

    def carrying(self, kind: str, *names: str) -> Carrier | None:
        """Return a carrier of that kind that has all these designations on it."""
        for carrier in self.at_hand.get((kind, names[0]), ()):
            if carrier.piece.id != self.aside and carrier.ends.issuperset(names):
                return carrier
        return None

    def stock(self, kind: str, *names: str) -> int:
        """Return how many carriers of that kind are here that have these designations."""
        return sum(
            carrier.piece.qty
            for carrier in self.at_hand.get((kind, names[0]), ())
            if carrier.piece.id != self.aside and carrier.ends.issuperset(names)
        )

    def of_kind(self, *kinds: str) -> tuple[Carrier, ...]:
        """Return the carriers of these kinds, whatever is on them."""
        return tuple(
            carrier
            for carrier in self.carriers
            if carrier.kind in kinds and carrier.piece.id != self.aside
        )

    def trying(self, piece: Piece) -> Bench:
        """Return the bench with one piece set aside: the one that is tried."""
        if piece.kind not in _CARRIERS:
            return self
        return replace(self, aside=piece.id, ways={})


def usable(piece: Piece) -> bool:
    """Whether a piece that is here may serve as an adapter: safe, sound, not his, not tried off."""
    if piece.unsafe or piece.his or piece.tried is False:
        return False
    return piece.condition not in ("poor", "scrap")


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
    found = carriers(here)
    at_hand: dict[tuple[str, str], list[Carrier]] = {}
    for carrier in found:
        for end in carrier.ends:
            at_hand.setdefault((carrier.kind, end), []).append(carrier)
    listed = {place: tuple(those) for place, those in at_hand.items()}
    return Bench(machine, standards, kinds, found, listed)


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
