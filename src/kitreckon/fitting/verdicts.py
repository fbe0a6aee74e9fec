"""Making verdicts, and choosing the best of several ways a piece can go on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from kitreckon.fitting.bench import effort
from kitreckon.fitting.model import Adapter, Fit, Measurement, Verdict
from kitreckon.reasons import Reason, because
from kitreckon.standards import Evidence

_ORDER: dict[Verdict, int] = {"fits": 0, "fits-with": 1, "unknown": 2, "misfit": 3}


def fits(*reasons: Reason, cautions: tuple[str, ...] = (), confirmed: int = 2) -> Fit:
    """Return the verdict that it goes on as it is."""
    return Fit("fits", reasons, cautions=cautions, confirmed=confirmed)


def fits_with(adapters: tuple[Adapter, ...], *reasons: Reason, confirmed: int = 2) -> Fit:
    """Return that it goes on with these adapters, from the machine outward."""
    cautions = tuple(dict.fromkeys(c for adapter in adapters for c in adapter.cautions))
    return Fit("fits-with", reasons, adapters, cautions=cautions, confirmed=confirmed)


def misfit(*reasons: Reason, settle: Measurement | None = None, confirmed: int = 2) -> Fit:
    """Return that it does not go on; ``settle`` is what might yet turn up otherwise."""
    return Fit("misfit", reasons, settle=settle, confirmed=confirmed)


def unknown(fact: str, question: Reason, *reasons: Reason) -> Fit:
    """Return that it cannot be said; the question names the one measurement that settles it."""
    return Fit("unknown", reasons or (question,), settle=Measurement(fact, question))


def best_of(ways: Iterable[Fit]) -> Fit:
    """Return the best of several ways to use a piece; there must be at least one."""
    return min(ways, key=lambda way: (_ORDER[way.verdict], effort(way.adapters)))


def resting_on(fit: Fit, row: str, evidence: Evidence, *fields: str) -> Fit:
    """Say what a verdict rests on where fewer than two sources stand behind the row."""
    count = min([evidence.of(field) for field in fields], default=evidence.confirmed)
    if count >= 2:
        return fit
    reason = because("row-from-memory" if count == 0 else "row-one-source", row=row)
    return replace(fit, reasons=(*fit.reasons, reason), confirmed=min(fit.confirmed, count))


def with_cautions(fit: Fit, cautions: Iterable[str], *reasons: Reason) -> Fit:
    """Add cautions, each once, and the reasons for them."""
    return replace(
        fit,
        cautions=tuple(dict.fromkeys((*fit.cautions, *cautions))),
        reasons=(*fit.reasons, *reasons),
    )
