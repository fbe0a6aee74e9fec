"""The result of trying a piece on a machine, without the machine."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kitreckon.quantities import Length
from kitreckon.reasons import Reason

Verdict = Literal["fits", "fits-with", "misfit", "unknown"]


@dataclass(frozen=True, slots=True)
class Adapter:
    """What makes a piece fit. ``price_kind`` and size say what it costs; counted ones are free."""

    id: str  # "taper-sleeve:MT3-MT2"; names one adapter that several tools may share in turns
    kind: str  # kind id: taper-sleeve, chuck-backplate, drill-chuck-arbor, ...
    reason: Reason  # renders as its name: "sleeve MT3 to MT2"
    size: Length | None = None
    mount: str = ""
    already_here: bool = False  # counted or owned: costs nothing
    hours: float = 0.0  # of work to fit it (a register turned on its own spindle)
    loss: Length | None = None  # length lost by it
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Measurement:
    """The one measurement that settles an unknown fit."""

    fact: str  # field of Machine or Piece it would fill: "nose", "piece.mount", ...
    question: Reason
    minutes: float = 2.0


@dataclass(frozen=True, slots=True)
class Fit:
    """Whether a piece goes on a machine, why, and with what."""

    verdict: Verdict
    reasons: tuple[Reason, ...]
    adapters: tuple[Adapter, ...] = ()
    settle: Measurement | None = None  # when unknown
    cautions: tuple[str, ...] = ()  # ids of cautions in catalogs/words
    top_speed_rpm: int | None = None  # at most, for what spins
    speed_reasons: tuple[Reason, ...] = ()
    confirmed: int = 2  # sources behind the row the verdict hangs on: 2, 1, 0 (memory)
