"""What was said about a piece, by code or by name, and what it does to the piece. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from kitreckon.count import Condition, Piece, Reading
from kitreckon.quantities import Length, Money

Fact = tuple[str, object]  # a field of a piece, and what is said of it


@dataclass(frozen=True, slots=True)
class Details:
    """What was said about a piece; None or empty is what was not said.

    ``denied`` is what was said not to be so: where the piece has that fact, it is taken away.
    """

    qty: int | None = None
    set_of: int | None = None
    set_has: int | None = None
    size: Length | None = None
    mount: str | None = None
    back: str | None = None
    condition: Condition | None = None
    parts_missing: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()
    repair: Money | None = None  # what putting it right costs; nothing says that it was put right
    repair_of: str = ""
    floor: Money | None = None  # what the seller wants for it alone
    unsafe: str = ""
    marked_rpm: int | None = None
    tried: bool | None = None
    his: bool | None = None
    seen: bool | None = None  # False: the seller's word; said of a piece in hand, it is seen
    low_height: Length | None = None
    high_height: Length | None = None
    note: str = ""
    denied: tuple[Fact, ...] = ()

    @classmethod
    def of(cls, piece: Piece) -> Details:
        """Return what is said of a piece: all that is not as it is when nothing was said."""
        unsaid = Piece(piece.id, piece.kind)
        told = {name: getattr(piece, name) for name in _OF_A_PIECE}
        return cls(
            **{name: value for name, value in told.items() if value != getattr(unsaid, name)}
        )

    @property
    def said(self) -> bool:
        """Return whether anything was said at all."""
        return self != Details()

    def changes(self) -> dict[str, object]:
        """Return the fields that were said, for ``dataclasses.replace`` on a piece."""
        named = {name: getattr(self, name) for name in _OF_A_PIECE}
        return {name: value for name, value in named.items() if value not in (None, (), "")}

    def facts(self) -> tuple[Fact, ...]:
        """Return all that was said, each of several parts or readings by itself."""
        return tuple(
            (name, each)
            for name, value in self.changes().items()
            for each in (value if isinstance(value, tuple) else (value,))
        )

    def without(self, denied: tuple[Fact, ...]) -> Details:
        """Return the same without facts that are said not to be so."""
        return replace(self, **_taken_away(self, denied, _UNSAID))


_OF_A_PIECE = tuple(field.name for field in fields(Details) if field.name != "denied")
_UNSAID = {field.name: field.default for field in fields(Details)}
_UNSAID_OF_A_PIECE = {field.name: field.default for field in fields(Piece)}


def _taken_away(
    held: Details | Piece, denied: tuple[Fact, ...], unsaid: Mapping[str, Any]
) -> dict[str, Any]:
    """Return the fields that change where facts are taken away from what holds them."""
    changes: dict[str, Any] = {}
    for name, value in denied:
        own = changes.get(name, getattr(held, name))
        if isinstance(own, tuple):
            changes[name] = tuple(each for each in own if each != value)
        elif own == value:
            changes[name] = unsaid[name]
    return changes


def merge(read: Details, codes: Details) -> Details:
    """Return both together; what was typed as a code wins."""
    both = replace(read, **codes.changes())  # type: ignore[arg-type]  # names come from Details
    denied = (*read.denied, *codes.denied)
    return replace(both, denied=tuple(fact for fact in denied if fact not in both.facts()))


def with_details(piece: Piece, details: Details) -> Piece:
    """Return a piece with what was said of it; readings, parts and notes are added to its own."""
    changes = details.changes()
    if details.repair is not None and not details.repair:
        changes |= {"repair": None, "repair_of": ""}
    if details.readings:
        said = {reading.id for reading in details.readings}
        kept = tuple(r for r in piece.readings if r.id not in said)
        changes["readings"] = (*kept, *details.readings)
    if details.parts_missing:
        both = (*piece.parts_missing, *details.parts_missing)
        changes["parts_missing"] = tuple(dict.fromkeys(both))
    if details.note and piece.note and details.note not in piece.note:
        changes["note"] = f"{piece.note}; {details.note}"
    changed = replace(piece, **changes)  # type: ignore[arg-type]  # names come from Details
    return replace(changed, **_taken_away(changed, details.denied, _UNSAID_OF_A_PIECE))
