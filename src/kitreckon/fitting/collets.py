"""Collets and what closes them: a draw tube through the bore, a chuck on the nose, a spindle."""

from __future__ import annotations

from dataclasses import replace

from kitreckon.catalogue.model import Kind, Role
from kitreckon.count import Piece
from kitreckon.fitting.bench import Bench, Carrier, ends, length
from kitreckon.fitting.model import Adapter, Fit
from kitreckon.fitting.noses import fit_nose, shank_or_nose
from kitreckon.fitting.sockets import fit_taper, measure_socket, short_socket, socket_in_doubt
from kitreckon.fitting.verdicts import (
    best_of,
    fits,
    fits_with,
    misfit,
    resting_on,
    unknown,
    with_cautions,
)
from kitreckon.quantities import known_mm
from kitreckon.reasons import Reason, because
from kitreckon.standards import Collet

_HOLDERS: tuple[Role, ...] = ("draw-tube", "collet-chuck", "cutter-holder", "collet-block")


def fit_collets(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Try collets in the spindle itself, a draw tube, a chuck or a block."""
    mount = piece.mount or kind.usual_mount or None
    if not kind.collet:
        return fits(because("held-by-shank"))
    if mount is None:
        return unknown("piece.mount", because("measure-collet"))
    if mount == bench.machine.spindle_socket:
        return fits(because("collet-in-spindle", mount=mount))
    if mount in bench.standards.cones:
        return _in_spindle(piece, kind, mount, bench)
    system = bench.standards.collets.get(mount)
    if system is None:
        return unknown("piece.mount", because("collet-not-in-tables", mount=mount))
    bought = _in_chuck(mount, bench) if system.style == "spring" else _drawn(system, bench)
    held = [_held(holder, mount, bench) for holder in _holders(mount, bench)]
    return _within_grip(_cheapest(bought, held), piece, system)


def _within_grip(fit: Fit, piece: Piece, system: Collet) -> Fit:
    """Say where a collet is marked with a size that its system is not made in."""
    size, least, most = known_mm(piece.size), system.grips_from_mm or 0.0, system.grips_to_mm
    if size is None or most is None or least - 0.05 <= size <= most + 0.05:
        return fit
    sizes = {"size": length(size), "least": length(least), "most": length(most)}
    return with_cautions(fit, (), because("collet-past-grip", mount=system.name, **sizes))


def _in_spindle(piece: Piece, kind: Kind, mount: str, bench: Bench) -> Fit:
    socket = bench.machine.spindle_socket
    if socket is None:
        return unknown("spindle_socket", measure_socket(bench, "spindle_socket"))
    return misfit(because("collet-other-spindle", mount=mount, socket=socket))


def _cheapest(bought: Fit, held: list[Fit]) -> Fit:
    """Choose between what is here and what can be bought, and say why one here is passed over."""
    best = best_of([*held, bought])
    if best is not bought:
        return best
    passed = [one for one in held if one.verdict in ("unknown", "misfit")]
    return with_cautions(best, (), *(one.reasons[0] for one in passed))


def _holders(mount: str, bench: Bench) -> tuple[Carrier, ...]:
    return tuple(one for one in bench.serving(*_HOLDERS) if mount in one.ends)


def _held(holder: Carrier, mount: str, bench: Bench) -> Fit:
    """Hold collets in one holder that is here, if it goes on this machine itself."""
    carrier = Adapter(
        f"{holder.role}:{holder.piece.id}",
        holder.piece.kind or "",
        because("adapter-collet-holder", mount=mount),
        size=holder.piece.size,
        mount=holder.piece.mount or mount,
        already_here=True,
    )
    held = because("collet-held", mount=mount)
    kind = bench.kinds.get(holder.piece.kind or "")
    if kind is None or holder.role == "collet-block" or holder.piece.tried:
        return fits_with((carrier,), held)
    itself = fit_holder(holder.piece, kind, bench.trying(holder.piece))
    if itself.verdict == "unknown" and itself.settle is not None:
        question = itself.settle.question
        return unknown(
            f"holder.{itself.settle.fact}", question, because("holder-to-try", mount=mount)
        )
    if itself.verdict == "misfit" or len(itself.adapters) > 1:
        return misfit(because("holder-does-not-fit", mount=mount), *itself.reasons)
    return fits_with((*itself.adapters, carrier), held)


def _drawn(system: Collet, bench: Bench) -> Fit:
    """Use a draw tube where the bore passes it, else a chuck on the nose."""
    bore = known_mm(bench.machine.bore)
    needed = system.draw_tube_bore_mm
    if not bench.is_lathe:
        return misfit(because("collet-not-for-mill", mount=system.name))
    if bore is not None and needed is not None and bore >= needed - 0.05:
        if wrong := socket_in_doubt(bench):
            return wrong
        adapter = Adapter(
            f"draw-tube:{system.name}",
            bench.serving_as("draw-tube"),
            because("adapter-draw-tube", mount=system.name),
            mount=system.name,
        )
        why = because("bore-passes", mount=system.name, bore=length(bore), needed=length(needed))
        fit = fits_with((adapter,), why, *short_socket(bench))
        return resting_on(fit, f"{system.name} draw tube", system.evidence, "draw_tube_bore")
    if bore is not None and bore < system.body_mm:
        why = because(
            "bore-too-small", mount=system.name, bore=length(bore), body=length(system.body_mm)
        )
        return _in_chuck(system.name, bench, why)
    if bore is not None and needed is not None:
        why = because("bore-between", mount=system.name, bore=length(bore), needed=length(needed))
        return _in_chuck(system.name, bench, why)
    if bore is not None:
        sizes = {"mount": system.name, "bore": length(bore), "body": length(system.body_mm)}
        return unknown("piece.tried", because("try-tube", **sizes))
    return _in_chuck(system.name, bench, because("bore-not-known", mount=system.name))


def _in_chuck(mount: str, bench: Bench, *why: Reason) -> Fit:
    """Hold the collets in a chuck on the nose of a lathe, or on a shank in a mill's spindle."""
    machine = bench.machine
    seat = machine.nose if bench.is_lathe else machine.spindle_socket
    if seat is None:
        fact = "nose" if bench.is_lathe else "spindle_socket"
        question = (
            because("measure-nose") if bench.is_lathe else measure_socket(bench, "spindle_socket")
        )
        return unknown(fact, question)
    adapter = Adapter(
        f"collet-chuck:{seat}-{mount}",
        bench.serving_as("collet-chuck"),
        because("adapter-collet-chuck", mount=mount, seat=seat),
        mount=mount,
        cautions=("chuck-speed",) if bench.is_lathe else (),
    )
    reasons = (*why, because("collet-needs-chuck", mount=mount, seat=seat))
    fit = fits_with((adapter,), *reasons)
    return resting_on(fit, mount, bench.standards.collets[mount].evidence, "body")


def fit_holder(piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Try a collet chuck, a collet adapter or a holder in a spindle or on a nose."""
    if kind.serves_as == "draw-tube":
        return _draw_tube(piece, bench)
    if piece.back == "plain":
        return fit_nose(piece, kind, bench)
    end = shank_or_nose(piece, bench)
    if end is None:
        return unknown("piece.back", because("holder-back"))
    placed = replace(piece, mount=end)
    if end in bench.standards.noses:
        return fit_nose(placed, kind, bench)
    return fit_taper(placed, kind, bench, "spindle_socket")


def _draw_tube(piece: Piece, bench: Bench) -> Fit:
    """Try a closer: its tube needs the bore, its nosepiece the socket."""
    name = next((end for end in ends(piece) if end in bench.standards.collets), "5C")
    system, bore = bench.standards.collets[name], known_mm(bench.machine.bore)
    if not bench.is_lathe:
        return misfit(because("closer-is-for-lathes"))
    if bore is None:
        return unknown("bore", because("measure-bore", mount=name))
    sizes = {"mount": name, "bore": length(bore), "body": length(system.body_mm)}
    if bore < system.body_mm:
        return misfit(because("bore-too-small", **sizes))
    return unknown("piece.tried", because("try-closer", **sizes))
