"""Small things to count, for tests: say what matters, the rest is ordinary."""

from __future__ import annotations

from functools import cache
from typing import Any

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.count import Finding, Look, Machine, Piece, Visit
from kitreckon.quantities import Money, Range, read_length


def a_lathe(**facts: Any) -> Machine:
    """A 12 in engine lathe with a D1-4 nose, MT3 tailstock and MT5 spindle, asking 1,900."""
    usual: dict[str, Any] = {
        "id": "m1",
        "name": "12in lathe",
        "machine_class": "engine-lathe-small",
        "nose": "D1-4",
        "spindle_socket": "MT5",
        "tailstock_socket": "MT3",
        "bore": length("1-1/2in"),
        "swing": length("12in"),
        "post_height": length("1.1in"),
        "top_speed_rpm": 2000,
        "asking": dollars(1900),
        "bare_price": Range(dollars(1000), dollars(1400), dollars(1800)),
    }
    return Machine(**(usual | facts))


def a_mill(**facts: Any) -> Machine:
    """A knee mill with an R8 spindle and a 9 in table, asking 2,500."""
    usual: dict[str, Any] = {
        "id": "m2",
        "name": "knee mill",
        "machine_class": "knee-mill",
        "spindle_socket": "R8",
        "table_width": length("9in"),
        "table_length": length("42in"),
        "asking": dollars(2500),
        "bare_price": Range(dollars(1500), dollars(2200), dollars(3000)),
    }
    return Machine(**(usual | facts))


def a_piece(kind: str | None, **facts: Any) -> Piece:
    """One piece in good condition; size and heights may be given as text."""
    for name in ("size", "low_height", "high_height"):
        if isinstance(facts.get(name), str):
            facts[name] = length(facts[name])
    usual: dict[str, Any] = {"id": f"p-{kind}", "kind": kind, "condition": "good"}
    return Piece(**(usual | facts))


def a_visit(*pieces: Piece, looks: dict[str, int] | None = None, **facts: Any) -> Visit:
    """A visit of machine m1 with these pieces; looks maps want ids to what was seen."""
    seen = tuple(Look(want, count) for want, count in (looks or {}).items())
    return Visit(machine_id="m1", pieces=pieces, looks=seen, **facts)


def a_finding(kind: str, **facts: Any) -> Finding:
    """One finding on the machine."""
    return Finding(**({"id": f"f-{kind}", "kind": kind} | facts))


def length(text: str) -> Any:
    """Return the length typed."""
    return read_length(text)


def dollars(amount: float) -> Money:
    """Return an amount of US dollars."""
    return Money.of(amount, "USD")


@cache
def the_catalogue() -> Catalogue:
    """The built-in catalogue, opened once for all tests."""
    return open_catalogue()
