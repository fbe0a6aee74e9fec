"""The catalogue: every kind, how to know and judge it, what it costs, its cautions."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.catalogue.model import Kind, PriceTable, SupplyName
from kitreckon.count import OwnPrice
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, Range
from kitreckon.reasons import Term, because
from kitreckon.screens.buy import SHORT_SUPPLY
from kitreckon.screens.count_text import check_text, look_text
from kitreckon.screens.keys import bindings_of
from kitreckon.screens.machine import three_prices
from kitreckon.screens.page import Page
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph


class KindPage(Page):
    """A row a kind; typing finds one by any of its names."""

    page = "kind"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("kind")]

    def __init__(self) -> None:
        super().__init__()
        self.from_row = ""

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.kind"), 26, grow=2),
            Column(self.label("col.group"), 14, grow=1, drop=1),
        )

    def rows(self) -> Sequence[Row]:
        """Return every kind."""
        kinds = self.session.catalogue.kinds
        return [
            Row(kind.id, (self.session.name(kind.id), self.label(f"kinds.{kind.group}")))
            for kind in kinds.values()
        ]

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return all that is known of a kind."""
        kind = self.session.catalogue.kinds.get(row_id)
        if kind is None:
            return ()
        return [
            *self._look(kind),
            *self._cautions(kind),
            *self._checks(kind),
            *self._parts(kind),
            *self._prices(self.session.catalogue.prices.get(kind.id)),
            *self._own(kind),
        ]

    def _look(self, kind: Kind) -> list[Paragraph]:
        british = self.session.preferences.words == "british"
        names = kind.british if british else kind.american
        also = ", ".join((*names[1:], *kind.words))
        paragraphs = [Paragraph(names[0], look_text(self.session, kind))]
        if also:
            paragraphs.append(Paragraph(self.label("also-called"), also))
        if kind.measures:
            paragraphs.append(Paragraph(self.label("its-size"), self.session.spelt(kind.measures)))
        return paragraphs

    def _cautions(self, kind: Kind) -> list[Paragraph]:
        return [
            Paragraph(self.label("caution"), self.session.caution(each)) for each in kind.cautions
        ]

    def _checks(self, kind: Kind) -> list[Paragraph]:
        return [
            Paragraph(
                self.label("check"),
                f"{check_text(self.session, c)}; {self.label('source').lower()}: {c.source}",
            )
            for c in kind.checks
        ]

    def _parts(self, kind: Kind) -> list[Paragraph]:
        told = [
            self.say(
                because("screen-part", part=part.names[0], percent=round(part.takes_off * 100))
            )
            for part in kind.parts
        ]
        return [Paragraph(self.label("parts"), "; ".join(told))] if told else []

    def _prices(self, table: PriceTable | None) -> list[Paragraph]:
        if table is None:
            return [Paragraph(self.label("price"), self.label("price.none"))]
        told = f"{table.unit}, {table.currency}" + (f", {table.includes}" if table.includes else "")
        return [Paragraph(self.label("price"), told)] + [
            Paragraph(
                "",
                self.say(
                    because(
                        "screen-price-point",
                        supply=Term("supply", point.supply),
                        low=f"{point.low:g}",
                        typical=f"{point.typical:g}",
                        high=f"{point.high:g}",
                        year=point.year,
                        basis=self.label(f"basis.{point.basis}"),
                        source=point.source,
                    )
                ),
            )
            for point in table.points
        ]

    def _own(self, kind: Kind) -> list[Paragraph]:
        own = [each for each in self.session.own_prices if each.kind == kind.id]
        return [Paragraph(self.label("own-price"), self._own_told(each)) for each in own]

    def _own_told(self, own: OwnPrice) -> str:
        supply = self.session.term("supply", own.supply)
        return f"{supply} {self.session.range(own.price)}, {own.year}"

    # The line finds a kind, or takes an own price

    def own_price(self, text: str) -> tuple[SupplyName, Range[Money]] | None:
        """Return supply and prices of text such as ``used 40 60 90``; None where it is a name."""
        first, _, rest = text.partition(" ")
        supply = SHORT_SUPPLY.get(first.lower())
        if supply is None or not any(sign.isdigit() for sign in rest):
            return None
        return supply, three_prices(rest, self.session.preferences.currency)

    def typed(self, text: str) -> None:
        """Go to the kind the text names; a supply is about the kind where the typing began."""
        if len(text) <= 1:
            self.from_row = self.sheet.row_id or ""
        first = text.partition(" ")[0].lower()
        if first and any(supply.startswith(first) for supply in SHORT_SUPPLY):
            self.take_row(self.from_row)
            return
        likely = self.session.reader.suggest(text, 1) if text.strip() else ()
        if likely:
            self.take_row(likely[0].kind)

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        kind = Term("kind", self.sheet.row_id or "")
        if not text:
            return self.label("will.kind-empty")
        try:
            own = self.own_price(text)
        except KitreckonError as error:
            return str(error)
        if own is None:
            return self.say(because("screen-will-kind", kind=kind))
        prices = " / ".join(str(each) for each in own[1])
        supply = Term("supply", own[0])
        return self.say(because("screen-will-own-price", kind=kind, supply=supply, price=prices))

    def entered(self, text: str) -> None:
        """Show all of the kind in hand, or note an own price of it."""
        kind = self.sheet.row_id or ""
        try:
            own = self.own_price(text)
        except KitreckonError as error:
            self.refuse(str(error), text)
            return
        if own is None:
            self.action_closer()
            return
        new_id = self.session.new_id("price")
        price = OwnPrice(new_id, kind, own[0], own[1], self.session.now().year)
        label = self.say(because("screen-did-own-price", kind=Term("kind", kind)))
        self.change(label, price)
