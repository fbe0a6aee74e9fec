"""What a machine should have, unit by unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from kitreckon.catalogue.model import Outfit, Want
from kitreckon.count import Machine
from kitreckon.reckoning.sizes import Window, windows


@dataclass(frozen=True, slots=True)
class Slot:
    """One unit of one want."""

    want: Want
    window: Window
    sure: bool  # False: whether the machine needs it hangs on a fact nobody asked yet


def applies(want: Want, machine: Machine) -> bool | None:
    """Return whether a machine needs a want; None while a fact it hangs on is not known."""
    answer: bool | None = True
    for condition in want.when:
        negated = condition.startswith("no-")
        fact = machine.feature(condition.removeprefix("no-") if negated else condition)
        if fact is None:
            answer = None
        elif fact is negated:
            return False
    return answer


def slots_of(outfit: Outfit | None, machine: Machine, near: float) -> tuple[Slot, ...]:
    """Return every wanted unit of a machine; wants it does not need are left out.

    near: sizes within so many times of a single wanted size serve as well.
    """
    slots: list[Slot] = []
    for want in outfit.wants if outfit is not None else ():
        needed = applies(want, machine)
        if needed is not False:
            slots += (
                Slot(want, window, needed is True)
                for window in windows(want, machine, near, outfit)
            )
    return tuple(slots)


def wanted_kinds(slots: Sequence[Slot]) -> Mapping[str, tuple[tuple[Want, Window], ...]]:
    """Return for each kind the wants it serves, each with its sizes once."""
    wanted: dict[str, dict[tuple[Want, Window], None]] = {}
    for slot in slots:
        for kind in slot.want.any_of:
            wanted.setdefault(kind, {})[slot.want, slot.window] = None
    return {kind: tuple(pairs) for kind, pairs in wanted.items()}


def usual_sizes(slots: Sequence[Slot]) -> Mapping[str, float]:
    """Return the usual size on this machine of each wanted kind whose size follows from it."""
    usual: dict[str, float] = {}
    for slot in slots:
        if slot.window.typical_mm is not None:
            for kind in slot.want.any_of:
                usual.setdefault(kind, slot.window.typical_mm)
    return usual
