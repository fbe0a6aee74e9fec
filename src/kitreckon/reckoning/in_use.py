"""What a counted line saves its buyer when it is used, and whether putting it right pays."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from kitreckon.catalogue.model import Tier, Want
from kitreckon.count import Condition, Preferences
from kitreckon.errors import KitreckonError
from kitreckon.quantities.money import round_half_up
from kitreckon.reckoning.condition import WORN, share
from kitreckon.reckoning.figures import ZERO, Triple, added, highest, scaled
from kitreckon.reckoning.ground import Ground
from kitreckon.reckoning.line import Line, UnitWorth
from kitreckon.reckoning.pert import mean_of
from kitreckon.reckoning.sizes import Window, window_size_mm


def chance_wanted(tier: Tier, preferences: Preferences) -> float:
    """Return the chance that this buyer would buy a thing of the tier anyway."""
    chances: Mapping[str, float] = {
        "essential": preferences.chance_essential,
        "usual": preferences.chance_usual,
        "handy": preferences.chance_handy,
    }
    chance = chances[tier]
    if not 0.0 <= chance <= 1.0:
        raise KitreckonError(
            f"{chance:g} is not a chance",
            where=f"chance of {tier} things",
            want="a number from 0 to 1",
        )
    return chance


def in_use(line: Line, want: Want, window: Window, ground: Ground) -> UnitWorth:
    """Return what one unit of a line is worth on a want: in use, or sold, whichever is more.

    In use it saves what the buyer would pay for as much service: a used one of its state, or the
    cheapest new thing that serves the want, and what either would need besides to go on this
    machine. He would buy it only with the chance of its tier. What putting it right costs comes
    off that; he decides on it by the averages. The adapters it takes are not in it: whether they
    pay is decided over all that use them.
    """
    wanted = chance_wanted(want.tier, ground.preferences) * ground.grade(window, line.own_mm)
    new = _cheapest_adequate(want, window, ground)
    parts: list[tuple[float, float, float, float]] = []
    for chance, grade, net in line.part:
        use = scaled(_saved(line, grade, new, ground), wanted)
        best = highest(use, net) if not line.repair else _better(_less_repair(use, line), net)
        if line.fit_chance < 1.0:
            parts.append((chance * (1.0 - line.fit_chance), *net))
        parts.append((chance * line.fit_chance, *best))
    mean = sum(w * mean_of(low, typical, high) for w, low, typical, high in parts)
    return UnitWorth(tuple(parts), max(round_half_up(mean), line.part_mean))


def _better(use: Triple, net: Triple) -> Triple:
    return use if mean_of(*use) > mean_of(*net) else net


def _saved(line: Line, grade: Condition, new: Triple | None, ground: Ground) -> Triple:
    if line.used is None or grade in WORN:
        return ZERO
    service = share(ground.catalogue.shares.service, line.kind.price_group, grade)
    body = scaled(line.used, service)
    if new is not None:
        body = min(body[0], new[0]), min(body[1], new[1]), min(body[2], new[2])
    return added(body, line.beside)


def _cheapest_adequate(want: Want, window: Window, ground: Ground) -> Triple | None:
    """Return the cheapest new thing that serves the want, delivered and fitted."""
    things = tuple(
        (kind, window_size_mm(ground.prices.table(kind), window, ground.machine))
        for kind in want.any_of
    )
    return ground.prices.cheapest_of(things)


def repair_pays(line: Line, want: Want, window: Window, ground: Ground) -> bool:
    """Whether a buyer who wants one puts this one right, and does not sell it as it is.

    On the average of its prices, at one of the grades it may have. What it takes to fit it is
    looked at elsewhere, and then saves nothing here either. Where no price is known nothing
    speaks against it.
    """
    if line.used is None:
        return True
    alone = replace(line, beside=ZERO) if line.adapters else line
    new, well = _cheapest_adequate(want, window, ground), ground.grade(window, line.own_mm)
    for _, grade, net in line.part:
        use = _less_repair(scaled(_saved(alone, grade, new, ground), well), line)
        if mean_of(*use) > mean_of(*net):
            return True
    return False


def _less_repair(use: Triple, line: Line) -> Triple:
    share = line.repair / max(line.units, 1)
    return added(use, (share, share, share), -1.0)
