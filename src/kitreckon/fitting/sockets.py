"""Tapers in sockets: sleeves, arbors and extensions as edges of a small graph.

A node is a taper by name, an edge an adapter whose outside is the first and whose inside is the
second. A way has at most two adapters. A sleeve only reduces; an extension goes up a size, is
the last resort, and loses length. What needs a drawbar gets no adapter that closes the bore.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import Kind
from kitreckon.count import Piece
from kitreckon.fitting.bench import Bench, effort, ends, length
from kitreckon.fitting.doubts import no_such_socket
from kitreckon.fitting.model import Adapter, Fit
from kitreckon.fitting.threads import is_thread
from kitreckon.fitting.verdicts import fits, fits_with, misfit, resting_on, unknown
from kitreckon.quantities import known_mm, steep_cone
from kitreckon.reasons import Reason, Term, because
from kitreckon.standards import Cone

_STUB_SYSTEMS = ("Jacobs", "B")  # what a drill chuck sits on
_SELF_HOLDING = ("Morse", "metric", "Jarno", "BS")
_STEEP = ("7:24", "R8")


@dataclass(frozen=True, slots=True)
class Way:
    """Adapters from a socket outward to a taper, and what is lost on the way."""

    adapters: tuple[Adapter, ...]
    last_resort: bool = False

    @property
    def order(self) -> tuple[bool, tuple[int, int, float]]:
        """Extensions come last; then the fewest to buy, the fewest, the least work."""
        return self.last_resort, effort(self.adapters)


@dataclass(frozen=True, slots=True)
class Edge:
    """One adapter between two tapers."""

    adapter: Adapter
    closes_bore: bool
    last_resort: bool = False


def fit_taper(piece: Piece, kind: Kind, bench: Bench, socket_fact: str) -> Fit:
    """Try a taper-shank piece in one of the machine's sockets, named by its field."""
    socket = getattr(bench.machine, socket_fact)
    where = because(socket_fact)
    if kind.serves_as == "sleeve":
        piece = replace(piece, mount=_outside(piece, bench) or piece.mount)
    if socket is None:
        return unknown(socket_fact, measure_socket(bench, socket_fact))
    if socket_fact == "spindle_socket" and (wrong := socket_in_doubt(bench)):
        return wrong
    mount = piece.mount
    if kind.on_arbor:
        return unknown("piece.size", because("cutter-on-arbor"))
    if mount is None:
        return unknown("piece.mount", _measure_shank(piece, kind, bench))
    if mount == socket:
        short = short_socket(bench) if socket_fact == "spindle_socket" else ()
        return fits(because("same-taper", taper=mount, where=where), *short)
    if steep_cone(mount) == steep_cone(socket):
        return fits(because("same-cone-by-stud", taper=mount, socket=socket, where=where))
    mount, socket = steep_cone(mount), steep_cone(socket)
    if _is_stub(mount, bench) and _on_stub(kind):
        return _on_arbor(piece, mount, socket, bench, where)
    shank = bench.standards.cones.get(mount)
    inside = bench.standards.cones.get(socket)
    if shank is None and bench.standards.system(mount):
        return misfit(because("not-a-shank", mount=mount, socket=socket, where=where))
    if shank is None or inside is None:
        return _not_in_tables(mount, socket, shank, where)
    return _through(piece, kind, bench, shank, inside, where)


def _through(
    piece: Piece, kind: Kind, bench: Bench, shank: Cone, inside: Cone, where: Reason
) -> Fit:
    """Fit a shank through adapters: a sleeve, then a new arbor, then an extension, or not."""
    way = cheapest_way(bench, inside.name, shank.name, kind)
    if way is not None and not way.last_resort:
        why = because("reduced", shank=shank.name, socket=inside.name, where=where)
        return _proved(fits_with(way.adapters, why), shank, inside)
    if _on_stub(kind):
        return _new_arbor(piece, shank, inside, bench, where)
    why = _too_different(shank, inside, where)
    if way is not None:
        return fits_with(way.adapters, why, because("extension-last-resort"))
    reasons = [why]
    if kind.needs_drawbar and cheapest_way(bench, inside.name, shank.name):
        reasons.append(because("drawbar-needed", socket=inside.name))
    return _proved(misfit(*reasons), shank, inside)


def socket_in_doubt(bench: Bench) -> Fit | None:
    """Say that nothing can be said where bore and spindle socket cannot both be as told."""
    wrong = no_such_socket(bench.machine, bench.standards)
    return None if wrong is None else unknown("spindle_socket", because("which-is-wrong"), wrong)


def short_socket(bench: Bench) -> tuple[Reason, ...]:
    """Say where a bore larger than the socket's small end has cut the socket short."""
    inside = bench.standards.cones.get(bench.machine.spindle_socket or "")
    bore = known_mm(bench.machine.bore)
    if inside is None or bore is None or bore <= inside.small_mm + 0.05:
        return ()
    shown = {"bore": length(bore), "small": length(inside.small_mm)}
    return (because("socket-short", socket=inside.name, **shown),)


def measure_socket(bench: Bench, socket_fact: str) -> Reason:
    """Ask for a socket, with what usually goes with the nose where the tables say."""
    where = because(socket_fact)
    usual = bench.standards.companions.get(bench.machine.nose or "")
    if socket_fact == "spindle_socket" and usual is not None:
        return because(
            "measure-socket-usual", where=where, nose=usual.nose, usual=usual.spindle_socket
        )
    return because("measure-socket", where=where)


def _measure_shank(piece: Piece, kind: Kind, bench: Bench) -> Reason:
    """Ask for a shank, with the mounts a drill chuck of that capacity usually has."""
    size = known_mm(piece.size)
    mounts = bench.standards.drill_chuck_mounts
    if _on_stub(kind) and size is not None and mounts:
        nearest = min(mounts, key=lambda capacity: abs(float(capacity) - size))
        if abs(float(nearest) - size) <= bench.standards.rule("drill-chuck-near-mm"):
            usual = ", ".join(mounts[nearest])
            return because("measure-stub-usual", size=length(size), usual=usual)
    return because("measure-shank", piece=Term("kind", kind.id))


def _outside(piece: Piece, bench: Bench) -> str | None:
    """Return the larger end of a sleeve, the one that goes into a socket."""
    cones = [bench.standards.cones[end] for end in ends(piece) if end in bench.standards.cones]
    return max(cones, key=lambda cone: cone.large_mm).name if cones else None


def cheapest_way(bench: Bench, socket: str, mount: str, kind: Kind | None = None) -> Way | None:
    """Return the best way from a socket to a taper with one or two adapters, or None.

    kind: what stands in the taper, where it needs a drawbar or bears an extension.
    """
    drawbar, bears = (kind.needs_drawbar, kind.bears_extension) if kind else (False, False)
    asked = (socket, mount, drawbar, bears)
    if asked not in bench.ways:
        bench.ways[asked] = _cheapest(bench, socket, mount, drawbar=drawbar, bears=bears)
    found: Way | None = bench.ways[asked]
    return found


def _cheapest(bench: Bench, socket: str, mount: str, *, drawbar: bool, bears: bool) -> Way | None:
    found = [
        Way(tuple(edge.adapter for edge in way), any(edge.last_resort for edge in way))
        for way in _ways(bench, socket, mount)
        if not (drawbar and any(edge.closes_bore for edge in way))
    ]
    allowed = [way for way in found if not way.last_resort or bears or _all_here(way)]
    return min(allowed, key=lambda way: way.order, default=None)


def _all_here(way: Way) -> bool:
    return all(adapter.already_here for adapter in way.adapters)


def _ways(bench: Bench, socket: str, mount: str) -> Iterator[tuple[Edge, ...]]:
    direct = edge(bench, socket, mount)
    if direct is not None:
        yield (direct,)
    for middle in bench.standards.cones:
        if middle in (socket, mount):
            continue
        first = edge(bench, socket, middle)
        if first is None:
            continue
        second = edge(bench, middle, mount)
        if second is not None:
            yield first, second


def edge(bench: Bench, outside: str, inside: str) -> Edge | None:
    """Return the adapter that fits the socket ``outside`` and takes the shank ``inside``."""
    cones = bench.standards.cones
    if _is_stub(inside, bench):
        if outside not in cones or cones[outside].system in _STUB_SYSTEMS:
            return None
        return Edge(_arbor(bench, outside, inside), closes_bore=False)
    outer, inner = cones.get(outside), cones.get(inside)
    if outer is None or inner is None or outer.system in _STUB_SYSTEMS:
        return None
    if inner.system == "Morse" and outer.system == "Morse" and inner.large_mm > outer.large_mm:
        return _extension(bench, outer, inner)
    if not _room_inside(outer, inner, bench):
        return None
    if inner.system == "Morse" and outer.system in (*_SELF_HOLDING, *_STEEP):
        # a lathe's headstock sleeve is open behind; a drill sleeve ends in a tang
        return Edge(_sleeve(bench, outer, inner), closes_bore=not bench.is_lathe)
    if inner.system in _STEEP and outer.system == "7:24":
        return Edge(_sleeve(bench, outer, inner), closes_bore=False)
    return None


def _room_inside(outer: Cone, inner: Cone, bench: Bench) -> bool:
    """Tell whether a sleeve has a wall left, and does not step down too many sizes at once."""
    wall, most = bench.standards.rule("sleeve-wall-mm"), bench.standards.rule("sleeve-most-sizes")
    if outer.system == inner.system == "Morse" and _number(outer) - _number(inner) > most:
        return False
    return inner.large_mm + wall <= outer.large_mm


def _number(cone: Cone) -> float:
    return float(cone.name.removeprefix("MT"))


def _sleeve(bench: Bench, outer: Cone, inner: Cone) -> Adapter:
    here = bench.carrying("sleeve", outer.name, inner.name)
    return Adapter(
        f"sleeve:{outer.name}-{inner.name}",
        bench.serving_as("sleeve", here),
        because("adapter-sleeve", outside=outer.name, inside=inner.name),
        size=length(outer.large_mm),
        mount=outer.name,
        already_here=here is not None,
    )


def _extension(bench: Bench, outer: Cone, inner: Cone) -> Edge:
    here = bench.carrying("sleeve", outer.name, inner.name)
    lost = length(inner.length_mm)
    adapter = Adapter(
        f"extension:{outer.name}-{inner.name}",
        bench.serving_as("sleeve", here),
        because("adapter-extension", outside=outer.name, inside=inner.name, lost=lost),
        size=length(inner.large_mm),
        mount=outer.name,
        already_here=here is not None,
        loss=lost,
        cautions=("long-reach",),
    )
    return Edge(adapter, closes_bore=True, last_resort=True)


def _arbor(bench: Bench, socket: str, stub: str) -> Adapter:
    here = bench.carrying("arbor", socket, stub)
    cone = bench.standards.cones.get(socket)
    return Adapter(
        f"arbor:{socket}-{stub}" if stub else f"arbor:{socket}",
        bench.serving_as("arbor", here),
        because("adapter-arbor", shank=socket, stub=stub)
        if stub
        else because("adapter-arbor-unread", shank=socket),
        size=length(cone.large_mm) if cone else None,
        mount=socket,
        already_here=bool(stub) and here is not None,
    )


def _on_stub(kind: Kind) -> bool:
    """Tell what sits on an arbor's short taper or thread: drill chucks."""
    return "chuck-mount" in kind.seats


def _is_stub(mount: str, bench: Bench) -> bool:
    """Tell a taper or thread behind a drill chuck from a shank."""
    cone = bench.standards.cones.get(mount)
    return cone.system in _STUB_SYSTEMS if cone else is_thread(mount)


def _on_arbor(piece: Piece, mount: str, socket: str, bench: Bench, where: Reason) -> Fit:
    way = cheapest_way(bench, socket, mount)
    if way is None:
        return misfit(because("no-arbor", stub=mount, socket=socket))
    reasons = [because("needs-arbor", stub=mount, socket=socket, where=where)]
    if not way.adapters[0].already_here and _unread_arbor(bench, socket):
        reasons.append(because("arbor-end-unread", shank=socket, stub=mount))
    return fits_with(own(way.adapters, piece), *reasons)


def own(adapters: tuple[Adapter, ...], piece: Piece) -> tuple[Adapter, ...]:
    """Name the arbor for its piece: it stays in its chuck, and is not shared in turns."""
    return tuple(
        replace(adapter, id=f"{adapter.id}:{piece.id}")
        if adapter.id.startswith("arbor:")
        else adapter
        for adapter in adapters
    )


def with_own_arbor(fit: Fit, piece: Piece, kind: Kind, bench: Bench) -> Fit:
    """Say of a drill chuck known by a shank that goes on that its arbor is in it already."""
    arbor, mount = bench.serving_as("arbor"), piece.mount or ""
    if not _on_stub(kind) or _is_stub(mount, bench) or mount not in bench.standards.cones:
        return fit
    goes_on = fit.verdict in ("fits", "fits-with")
    changed = any(adapter.kind == arbor for adapter in fit.adapters)
    return replace(fit, own=(arbor,)) if goes_on and not changed else fit


def _unread_arbor(bench: Bench, socket: str) -> bool:
    return any(carrier.ends == frozenset({socket}) for carrier in bench.serving("arbor"))


def _new_arbor(piece: Piece, shank: Cone, inside: Cone, bench: Bench, where: Reason) -> Fit:
    """Another arbor comes before an extension: it keeps the quill's stroke."""
    return fits_with(
        own((_arbor(bench, inside.name, ""),), piece),
        _too_different(shank, inside, where),
        because("change-the-arbor", socket=inside.name),
    )


def _too_different(shank: Cone, inside: Cone, where: Reason) -> Reason:
    family = (*_SELF_HOLDING,)
    if shank.system in family and inside.system in family and shank.large_mm > inside.large_mm:
        return because(
            "shank-too-large",
            shank=shank.name,
            socket=inside.name,
            where=where,
            shank_size=length(shank.large_mm),
            socket_size=length(inside.large_mm),
        )
    return because(
        "another-taper",
        shank=shank.name,
        socket=inside.name,
        where=where,
        shank_size=length(shank.large_mm),
        socket_size=length(inside.large_mm),
        shank_angle=f"{2 * shank.half_angle_deg:.2f}",
        socket_angle=f"{2 * inside.half_angle_deg:.2f}",
    )


def _not_in_tables(mount: str, socket: str, shank: Cone | None, where: Reason) -> Fit:
    if shank is None:
        question = because("mount-not-in-tables", mount=mount)
        return unknown("piece.mount", question)
    question = because("socket-not-in-tables", socket=socket, where=where)
    return unknown(
        "spindle_socket" if where.id == "spindle_socket" else "tailstock_socket", question
    )


def _proved(fit: Fit, *cones: Cone) -> Fit:
    for cone in cones:
        fit = resting_on(fit, cone.name, cone.evidence, "large")
    return fit
