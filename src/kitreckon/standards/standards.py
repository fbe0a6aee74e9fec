"""Standards: all the tables in one frozen value, and the look-ups fitting asks of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from kitreckon.errors import KitreckonError
from kitreckon.quantities import steep_cone
from kitreckon.standards.tables import (
    BoringBar,
    ChuckSpeed,
    Collet,
    Companion,
    Cone,
    Nose,
    Rule,
    Thread,
    ToolPostSeries,
    TSlot,
)


@dataclass(frozen=True)
class Standards:
    """Tables by the name of their rows: "MT3", "D1-4", "5C", "AXA", "1-1/2-8"."""

    cones: Mapping[str, Cone] = field(default_factory=dict)
    noses: Mapping[str, Nose] = field(default_factory=dict)
    threads: Mapping[str, Thread] = field(default_factory=dict)
    collets: Mapping[str, Collet] = field(default_factory=dict)
    t_slots: Mapping[str, TSlot] = field(default_factory=dict)
    tool_posts: Mapping[str, ToolPostSeries] = field(default_factory=dict)
    chuck_speeds: tuple[ChuckSpeed, ...] = ()
    boring_bars: tuple[BoringBar, ...] = ()
    companions: Mapping[str, Companion] = field(default_factory=dict)
    drill_chuck_mounts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    vise_tables_mm: Mapping[str, tuple[float, float, float]] = field(default_factory=dict)
    rules: Mapping[str, Rule] = field(default_factory=dict)

    def rule(self, name: str) -> float:
        """Return a figure of practice; raises KitreckonError when the catalogue has none."""
        try:
            return self.rules[name].value
        except KeyError:
            raise KitreckonError(
                f"the rule {name!r} is missing", where="catalogs/standards"
            ) from None

    def system(self, name: str) -> str:
        """Return the system a designation belongs to: "Morse", "camlock", "ER", or ""."""
        if steep_cone(name) in self.cones:
            return self.cones[steep_cone(name)].system
        if name in self.noses:
            return self.noses[name].system
        if name in self.collets:
            return "ER" if self.collets[name].style == "spring" else "draw collet"
        if name in self.tool_posts:
            return "tool post"
        return "thread" if name in self.threads else ""
