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

    id: str  # "sleeve:MT3-MT2"; names one adapter that several tools may share in turns
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
    question: Reason  # catalogs/judgement.yaml says how many minutes each takes


@dataclass(frozen=True, slots=True)
class Doubt:
    """Facts of a machine that cannot all be true, or hardly: fields of Machine, and why."""

    facts: tuple[str, ...]
    reason: Reason


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
    own: tuple[str, ...] = ()  # kinds of adapters that are in the piece already: an arbor
    chance: float | None = None  # of an unknown fit, where more is known than its kind: judgement


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing an unmarked part may be.

    error_mm: how far the measurements lie from it, as a diameter; None where none of those taken
    can be held against a figure of the table. A thread or a register is made between limits:
    ``in_limits`` is True, and the error 0, anywhere between them. ``cone_probability`` is that
    of all candidates with the same cone (``together``): they differ only in what is measured
    next. ``confirmed``: sources behind its row, 0 from memory.
    """

    name: str
    system: str
    error_mm: float | None
    probability: float
    notes: tuple[Reason, ...] = ()
    together: tuple[str, ...] = ()
    cone_probability: float = 0.0
    confirmed: int = 2
    in_limits: bool = False

    @property
    def note(self) -> Reason | None:
        """The first note, the one to show where there is room for one."""
        return self.notes[0] if self.notes else None


@dataclass(frozen=True, slots=True)
class Identification:
    """Candidates, best first; the chance that it is none of them; what to measure next."""

    candidates: tuple[Candidate, ...]
    none_probability: float
    measure_next: Reason | None = None
