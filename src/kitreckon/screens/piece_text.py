"""How a piece is put into words: what was counted, and what was understood of a typed line."""

from __future__ import annotations

from kitreckon.count import Piece
from kitreckon.fitting.model import Fit
from kitreckon.quantities import Money
from kitreckon.reading.model import ReadPiece
from kitreckon.reasons import because
from kitreckon.screens.counting import details_of
from kitreckon.screens.details import Details
from kitreckon.screens.session import Session


def size_and_mount(session: Session, piece: Piece) -> str:
    """Return size and mount of a piece, as short as they are."""
    # a size is said as it was typed: nobody calls a 6 in chuck 152.4 mm
    parts = [str(piece.size) if piece.size else "", piece.mount or ""]
    if piece.set_of:
        parts.append(
            f"{piece.set_has if piece.set_has is not None else piece.set_of} of {piece.set_of}"
        )
    return " ".join(part for part in parts if part)


def state_of(session: Session, piece: Piece) -> str:
    """Return the condition of a piece in a word: danger first."""
    if piece.unsafe:
        return session.label("state.unsafe")
    grade = session.grade_of(piece)
    state = session.label("state.here" if piece.seen else "state.not-seen")
    if grade:
        state = session.term("condition", grade)
        state += "" if piece.seen else f", {session.label('count.said')}"
    if piece.repair:  # first, where the column is narrow: until it is paid the piece does not work
        state = f"{session.label('state.repair')}, {state}"
    return f"{state}, {session.label('state.his')}" if piece.his else state


def repair_told(session: Session, piece: Piece) -> str:
    """Return what putting a piece right costs, covered with the rest, and what has to be done."""
    cost = session.typed_money(piece.repair)
    return f"{cost}, {piece.repair_of}" if piece.repair_of else cost


def piece_told(session: Session, piece: Piece) -> str:
    """Return everything counted about a piece."""
    word = session.label("count.here" if piece.seen else "count.said-here")
    told = [f"{piece.qty} {word}", size_and_mount(session, piece)]
    grade = session.grade_of(piece)
    told.append(session.term("condition", grade) if grade else session.label("state.not-judged"))
    if piece.back:
        told.append(session.label(f"back.{piece.back}"))
    if piece.parts_missing:
        parts = ", ".join(session.term("part", part) for part in piece.parts_missing)
        told.append(session.say(because("screen-parts-missing", parts=parts)))
    told += [f"{session.term('reading', r.id)} {session.length(r.value)}" for r in piece.readings]
    if piece.marked_rpm:
        told.append(session.say(because("screen-marked-speed", rpm=piece.marked_rpm)))
    if piece.floor is not None:
        told.append(_he_wants(session, piece.floor))
    if piece.note:
        told.append(piece.note)
    return ", ".join(part for part in told if part)


def thing_told(session: Session, read: ReadPiece) -> str:
    """Return a thing named among others on a line, with what was read of it."""
    told = details_told(session, details_of(read))
    return f"{session.name(read.kind)} {told}".strip()


def details_told(session: Session, details: Details) -> str:
    """Return what was understood of a line, in words."""
    piece = Piece("", None, **details.changes())  # type: ignore[arg-type]
    told = [str(details.qty) if details.qty else "", size_and_mount(session, piece)]
    if details.condition:
        told.append(session.term("condition", details.condition))
    if details.back:
        told.append(session.label(f"back.{details.back}"))
    if details.unsafe:
        told.append(session.label("unsafe").lower())
    if details.parts_missing:
        parts = ", ".join(session.term("part", part) for part in details.parts_missing)
        told.append(session.say(because("screen-parts-missing", parts=parts)))
    told += [f"{session.term('reading', r.id)} {session.length(r.value)}" for r in details.readings]
    if details.marked_rpm:
        told.append(session.say(because("screen-marked-speed", rpm=details.marked_rpm)))
    if details.repair is not None:
        told.append(_repair_said(session, details))
    if details.floor is not None:
        told.append(_he_wants(session, details.floor))
    if details.his:
        told.append(session.label("state.his"))
    for height, name in ((details.low_height, "low"), (details.high_height, "high")):
        if height:
            told.append(f"{session.label(f'height.{name}')} {session.length(height)}")
    if details.tried is not None:
        told.append(session.label("tried.yes" if details.tried else "tried.no"))
    told += _denied_told(session, details)
    if details.note:
        told.append(f"“{details.note}”")
    return ", ".join(part for part in told if part)


def _denied_told(session: Session, details: Details) -> list[str]:
    """Return what was said not to be so; what a note says in full is not said twice."""
    denied = dict(details.denied)
    told = [session.label(f"denied.{name}") for name in ("tried", "his") if name in denied]
    if "unsafe" in denied:
        told.append(session.say(because("screen-denied", what=str(denied["unsafe"]))))
    there = [str(value) for name, value in details.denied if name == "parts_missing"]
    if there:
        parts = ", ".join(session.term("part", part) for part in there)
        told.append(session.say(because("screen-parts-there", parts=parts)))
    return told


def _repair_said(session: Session, details: Details) -> str:
    """Return a repair as it was understood; one of nothing takes it off."""
    if not details.repair:
        return session.label("repaired")
    told = "screen-repair-of" if details.repair_of else "screen-repair"
    cost = session.typed_money(details.repair)
    return session.say(because(told, repair=cost, what=details.repair_of))


def _he_wants(session: Session, floor: Money) -> str:
    return session.say(because("screen-he-wants", floor=str(floor)))  # his own word: never covered


def short_fit(session: Session, fit: Fit | None) -> str:
    """Return the verdict in a word or two, with its first reason where it is not plain."""
    if fit is None:
        return ""
    word = session.label(f"fit.{fit.verdict}.short")
    needed = dict.fromkeys(session.name(adapter.kind) for adapter in fit.adapters)
    return f"{word} {', '.join(needed)}" if needed else word
