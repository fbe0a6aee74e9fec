"""What a machine should have, unit by unit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kitreckon.catalogue.model import Catalogue, Kind, Outfit, Want
from kitreckon.count import Machine, Preferences
from kitreckon.reckoning.sizes import Window, windows


@dataclass(frozen=True, slots=True)
class Slot:
    """One unit of one want."""

    want: Want
    window: Window
    sure: bool  # False: whether the machine needs it hangs on a fact nobody asked yet


def applies(want: Want, machine: Machine, buyer: Preferences | None = None) -> bool | None:
    """Return whether a machine needs a want; None while a fact it hangs on is not known."""
    return _hold(want.when, machine, buyer)


def wants_of(
    outfit: Outfit | None, machine: Machine, buyer: Preferences | None = None
) -> tuple[Want, ...]:
    """Return the wants of an outfit as this machine and buyer have them.

    Those that are not needed are left out.
    """
    wants = outfit.wants if outfit is not None else ()
    needed = [want for want in wants if applies(want, machine, buyer) is not False]
    made = (_on(want, machine, buyer) for want in needed)
    return tuple(want for want in made if want is not None)


def outfit_of(machine: Machine, catalogue: Catalogue, buyer: Preferences) -> Outfit | None:
    """Return the outfit of a machine's class with its wants as this machine and buyer have them."""
    outfit = catalogue.outfits.get(machine.machine_class)
    return outfit and replace(outfit, wants=wants_of(outfit, machine, buyer))


def _on(want: Want, machine: Machine, buyer: Preferences | None) -> Want | None:
    """Return a want with what differs here; while that is not known, as it stands.

    None where it is not wanted here.
    """
    other = next((o for o in want.otherwise if _hold(o.when, machine, buyer)), None)
    if other is None:
        return want
    if not other.wanted:
        return None
    said = {name: getattr(other, name) for name in ("tier", "size", "chance_here", "note")}
    return replace(want, **{name: value for name, value in said.items() if value is not None})


def _hold(conditions: Sequence[str], machine: Machine, buyer: Preferences | None) -> bool | None:
    """Return whether all conditions hold; None while a fact is not known and none fails."""
    answer: bool | None = True
    for condition in conditions:
        negated = condition.startswith("no-")
        name = condition.removeprefix("no-") if negated else condition
        fact = machine.feature(name)
        if fact is None and buyer is not None:
            fact = buyer.has(name)
        if fact is None:
            answer = None
        elif fact is negated:
            return False
    return answer


def slots_of(
    outfit: Outfit | None, machine: Machine, near: float, buyer: Preferences | None = None
) -> tuple[Slot, ...]:
    """Return every wanted unit of a machine; wants it does not need are left out.

    near: sizes within so many times of a single wanted size serve as well.
    """
    slots: list[Slot] = []
    for want in wants_of(outfit, machine, buyer):
        sure = applies(want, machine, buyer) is True
        slots += (Slot(want, window, sure) for window in windows(want, machine, near, outfit))
    return tuple(slots)


def wanted_kinds(slots: Sequence[Slot]) -> Mapping[str, tuple[tuple[Want, Window], ...]]:
    """Return for each kind the wants it serves, each with its sizes once."""
    wanted: dict[str, dict[tuple[Want, Window], None]] = {}
    for slot in slots:
        for kind in slot.want.any_of:
            wanted.setdefault(kind, {})[slot.want, slot.window] = None
    return {kind: tuple(pairs) for kind, pairs in wanted.items()}


def usual_sizes(slots: Sequence[Slot], kinds: Mapping[str, Kind]) -> Mapping[str, float]:
    """Return the usual size on this machine of each wanted kind whose size follows from it.

    Another kind that serves has it too where its size is measured at the same place: the bore of
    a holder says nothing of the body of a chuck.
    """
    measures = {kind.id: kind.measures for kind in kinds.values()}
    usual: dict[str, float] = {}
    for slot in slots:
        want = slot.want
        for kind in want.any_of if slot.window.typical_mm is not None else ():
            if kind == want.kind or measures.get(kind) == measures.get(want.kind):
                usual.setdefault(kind, slot.window.typical_mm or 0.0)
    return usual
