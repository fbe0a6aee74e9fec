"""The rows of the standards as frozen values: every length in millimetres, every row with proof.

A row says where each figure comes from and how many independent sources were seen for it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Evidence:
    """What stands behind a row: source ids of its file, and how many were seen (0: memory)."""

    sources: tuple[str, ...] = ()
    confirmed: int = 0
    fields: tuple[tuple[str, int], ...] = ()  # where a field's count differs from the row's

    def of(self, field: str) -> int:
        """Return how many sources were seen for one field of the row."""
        return dict(self.fields).get(field, self.confirmed)


MEMORY = Evidence()


@dataclass(frozen=True, slots=True)
class Cone:
    """A taper: ``large_mm`` at the gauge plane, ``small_mm`` at ``length_mm`` behind it.

    ``rate`` is the diameter lost per millimetre of length. A real shank runs past the gauge
    plane by ``projection_mm``, and with a tang past the small end to ``tang_cone_mm`` from the
    gauge plane. ``slot_mm`` is from the mouth to the drift slot: not a length of the cone.
    """

    name: str
    system: str
    large_mm: float
    small_mm: float
    length_mm: float
    rate: float
    projection_mm: float = 0.0
    tang_cone_mm: float | None = None
    slot_mm: float | None = None
    lengths_mm: tuple[float, ...] = ()  # where one number was made in several lengths
    drawbar: str = ""
    # as the source prints them, for the checks of the row; the rate is what is reckoned with
    printed_taper_per_foot_in: float | None = None
    printed_half_angle_deg: float | None = None
    same_cone_as: str = ""
    from_small_end: bool = False  # the number fixes the small end (BS)
    note: str = ""
    evidence: Evidence = MEMORY

    @property
    def reach_mm(self) -> float:
        """How far behind the gauge plane the cone may run, a tang's part included."""
        return max(self.length_mm, self.tang_cone_mm or 0.0)

    @property
    def half_angle_deg(self) -> float:
        """Angle between the axis and the side, in degrees."""
        return math.degrees(math.atan(self.rate / 2))


NoseSystem = Literal["camlock", "bolted short taper", "bayonet", "long taper", "screwed"]


@dataclass(frozen=True, slots=True)
class Nose:
    """A spindle nose. ``size`` is the number that cone-sharing noses have in common."""

    name: str
    system: NoseSystem
    size: str = ""
    gauge_mm: float | None = None  # nominal, or the chart's largest where no nominal was seen
    gauge_max_mm: float | None = None
    length_mm: float | None = None
    rate: float | None = None
    flange_mm: float | None = None
    studs: int | None = None
    stud_thread: str = ""
    bolt_circle_mm: float | None = None
    hole_thread: str = ""  # of the bolts that hold the chuck
    inner_bolt_circle_mm: float | None = None
    ring_thread: str = ""
    major_mm: float | None = None
    pitch_mm: float | None = None
    tpi: float | None = None
    register_mm: tuple[float, float] | None = None
    usual_on: str = ""
    evidence: Evidence = MEMORY


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread: basic major diameter and pitch; ``series`` says whose it is."""

    name: str
    series: str
    major_mm: float
    pitch_mm: float | None
    tpi: float | None = None
    evidence: Evidence = MEMORY


@dataclass(frozen=True, slots=True)
class Collet:
    """A collet system, drawn by its thread or pushed by a nut (spring)."""

    name: str
    style: Literal["draw", "spring"]
    body_mm: float
    thread: str = ""  # outside thread of a drawn collet
    inside_thread: str = ""
    nut_thread: str = ""
    length_mm: float | None = None
    half_angle_deg: float | None = None
    grips_from_mm: float | None = None
    grips_to_mm: float | None = None  # largest round
    draw_tube_bore_mm: float | None = None  # least spindle bore for a draw tube
    note: str = ""
    evidence: Evidence = MEMORY


@dataclass(frozen=True, slots=True)
class TSlot:
    """A T-slot of a machine table, named by its width."""

    name: str
    width_mm: float
    bolt: str
    head_width_mm: tuple[float, float]
    head_depth_mm: tuple[float, float]
    evidence: Evidence = MEMORY


@dataclass(frozen=True, slots=True)
class ToolPostSeries:
    """A quick-change series: the largest shank its holders take, and the swing it is sold for."""

    name: str
    number: str
    largest_shank_mm: float
    swing_mm: tuple[float, float] | None = None
    swing_wide_mm: tuple[float, float] | None = None
    evidence: Evidence = MEMORY


@dataclass(frozen=True, slots=True)
class ChuckSpeed:
    """Largest speeds of one maker's table for one body diameter, rev/min."""

    size_mm: float
    cast_iron_rpm: int
    steel_rpm: int
    evidence: Evidence = MEMORY


@dataclass(frozen=True, slots=True)
class BoringBar:
    """A boring bar: the least bore it enters, the overhang it stands in steel and carbide."""

    bar_mm: float
    least_bore_mm: float
    overhang_steel_mm: float
    overhang_carbide_mm: float
    evidence: Evidence = MEMORY


@dataclass(frozen=True, slots=True)
class Companion:
    """What usually goes with a nose, as the trade says it; always measure."""

    nose: str
    swing: str
    spindle_socket: str
    bore: str
    evidence: Evidence = MEMORY


@dataclass(frozen=True, slots=True)
class Rule:
    """A figure of practice that a verdict uses: value in the unit its name ends with."""

    name: str
    value: float
    source: str
    confirmed: int = 0
