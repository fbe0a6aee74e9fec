"""What must hold whatever is counted: no contradiction, no unit that matters, no worse for more."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from builders import a_lathe, a_mill
from kitreckon.catalogue.load import open_catalogue
from kitreckon.count import Machine, Piece
from kitreckon.fitting import Fit, fit, fit_all
from kitreckon.fitting.bench import effort
from kitreckon.quantities import Length

CATALOGUE = open_catalogue()
TABLES = CATALOGUE.standards
ORDER = ("fits", "fits-with", "unknown", "misfit")
TAPERS = st.sampled_from(["MT1", "MT2", "MT3", "MT4", "MT5", "MT4.5", "R8", "ISO40", "JN6", "BS9"])
STUBS = st.sampled_from(["JT2", "JT33", "JT6", "B16", "1/2-20"])
NOSES = st.sampled_from(["D1-3", "D1-4", "D1-6", "L0", "A2-4", "1-1/2-8", "2-1/4-8", "M39x4"])
LENGTHS = st.integers(5, 400).map(lambda mm: Length.of_mm(mm))
TAPERED = ["drill-chuck", "drills-taper-shank", "centre-live", "centre-dead", "end-mill-holder"]
NOSED = ["chuck-3-jaw", "chuck-4-jaw", "faceplate", "chuck-collet", "collets-5c", "collets-er"]
KINDS = st.sampled_from(TAPERED + NOSED) | st.sampled_from(sorted(CATALOGUE.kinds))


@st.composite
def pieces(draw: st.DrawFn, name: str = "p") -> Piece:
    return Piece(
        id=name,
        kind=draw(KINDS),
        mount=draw(st.none() | TAPERS | STUBS | NOSES | st.sampled_from(["5C", "ER32", "AXA"])),
        size=draw(st.none() | LENGTHS),
        back=draw(st.sampled_from([None, "plain", "backplate", "direct"])),
        low_height=draw(st.none() | st.just(Length.of_mm(12))),
        high_height=draw(st.none() | st.just(Length.of_mm(30))),
        marked_rpm=draw(st.none() | st.integers(100, 5000)),
        unsafe=draw(st.sampled_from(["", "", "cracked"])),
    )


@st.composite
def machines(draw: st.DrawFn) -> Machine:
    facts: dict[str, Any] = {
        "spindle_socket": draw(st.none() | TAPERS),
        "table_width": draw(st.none() | LENGTHS),
        "table_slot": draw(st.none() | st.just(Length.of_mm(14))),
        "top_speed_rpm": draw(st.none() | st.integers(500, 4000)),
    }
    if draw(st.booleans()):
        return a_mill(**facts)
    return a_lathe(
        **facts,
        nose=draw(st.none() | NOSES),
        tailstock_socket=draw(st.none() | TAPERS),
        bore=draw(st.none() | LENGTHS),
        swing=draw(st.none() | LENGTHS),
        post_height=draw(st.none() | LENGTHS),
    )


@st.composite
def adapters(draw: st.DrawFn, name: str = "a") -> Piece:
    holders = dict.fromkeys(
        ["chuck-collet", "collet-adapter", "collet-block"],
        (st.sampled_from(["5C", "ER32"]), NOSES | TAPERS),
    )
    plain = {
        "taper-sleeve": (TAPERS, TAPERS),
        "drill-chuck-arbor": (TAPERS, STUBS),
        "chuck-backplate": (NOSES, NOSES),
    }
    kind, ends = draw(st.sampled_from(list((plain | holders).items())))
    return Piece(name, kind, text=f"{draw(ends[0])} to {draw(ends[1])}")


def rank(found: Fit) -> tuple[int, tuple[int, int, float]]:
    return ORDER.index(found.verdict), effort(found.adapters)


def in_inches(value: Any) -> Any:
    """The same lengths, said in the other unit."""
    changes = {
        name: Length(length.amount * 10 / 254, "in")
        for name in value.__dataclass_fields__
        if isinstance(length := getattr(value, name), Length) and length.unit == "mm"
    }
    return replace(value, **changes)


@given(pieces(), machines())
def test_a_verdict_holds_together(piece: Piece, machine: Machine) -> None:
    found = fit(piece, machine, CATALOGUE)
    assert found.reasons
    assert (found.verdict == "fits-with") == bool(found.adapters)
    assert len(found.adapters) <= 2
    assert found.verdict != "unknown" or found.settle is not None
    if piece.unsafe and found.top_speed_rpm is not None:
        assert found.top_speed_rpm == 0
    if piece.marked_rpm is not None and found.top_speed_rpm is not None:
        assert found.top_speed_rpm <= piece.marked_rpm


@given(pieces(), machines())
def test_scaling_units_changes_nothing(piece: Piece, machine: Machine) -> None:
    metric = fit(piece, machine, CATALOGUE)
    inch = fit(in_inches(piece), in_inches(machine), CATALOGUE)
    assert (metric.verdict, metric.cautions, metric.top_speed_rpm) == (
        inch.verdict,
        inch.cautions,
        inch.top_speed_rpm,
    )
    assert [a.id for a in metric.adapters] == [a.id for a in inch.adapters]


@given(pieces(), machines(), st.lists(adapters(), max_size=3), adapters("extra"))
def test_an_added_adapter_never_makes_a_fit_worse(
    piece: Piece, machine: Machine, here: list[Piece], extra: Piece
) -> None:
    named = [replace(one, id=f"a{place}") for place, one in enumerate(here)]
    before = fit(piece, machine, CATALOGUE, here=named)
    after = fit(piece, machine, CATALOGUE, here=[*named, extra])
    assert rank(after) <= rank(before)


@given(pieces(), machines())
def test_what_goes_on_through_an_adapter_goes_on_its_two_ends(
    piece: Piece, machine: Machine
) -> None:
    """If A fits B through C, then C's two ends fit A and B."""
    found = fit(piece, machine, CATALOGUE)
    chain = [a for a in found.adapters if a.kind == "taper-sleeve"]
    if not chain:
        return
    sockets = {machine.tailstock_socket, machine.spindle_socket}
    outside = chain[0].id.partition(":")[2].partition("-")[0]
    inside = chain[-1].id.rpartition("-")[2]
    assert outside in sockets
    assert inside == piece.mount
    for one in chain:
        plain = replace(piece, mount=one.mount)
        socket = replace(machine, tailstock_socket=one.mount, spindle_socket=one.mount)
        assert fit(plain, socket, CATALOGUE).verdict == "fits"


@given(st.lists(pieces(), min_size=1, max_size=6), machines())
def test_order_of_counting_changes_nothing(those: list[Piece], machine: Machine) -> None:
    named = [replace(one, id=f"p{place}") for place, one in enumerate(those)]
    forward = fit_all(named, machine, CATALOGUE)
    backward = fit_all(named[::-1], machine, CATALOGUE)
    assert {k: v.verdict for k, v in forward.items()} == {k: v.verdict for k, v in backward.items()}


SOCKETED = sorted(
    name
    for name, kind in CATALOGUE.kinds.items()
    if {"spindle-nose", "spindle-socket", "tailstock-socket"}.issuperset(kind.seats)
    and not kind.collet  # a collet counted as another kind may go through the bore
)


@given(pieces(), st.sampled_from(SOCKETED), machines())
def test_nothing_fits_a_nose_or_a_socket_that_nobody_read(
    piece: Piece, kind: str, machine: Machine
) -> None:
    blank = replace(machine, tailstock_socket=None, spindle_socket=None, nose=None)
    found = fit(replace(piece, kind=kind), blank, CATALOGUE)
    assert found.verdict in ("unknown", "misfit")


UNREAD = [name for name in SOCKETED if not CATALOGUE.kinds[name].usual_mount]


@given(pieces(), st.sampled_from(UNREAD), machines())
def test_nothing_fits_a_nose_or_a_socket_whose_own_mount_nobody_read(
    piece: Piece, kind: str, machine: Machine
) -> None:
    plain = replace(piece, kind=kind, mount=None, back=None)
    assert fit(plain, machine, CATALOGUE).verdict in ("unknown", "misfit")
