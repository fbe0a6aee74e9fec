"""A machine for sale, or owned: the facts that decide fit, and what is asked for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kitreckon.quantities import Length, Money, Range

Status = Literal["for-sale", "owned", "sold"]


@dataclass(frozen=True, slots=True)
class ExtraCost:
    """A cost of getting this machine home or running that any such machine would not have."""

    label: str
    amount: Money


@dataclass(frozen=True, slots=True)
class Machine:
    """One lathe, mill, drill press, grinder or shaper.

    None in any fact means "not known"; nothing is assumed in its place. ``swing`` is the
    diameter over the bed, never the centre height. Designations (``nose``, sockets) are in the
    canonical spelling of kitreckon.quantities.designation. ``features`` holds facts asked as
    yes or no (gearbox, three-phase, inch-leadscrew, ...); one that is absent is not known.
    ``bare_price`` is the comparable price of such a machine without tooling: low, typical, high.
    """

    id: str
    name: str
    machine_class: str
    nose: str | None = None
    spindle_socket: str | None = None
    tailstock_socket: str | None = None
    bore: Length | None = None
    swing: Length | None = None
    post_height: Length | None = None  # centre height above the top of the compound
    between_centres: Length | None = None
    swing_over_cross_slide: Length | None = None
    nose_register: Length | None = None
    nose_thread_form: Literal["60", "55"] | None = None  # degrees, screwed noses
    table_width: Length | None = None
    table_length: Length | None = None
    table_slot: Length | None = None
    top_speed_rpm: int | None = None
    features: tuple[tuple[str, bool], ...] = ()
    asking: Money | None = None
    bare_price: Range[Money] | None = None
    parts_value: Money | None = None  # what it would fetch as parts: the floor under findings
    extra_costs: tuple[ExtraCost, ...] = ()
    status: Status = "for-sale"
    serial_number: str = ""
    seller: str = ""
    place: str = ""
    note: str = ""

    def feature(self, name: str) -> bool | None:
        """Return the answer to a yes-or-no fact, or None when it is not known."""
        return dict(self.features).get(name)
