"""Machines side by side: what each costs until it is equipped, drawn to one scale."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar, get_args

from textual.binding import BindingType

from kitreckon.catalogue.model import TIERS, Tier
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money
from kitreckon.reasons import because
from kitreckon.reckoning.comparison import Comparison, Part, Reversal, Side
from kitreckon.screens.bars import signed_bar, spread
from kitreckon.screens.figures import percent
from kitreckon.screens.frame import NARROW
from kitreckon.screens.keys import Key, bindings_of
from kitreckon.screens.page import Page
from kitreckon.screens.safe_text import wrap
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph


class ComparePage(Page):
    """A group of rows a machine, the cheapest to equip first. Space leaves a machine out."""

    page = "compare"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("compare")]

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.figure"), 20, grow=1),
            Column(self.label("col.amount"), 11, align="right"),
            Column(self.label("col.bar"), 12, grow=2),
        )

    @property
    def bar_width(self) -> int:
        """Cells for a bar: they fit their column at every width."""
        return 13 if self.size.width < NARROW else 24

    @property
    def left_out(self) -> set[str]:
        """Machines not compared."""
        return self.session.left_out

    @property
    def comparison(self) -> Comparison | None:
        """The machines compared; None where there are not two that can be reckoned."""
        from kitreckon.reckoning.comparison import compare

        chosen = [each for each in self.session.machines if each not in self.left_out]
        reckonings = [made for each in chosen if (made := self.session.compared(each))]
        if len(reckonings) < 2:
            return None
        tier, catalogue = self.session.tier, self.session.catalogue
        return self.session.once(
            "compare", reckonings, tier, lambda: compare(reckonings, tier, catalogue)
        )

    def rows(self) -> Sequence[Row]:
        """Return the machines with their parts, then those left out."""
        try:
            found = self.comparison
        except KitreckonError as error:
            return [Row("trouble", (str(error), "", ""), "alarm", "note")]
        rows = (
            self._found(found)
            if found
            else [Row("few", (self.label("compare.few"), "", ""), "", "note")]
        )
        shown = {side.machine_id for side in found.sides} if found else set()
        rest = [m for m in self.session.machines.values() if m.id not in shown]
        if rest:
            name = "group.left-out" if self.left_out else "group.not-compared"
            rows.append(Row("head:out", (self.label(name), "", ""), sort="heading"))
            rows += [Row(f"machine:{m.id}", (m.name, "", ""), "faint") for m in rest]
        return rows

    def _found(self, found: Comparison) -> list[Row]:
        totals = [
            float(side.total.high.minor)
            for side in found.sides
            if side.total and not side.walk_away
        ]
        most = max(totals, default=0.0)
        equipped = because(
            "screen-equipped-to", tier=self.session.term("tier", self.session.tier).upper()
        )
        ended = sum(bool(side.walk_away) for side in found.sides)
        warned = [(f"warning:{n}", "alarm", self.say(r)) for n, r in enumerate(found.warnings)]
        rows = [row for each in warned[:ended] for row in self._sentence(*each)]
        rows.append(Row("tier", (self.say(equipped), "", ""), sort="heading"))
        rows += [row for side in found.sides for row in self._side(side, most)]
        told = [(f"sure:{other}", "strong", text) for other, text in self._sure(found)]
        if found.reversal is not None:
            text = f"{self.label('reversal')}: {self._reversed(found.reversal)}"
            told.append(("reversal", "strong", text))
        return rows + [row for each in (*told, *warned[ended:]) for row in self._sentence(*each)]

    def _sentence(self, row_id: str, look: str, text: str) -> list[Row]:
        """Return a sentence over as many rows as it takes; the arrow stops at its first."""
        return [
            Row(f"{row_id}:{n}", (line, "", ""), look, "note", stop=not n)  # type: ignore[arg-type]
            for n, line in enumerate(wrap(text, self.list_width - 4))
        ]

    def _side(self, side: Side, most: float) -> list[Row]:
        covered = self.session.covered
        total, ended = side.total, bool(side.walk_away)
        drawn = "" if covered or total is None or ended else spread(
            total.low.minor, total.typical.minor, total.high.minor, most, self.bar_width
        )  # fmt: skip
        head = Row(
            f"machine:{side.machine_id}",
            (self._headed(side), self.session.money(side.mean), drawn),
            "alarm" if ended else "strong",
        )
        currency = self.session.preferences.currency
        rows = [head]
        for part in get_args(Part):
            amount = side.part(part)
            if not amount:
                continue
            money = self.session.money(Money.rounded(amount, currency))
            signs = "" if covered else signed_bar(amount, most, self.bar_width)
            rows.append(
                Row(
                    f"part:{side.machine_id}:{part}",
                    (f"  {self.label(f'part.{part}')}", money, signs),
                )
            )
        return rows

    def _headed(self, side: Side) -> str:
        """Return the name of a machine, with a word where it is not to be bought."""
        return f"{side.name}: {self.label('walk-away')}" if side.walk_away else side.name

    def _total(self, side: Side) -> str:
        if side.mean is None or side.total is None:
            return self.session.range(side.total)
        return self.session.average(side.mean, side.total)

    def _reversed(self, reversal: Reversal) -> str:
        """Return what would reverse the choice, how likely, and that the chance leaves it out."""
        from kitreckon.reports.comparing import is_weighed

        told = "screen-reversal-in" if is_weighed(reversal) else "screen-reversal"
        chance = percent(reversal.chance)
        return self.say(because(told, fact=reversal.fact, percent=chance))

    def _sure(self, found: Comparison) -> list[tuple[str, str]]:
        names = {side.machine_id: side.name for side in found.sides}
        return [
            (
                other,
                self.say(
                    because(
                        "screen-cheaper",
                        first=names[first],
                        other=names[other],
                        percent=percent(chance),
                    )
                ),
            )
            for first, other, chance in found.cheaper
        ]

    def on_ruled_list_widened(self) -> None:
        """Wrap the sentences to the width of the list."""
        self.show_rows()

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return the reasons of the machine in hand."""
        found = self.comparison
        machine = self.machine_in_hand
        side = next((s for s in found.sides if s.machine_id == machine), None) if found else None
        if side is None:
            row = self.sheet.row_in_hand
            noted = row is not None and row.sort == "note"
            return [Paragraph("", row.cells[0] if row and noted else self.label("compare.hint"))]
        tier = self.session.term("tier", self.session.tier)
        told = [
            Paragraph(
                side.name,
                self.say(because("screen-equipped", tier=tier, total=self._total(side))),
            )
        ]
        told += [Paragraph("", self.say(reason)) for reason in (*side.walk_away, *side.reasons)]
        if found and found.reversal:
            told.append(Paragraph(self.label("reversal"), self._reversed(found.reversal)))
        return told

    @property
    def machine_in_hand(self) -> str:
        """Id of the machine whose row is in hand; empty on other rows."""
        sort, _, rest = (self.sheet.row_id or "").partition(":")
        return rest.partition(":")[0] if sort in {"machine", "part"} else ""

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        if key.id == "tick":
            return bool(self.machine_in_hand)
        return super().is_live(key)

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        if not text:
            return self.label("will.compare-empty")
        tier = self.tier_named(text)
        if tier is None:
            return self.label("will.find")
        return self.say(because("screen-will-tier", tier=self.session.term("tier", tier)))

    def tier_named(self, text: str) -> Tier | None:
        """Return the tier whose name starts so."""
        low = text.lower()
        return next(
            (t for t in TIERS if self.session.term("tier", t).lower().startswith(low)), None
        )

    def typed(self, text: str) -> None:
        """Go to the machine typed, where it is no tier."""
        if self.tier_named(text) is None:
            self.find(text)

    def entered(self, text: str) -> None:
        """Compare to another tier, or open the machine in hand."""
        tier = self.tier_named(text) if text else None
        if tier is not None:
            self.session.tier = tier
            self.show_all()
        elif self.machine_in_hand:
            self.session.machine_id = self.machine_in_hand
            self.kit.open_page("count")

    def action_space(self) -> None:
        """Leave the machine in hand out, or take it in again."""
        if self.machine_in_hand:
            self.left_out.symmetric_difference_update({self.machine_in_hand})
            self.show_all()
