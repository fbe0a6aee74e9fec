"""Two counts of one machine made into one, without counting anything twice."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, fields, replace
from typing import TypeVar

from kitreckon.count import Finding, Look, Machine, Piece, Reading, Saying, Visit

T = TypeVar("T", Finding, Saying)
_SAME_MM = 0.51  # a half millimetre: one man wrote 6in, the other 152mm


@dataclass(frozen=True, slots=True)
class Merged:
    """The visit of both counts, and what became of the second one's pieces."""

    visit: Visit
    added: tuple[Piece, ...]  # only the second count had them
    same: tuple[Piece, ...]  # both had them
    differing: tuple[Piece, ...]  # both had them, and not alike: the first count's word stands
    grown: tuple[Piece, ...] = ()  # as merged: the second count saw more of them


def merge_visits(ours: Visit, theirs: Visit) -> Merged:
    """Return both counts as one.

    Pieces of one kind whose size, mount and set do not contradict each other are one piece; the
    greater number stands. What one count left open is taken from the other; where they differ
    the first stands. Looks keep the greater number seen; findings and sayings are kept once.
    """
    together = _merge_pieces(ours.pieces, theirs.pieces)
    visit = replace(
        ours,
        pieces=together.pieces,
        looks=_merge_looks(ours.looks, theirs.looks),
        findings=_united(
            _seen_first(ours.findings, theirs.findings), theirs.findings, lambda found: found.kind
        ),
        sayings=_united(ours.sayings, theirs.sayings, _saying_key),
        clock_s=max(ours.clock_s, theirs.clock_s),
    )
    return Merged(visit, together.added, together.same, together.differing, together.grown)


def merge_machines(ours: Machine, theirs: Machine) -> Machine:
    """Return the machine as first described, with what was not known taken from the second."""
    found = {
        field.name: getattr(theirs, field.name)
        for field in fields(Machine)
        if _is_open(getattr(ours, field.name))
    }
    features = {**dict(theirs.features), **dict(ours.features)}
    return replace(ours, **{**found, "features": tuple(features.items())})


def merge_shelves(ours: Sequence[Piece], theirs: Sequence[Piece]) -> tuple[Piece, ...]:
    """Return both shelves as one, nothing twice."""
    return _merge_pieces(ours, theirs).pieces


@dataclass(frozen=True, slots=True)
class _Together:
    pieces: tuple[Piece, ...]
    added: tuple[Piece, ...]
    same: tuple[Piece, ...]
    differing: tuple[Piece, ...]
    grown: tuple[Piece, ...]


def _merge_pieces(ours: Sequence[Piece], theirs: Sequence[Piece]) -> _Together:
    merged = list(ours)
    free = list(range(len(ours)))
    left = list(theirs)
    same: list[Piece] = []
    differing: list[Piece] = []
    grown: list[int] = []
    for alike in (_alike, _compatible):
        for piece in list(left):
            spot = next((spot for spot in free if alike(merged[spot], piece)), None)
            if spot is None:
                continue
            free.remove(spot)
            left.remove(piece)
            if _differs(merged[spot], piece):
                differing.append(piece)
            if piece.qty > merged[spot].qty:
                grown.append(spot)
            same.append(piece)
            merged[spot] = _filled(merged[spot], piece)
    taken = {piece.id for piece in merged}
    for piece in left:
        fresh = replace(piece, id=_free_id(piece.id, taken))
        taken.add(fresh.id)
        merged.append(fresh)
    return _Together(
        tuple(merged),
        tuple(left),
        tuple(same),
        tuple(differing),
        tuple(merged[spot] for spot in grown),
    )


def _alike(one: Piece, other: Piece) -> bool:
    return (
        _compatible(one, other)
        and (one.size is None) == (other.size is None)
        and one.mount == other.mount
        and one.condition == other.condition
    )


def _compatible(one: Piece, other: Piece) -> bool:
    if one.kind is None or other.kind is None:
        return one.kind == other.kind and one.text.casefold() == other.text.casefold()
    return one.kind == other.kind and _sizes_agree(one, other) and _facts_agree(one, other)


def _sizes_agree(one: Piece, other: Piece) -> bool:
    if one.size is None or other.size is None:
        return True
    if one.size.unit is None or other.size.unit is None:
        return one.size.amount == other.size.amount
    return abs(one.size.mm - other.size.mm) <= _SAME_MM


def _facts_agree(one: Piece, other: Piece) -> bool:
    pairs = ((one.mount, other.mount), (one.back, other.back), (one.set_of, other.set_of))
    return all(a is None or b is None or a == b for a, b in pairs)


_MAY_DIFFER = (
    "condition", "tried", "repair", "set_has", "unsafe", "parts_missing", "marked_rpm", "body",
    "floor", "low_height", "high_height",
)  # fmt: skip


def _differs(one: Piece, other: Piece) -> bool:
    pairs = [(getattr(one, name), getattr(other, name)) for name in _MAY_DIFFER]
    return any(not _is_open(a) and not _is_open(b) and a != b for a, b in pairs)


def _is_open(fact: object) -> bool:
    """Return whether a fact was left open; False and 0 are answers."""
    return fact is None or fact == "" or fact == ()


def _filled(one: Piece, other: Piece) -> Piece:
    """Return the first count's piece with what it left open taken from the second.

    Of its two flags either count's word is enough: he keeps it, somebody looked at it.
    """
    open_fields = {
        field.name: getattr(other, field.name)
        for field in fields(Piece)
        if field.name != "readings" and _is_open(getattr(one, field.name))
    }
    return replace(
        one,
        qty=max(one.qty, other.qty),
        his=one.his or other.his,
        seen=one.seen or other.seen,
        readings=_united_readings(one.readings, other.readings),
        **open_fields,
    )


def _united_readings(ours: Sequence[Reading], theirs: Sequence[Reading]) -> tuple[Reading, ...]:
    known = {reading.id for reading in ours}
    return (*ours, *(reading for reading in theirs if reading.id not in known))


def _merge_looks(ours: Iterable[Look], theirs: Iterable[Look]) -> tuple[Look, ...]:
    seen = {look.want: look.seen for look in ours}
    for look in theirs:
        seen[look.want] = max(seen.get(look.want, 0), look.seen)
    return tuple(Look(want, count) for want, count in seen.items())


def _seen_first(ours: Iterable[Finding], theirs: Iterable[Finding]) -> list[Finding]:
    """Return our findings; where one is only the seller's word and they saw it, what they saw."""
    saw = {found.kind: found for found in theirs if found.seen}
    return [
        replace(saw[found.kind], id=found.id) if not found.seen and found.kind in saw else found
        for found in ours
    ]


def _saying_key(saying: Saying) -> object:
    return (saying.who, saying.price, saying.keeps, saying.note)


def _united(ours: Sequence[T], theirs: Sequence[T], key: Callable[[T], object]) -> tuple[T, ...]:
    united = list(ours)
    known = {key(one) for one in ours}
    taken = {one.id for one in ours}
    for one in theirs:
        if key(one) in known:
            continue
        fresh = replace(one, id=_free_id(one.id, taken))
        taken.add(fresh.id)
        united.append(fresh)
    return tuple(united)


def _free_id(wanted: str, taken: set[str]) -> str:
    number, fresh = 2, wanted
    while fresh in taken:
        fresh = f"{wanted}-{number}"
        number += 1
    return fresh
