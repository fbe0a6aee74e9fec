"""What is missing: by tier, with its cost delivered and fitted, and what nobody looked for yet."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.catalogue.model import TIERS
from kitreckon.quantities import Money
from kitreckon.reasons import because
from kitreckon.reckoning.model import Gap, NotLooked, Reckoning
from kitreckon.reckoning.unsettled import Unsettled, if_it_fits
from kitreckon.screens.bars import bar
from kitreckon.screens.figures import percent
from kitreckon.screens.keys import bindings_of
from kitreckon.screens.page import Page
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph


class MissingPage(Page):
    """Wanted things covered neither by a piece nor by the shelf."""

    page = "missing"
    needs_machine = True
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("missing")]

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.missing"), 20, grow=2),
            Column(self.label("col.how-many"), 4, align="right"),
            Column(self.label("col.size"), 11, grow=1, drop=1),
            Column(self.label("col.cost"), 9, grow=1, align="right"),
            Column(self.label("col.getting-it"), 12, grow=1, drop=2),
        )

    @property
    def reckoning(self) -> Reckoning | None:
        """The reckoning of the machine in hand."""
        return self.session.reckoning()

    def rows(self) -> Sequence[Row]:
        """Return what is missing by tier, then what was not looked for."""
        reckoning = self.reckoning
        if reckoning is None:
            return []
        costs = tier_costs(reckoning)
        most = max(costs.values(), default=0)
        drawn: list[Row] = []
        for tier in TIERS:
            gaps = [gap for gap in reckoning.gaps if gap.tier == tier]
            if gaps:
                drawn.append(self._heading(tier, len(gaps), costs[tier], most))
                drawn += [self._gap(gap) for gap in gaps]
        unsettled = if_it_fits(reckoning, self.session.catalogue)
        if unsettled:
            title = self.label("group.if-it-fits")
            drawn.append(Row("tier:if-it-fits", (title, "", "", "", ""), sort="heading"))
            drawn += [self._unsettled(each) for each in unsettled]
        if reckoning.not_looked:
            title = self.label("group.not-looked-adds")
            drawn.append(Row("tier:not-looked", (title, "", "", "", ""), sort="heading"))
            drawn += [self._open(each) for each in reckoning.not_looked]
        return drawn

    def _heading(self, tier: str, many: int, cost: int, most: int) -> Row:
        title = f"{self.label(f'group.{tier}')}  {many} {self.label('missing.word')}"
        if not self.session.covered:
            amount = self.session.money(Money(cost, self.session.preferences.currency))
            title = f"{title}, {amount}  {bar(cost, most, 12)}"
        return Row(f"tier:{tier}", (title, "", "", "", ""), sort="heading")

    def _gap(self, gap: Gap) -> Row:
        size = " ".join(part for part in (self.session.size(gap.size), gap.mount or "") if part)
        hard = self.label("hard-to-get") if gap.hard_to_get else self.label("can-be-bought")
        cost = self.session.money(gap.cost.typical) if gap.priced else self.label("no-price")
        return Row(
            f"gap:{gap.want}",
            (self.session.wanted(gap.want, gap.kind), str(gap.qty), size, cost, hard),
        )

    def _unsettled(self, each: Unsettled) -> Row:
        chance = self.session.say(because("screen-chance", chance=percent(each.chance)))
        cells = (self.session.wanted(each.want, each.kind), str(each.qty), "", "", chance)
        return Row(f"fits:{each.want}:{each.piece_id}", cells)

    def _open(self, each: NotLooked) -> Row:
        chance = self.session.say(because("screen-chance", chance=percent(each.chance)))
        there = f"+{self.session.money(each.if_there)}" if each.priced else self.label("no-price")
        cells = (self.session.wanted(each.want, each.kind), str(each.qty), "", there, chance)
        return Row(f"open:{each.want}", cells, "faint")

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return why something is missing and what it would cost."""
        reckoning = self.reckoning
        sort, _, want = row_id.partition(":")
        bars = [] if self.session.covered else [Paragraph("", self.label("missing.bars"))]
        if reckoning is None or sort == "tier":
            return [Paragraph("", self.label("missing.says")), *bars]
        return [*self._known(reckoning, sort, want), *bars]

    def _known(self, reckoning: Reckoning, sort: str, want: str) -> Sequence[Paragraph]:
        """Return what is known of a row."""
        if sort == "open":
            each = next(o for o in reckoning.not_looked if o.want == want)
            told = because("screen-if-there", amount=each.if_there, chance=percent(each.chance))
            said = self.say(told) if each.priced else self.label("price.none")
            return [
                Paragraph(self.session.wanted(want, each.kind), said),
                Paragraph(self.label("source"), self.say(each.basis)),
            ]
        if sort == "fits":
            return self._if_it_fits(reckoning, want)
        gap = next(gap for gap in reckoning.gaps if gap.want == want)
        known = self.session.range(gap.cost) if gap.priced else self.label("price.none")
        told_cost = f"{self.label('delivered-fitted')} {known}"
        paragraphs = [Paragraph(self.session.wanted(want, gap.kind), told_cost)]
        if gap.hard_to_get:
            paragraphs.append(Paragraph(self.label("hard-to-get"), self.label("hard-to-get.says")))
        return paragraphs + [Paragraph("", self.say(reason)) for reason in gap.reasons]

    def _if_it_fits(self, reckoning: Reckoning, name: str) -> Sequence[Paragraph]:
        """Return what is here for a want, and what would settle whether it fits."""
        want, _, piece_id = name.partition(":")
        fit = reckoning.fits[piece_id]
        kind = next(
            each.kind
            for each in if_it_fits(reckoning, self.session.catalogue)
            if each.piece_id == piece_id
        )
        told = self.label("if-it-fits.says")
        settle = [Paragraph("", self.say(fit.settle.question))] if fit.settle is not None else []
        basis = self.say(because("screen-fit-chance", source=self.session.catalogue.shares.source))
        return [
            Paragraph(self.session.wanted(want, kind), told),
            *settle,
            Paragraph(self.label("source"), basis),
        ]

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        row_id = self.sheet.row_id or ""
        return self.label(
            "will.to-count" if ":" in row_id and row_id[:4] != "tier" else "will.find"
        )

    def entered(self, text: str) -> None:
        """Go to the row of the count where it stands."""
        sort, _, want = (self.sheet.row_id or "").partition(":")
        if sort in {"gap", "open", "fits"}:
            self.session.in_hand["count"] = want.partition(":")[0]
            self.kit.open_page("count")


def tier_costs(reckoning: Reckoning) -> dict[str, int]:
    """Return what the missing things of each tier cost together, in minor units, to draw bars."""
    costs: dict[str, int] = dict.fromkeys(TIERS, 0)
    for gap in reckoning.gaps:
        costs[gap.tier] += gap.cost.typical.minor
    return costs
