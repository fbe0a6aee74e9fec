"""What a fit is tried against: the machine, the tables, and the adapters that are here."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from kitreckon.catalogue.model import Catalogue, Kind, Role, Sort
from kitreckon.count import Machine, Piece
from kitreckon.fitting.model import Adapter
from kitreckon.quantities import Length, find_designations
from kitreckon.standards import Standards

_ONLY_BOUGHT: frozenset[str] = frozenset({"", "made-part"})  # nothing here serves as one
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
    """A piece that is here and can carry another: what it serves as, the designations on it."""

    role: str
    ends: frozenset[str]
    piece: Piece


@dataclass(frozen=True, slots=True)
class Bench:
    """The machine with its tables and what is at hand; what is at hand costs nothing.

    ``at_hand`` lists carriers by role and by each designation on them; ``aside`` is the piece
    being tried, for nothing is its own adapter. ``ways`` remembers ways between tapers, since
    many pieces of a visit ask for the same. ``sold`` names the kind to buy for each role.
    """

    machine: Machine
    standards: Standards
    kinds: Mapping[str, Kind]
    sort: Sort | None = None
    carriers: tuple[Carrier, ...] = ()
    at_hand: Mapping[tuple[str, str], tuple[Carrier, ...]] = field(default_factory=dict)
    sold: Mapping[str, str] = field(default_factory=dict)
    aside: str = ""
    ways: dict[tuple[str, str, bool, bool], Any] = field(default_factory=dict, compare=False)

    @property
    def is_lathe(self) -> bool:
        """True for the lathe classes, and where only a lathe's own facts are known."""
        machine = self.machine
        if self.sort is not None:
            return self.sort == "lathe"
        return machine.nose is not None or machine.tailstock_socket is not None

    @property
    def sort_known(self) -> bool:
        """Whether anything says what sort of machine it is, and so which places it has."""
        if self.sort is not None or self.is_lathe:
            return True
        return self.machine.table_width is not None

    def serving_as(self, role: Role, here: Carrier | None = None) -> str:
        """Return the kind that serves as this: that of one which is here, else the one to buy."""
        if here is not None and here.piece.kind:
            return here.piece.kind
        return self.sold.get(role, "")

    def carrying(self, role: Role, *names: str) -> Carrier | None:
        """Return a carrier of that role that has all these designations on it."""
        for carrier in self.at_hand.get((role, names[0]), ()):
            if carrier.piece.id != self.aside and carrier.ends.issuperset(names):
                return carrier
        return None

    def stock(self, role: str, *names: str) -> int:
        """Return how many carriers of that role are here that have these designations."""
        return sum(
            carrier.piece.qty
            for carrier in self.at_hand.get((role, names[0]), ())
            if carrier.piece.id != self.aside and carrier.ends.issuperset(names)
        )

    def serving(self, *roles: Role) -> tuple[Carrier, ...]:
        """Return the carriers of these roles, whatever is on them."""
        return tuple(
            carrier
            for carrier in self.carriers
            if carrier.role in roles and carrier.piece.id != self.aside
        )

    def trying(self, piece: Piece) -> Bench:
        """Return the bench with one piece set aside: the one that is tried."""
        if not _role(piece, self.kinds):
            return self
        return replace(self, aside=piece.id, ways={})


def usable(piece: Piece) -> bool:
    """Whether a piece that is here may serve as an adapter: safe, sound, not his, not tried off."""
    if piece.unsafe or piece.his or piece.tried is False:
        return False
    return piece.condition not in ("poor", "scrap")


def _role(piece: Piece, kinds: Mapping[str, Kind]) -> str:
    """Return what a piece that is here may serve as; empty where it carries nothing."""
    kind = kinds.get(piece.kind or "")
    return "" if kind is None or kind.serves_as in _ONLY_BOUGHT else kind.serves_as


def carriers(pieces: Iterable[Piece], kinds: Mapping[str, Kind]) -> tuple[Carrier, ...]:
    """Return the pieces that can carry others."""
    return tuple(
        Carrier(role, frozenset(ends(piece)), piece)
        for piece in pieces
        if (role := _role(piece, kinds)) and usable(piece)
    )


def set_up(machine: Machine, catalogue: Catalogue, here: Sequence[Piece]) -> Bench:
    """Return the bench for a machine and what is here, counted or owned."""
    kinds = catalogue.kinds
    found = carriers(here, kinds)
    at_hand: dict[tuple[str, str], list[Carrier]] = {}
    for carrier in found:
        for end in carrier.ends:
            at_hand.setdefault((carrier.role, end), []).append(carrier)
    sold: dict[str, str] = {}
    for kind in kinds.values():
        sold.setdefault(kind.serves_as, kind.id)
    return Bench(
        machine,
        catalogue.standards,
        kinds,
        catalogue.sort_of(machine.machine_class),
        found,
        {place: tuple(those) for place, those in at_hand.items()},
        sold,
    )


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
