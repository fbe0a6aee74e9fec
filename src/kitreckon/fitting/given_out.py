"""Giving out adapters that are here once: a plate stays on its chuck, an arbor in its own.

A sleeve serves several tools in turn; a backplate whose register is turned to one chuck, or an
arbor driven into one drill chuck, does not. Where fewer are here than chucks want them, the
largest chucks get them and the rest must buy.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from kitreckon.count import Piece
from kitreckon.fitting.bench import Bench
from kitreckon.fitting.model import Adapter, Fit
from kitreckon.quantities import known_mm

_STAYS = ("backplate", "arbor")


def given_out(fits: Mapping[str, Fit], pieces: Sequence[Piece], bench: Bench) -> dict[str, Fit]:
    """Return the fits with each plate and arbor that is here given to one piece only."""
    wanted: dict[tuple[str, ...], list[Piece]] = {}
    for piece in pieces:
        for adapter in fits[piece.id].adapters:
            if adapter.already_here and _role(adapter, bench) in _STAYS:
                wanted.setdefault(_ends(adapter, piece, bench), []).append(piece)
    without: dict[str, set[str]] = {}
    for ends, takers in wanted.items():
        for piece in _left_over(takers, bench.stock(*ends)):
            without.setdefault(piece.id, set()).add(ends[0])
    return {
        name: _bought(fit, without[name], bench) if name in without else fit
        for name, fit in fits.items()
    }


def _role(adapter: Adapter, bench: Bench) -> str:
    kind = bench.kinds.get(adapter.kind)
    return kind.serves_as if kind else ""


def _ends(adapter: Adapter, piece: Piece, bench: Bench) -> tuple[str, ...]:
    """Return role and designations of what is shared: a plate by its nose, an arbor by both."""
    role = _role(adapter, bench)
    if role == "arbor" or adapter.id.startswith("nose-adapter:"):
        return role, adapter.mount, piece.mount or ""
    return role, adapter.mount


def _left_over(takers: Iterable[Piece], stock: int) -> list[Piece]:
    ordered = sorted(takers, key=lambda piece: (-(known_mm(piece.size) or 0.0), piece.id))
    return ordered[stock:]


def _bought(fit: Fit, roles: set[str], bench: Bench) -> Fit:
    adapters = tuple(
        replace(adapter, already_here=False) if _role(adapter, bench) in roles else adapter
        for adapter in fit.adapters
    )
    return replace(fit, adapters=adapters)
