"""What to buy: the best list for a budget, the next best, and what was bought."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.catalogue.model import SUPPLIES, TIERS, SupplyName
from kitreckon.count import Purchase
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, read_money
from kitreckon.reasons import Term, because
from kitreckon.reckoning.shopping import Alternative, Buying, ShoppingList
from kitreckon.reports.shopping import unlisted
from kitreckon.screens.details import Details, with_details
from kitreckon.screens.keys import Key, bindings_of
from kitreckon.screens.marking import put_piece
from kitreckon.screens.page import Page
from kitreckon.screens.phrases import whole
from kitreckon.screens.safe_text import wrap
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph

PAID = {"paid", "bought"}
SHORT_SUPPLY: dict[str, SupplyName] = {
    "used": "used",
    "import": "new-import",
    "new": "new-import",
    "name": "new-name-brand",
    "brand": "new-name-brand",
}


class BuyPage(Page):
    """A row a thing to buy. The line takes the budget, or what was paid."""

    page = "buy"
    needs_machine = True
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("buy")]

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.thing"), 20, grow=2),
            Column(self.label("col.how-many"), 4, align="right"),
            Column(self.label("col.cost"), 9, grow=1, align="right"),
            Column(self.label("col.supply"), 14, grow=1, drop=1),
        )

    @property
    def best(self) -> ShoppingList | None:
        """The best list for the budget; None where there is no budget yet."""
        reckoning, budget = self.session.reckoning(), self.session.budget
        if reckoning is None or budget is None:
            return None
        from kitreckon.reckoning.shopping import shopping

        catalogue = self.session.catalogue
        return self.session.once(
            "buy", [reckoning], budget, lambda: shopping(reckoning, budget, catalogue)
        )

    def rows(self) -> Sequence[Row]:
        """Return the list, its total, the next best, a little more, and what was bought."""
        best = self.best
        rows: list[Row] = []
        if best is not None:
            rows.append(self._heading("buy"))
            rows += [self._buying(n, best.buy[n]) for n in self._order(best)]
            rows += self._total(best)
            rows += self._left_out(best)
            rows += self._alternative("runner-up", best.runner_up)
            rows += self._alternative("more-money", best.a_little_more)
        return rows + self._bought()

    def _heading(self, name: str) -> Row:
        return Row(f"head:{name}", (self.label(f"group.{name}"), "", "", ""), sort="heading")

    def _buying(self, place: int, each: Buying) -> Row:
        size = self._asked_size(each)
        name = f"{self.session.wanted(each.want, each.kind)} {size}".strip()
        cells = (
            f"{name}, {self.label('if-it-fits')}" if each.if_it_fits else name,
            str(each.qty),
            self.session.money(each.cost),
            self.session.term("supply", each.supply),
        )
        return Row(f"buy:{place}", cells)

    def _asked_size(self, each: Buying) -> str:
        """Return the size and mount to ask for, where the list says one."""
        reckoning = self.session.reckoning()
        gaps = reckoning.gaps if reckoning else ()
        gap = next((g for g in gaps if g.want == each.want and g.kind == each.kind), None)
        return f"{self.session.size(gap.size)} {gap.mount or ''}".strip() if gap else ""

    def _order(self, best: ShoppingList) -> list[int]:
        """Return the places of the list by tier, then as the outfit has them."""
        machine = self.session.machine
        outfit = self.session.outfit(machine) if machine else None
        wants = [want.id for want in outfit.wants] if outfit else []

        def key(place: int) -> tuple[int, int, int]:
            each = best.buy[place]
            listed = wants.index(each.want) if each.want in wants else len(wants)
            return (TIERS.index(each.tier), listed, place)

        return sorted(range(len(best.buy)), key=key)

    def _total(self, best: ShoppingList) -> list[Row]:
        total, budget = self.session.money(best.total), self.session.typed_money(best.budget)
        proof = self.label("proven" if best.proven_optimal else "not-proven")
        cells = (
            self.label("total"),
            str(sum(b.qty for b in best.buy)),
            total,
            f"{self.label('of')} {budget}",
        )
        return [Row("total", cells, "strong"), Row("proof", (proof, "", "", ""), "faint", "note")]

    def _left_out(self, best: ShoppingList) -> list[Row]:
        """Say why a thing that is essential, or that no budget buys, is not on the list."""
        reckoning = self.session.reckoning()
        left = unlisted(reckoning, best, self.session.catalogue) if reckoning else ()
        width = self.list_width - 4
        rows = [
            Row(f"left:{n}:{k}", (line, "", "", ""), "", "note", stop=not k)
            for n, why in enumerate(left)
            for k, line in enumerate(wrap(self.say(why), width))
        ]
        return [self._heading("not-listed"), *rows] if rows else []

    def on_ruled_list_widened(self) -> None:
        """Wrap the sentences to the width of the list."""
        self.show_rows()

    def _alternative(self, name: str, other: Alternative | None) -> list[Row]:
        if other is None:
            return []
        adds = ", ".join(self.session.name(kind) for kind in other.adds)
        drops = ", ".join(self.session.name(kind) for kind in other.drops)
        told = f"+ {adds}" + (f"   - {drops}" if drops else "")
        return [
            self._heading(name),
            Row(f"other:{name}", (told, "", self.session.money(other.total), "")),
        ]

    def _bought(self) -> list[Row]:
        machine = self.session.machine_id
        bought = [p for p in self.session.purchases if p.is_for(machine)]
        if not bought:
            return []
        rows = [self._heading("bought")]
        for each in bought:
            supply = f"{self.session.term('supply', each.supply)}, {each.on_date}"
            cells = (
                self.session.name(each.kind),
                str(each.qty),
                self.session.typed_money(each.price),
                supply,
            )
            rows.append(Row(f"bought:{each.id}", cells))
        return rows

    def in_hand(self) -> Buying | None:
        """Return the line of the list in hand."""
        sort, _, place = (self.sheet.row_id or "").partition(":")
        best = self.best
        return best.buy[int(place)] if best and sort == "buy" and place.isdigit() else None

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return why a thing is on the list."""
        best = self.best
        if best is None:
            return self.empty()
        each = self.in_hand()
        if each is not None:
            supply = self.session.term("supply", each.supply)
            tier = self.session.term("tier", each.tier)
            told = f"{self.session.money(each.cost)}, {supply}, {tier}"
            paragraphs = [Paragraph(self.session.name(each.kind), told)]
            if each.goes_with:
                paragraphs.append(
                    Paragraph(self.label("goes-with"), self.session.name(each.goes_with))
                )
            return paragraphs + [Paragraph("", self.say(reason)) for reason in each.reasons]
        told = self.session.average(best.total, best.total_range)
        return [
            Paragraph(self.label("total"), told),
            *(Paragraph("", self.say(r)) for r in best.reasons),
        ]

    # The line

    def typed(self, text: str) -> None:
        """Typing is a budget or a price paid: the arrow stays."""

    def purchase(self, text: str) -> tuple[Money, SupplyName] | None:
        """Return price and supply of text such as ``paid 45 used``; None where it is a budget."""
        first, _, rest = text.partition(" ")
        if first.lower() not in PAID:
            return None
        price, _, supply = rest.strip().partition(" ")
        each = self.in_hand()
        default = each.supply if each and each.supply != "put-right" else SUPPLIES[0]
        known = SHORT_SUPPLY.get(supply.strip().lower().split(" ")[0], default)
        return read_money(price, self.session.preferences.currency), known

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        if key.id == "bought":
            return self.in_hand() is not None
        if key.id == "unbought":
            return (self.sheet.row_id or "").startswith("bought:")
        return super().is_live(key)

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        if not text:
            return self.label("will.buy-empty")
        try:
            bought = self.purchase(text)
            if bought is None:
                budget = read_money(text, self.session.preferences.currency)
                return self.say(because("screen-will-budget", budget=str(budget)))
        except KitreckonError as error:
            return str(error)
        each = self.in_hand()
        if each is None:
            return self.label("buy.choose")
        price, supply = bought
        if each.piece_id:
            told = because("screen-will-put-right", kind=Term("kind", each.kind), price=str(price))
            return self.say(told)
        return self.say(
            because(
                "screen-will-bought",
                kind=Term("kind", each.kind),
                price=str(price),
                supply=Term("supply", supply),
            )
        )

    def entered(self, text: str) -> None:
        """Set the budget, or note a purchase."""
        if not text:
            return
        try:
            bought = self.purchase(text)
            if bought is None:
                self.session.budget = read_money(text, self.session.preferences.currency)
                self.show_all()
                first = next((r.id for r in self.sheet.rows if r.id.startswith("buy:")), None)
                if first is not None:
                    self.take_row(first)
                return
        except KitreckonError as error:
            self.refuse(str(error), text)
            return
        each = self.in_hand()
        if each is None:
            self.refuse(self.label("buy.choose"), text)
            return
        self._buy(each, *bought)

    def _buy(self, each: Buying, price: Money, supply: SupplyName) -> None:
        if each.piece_id:
            self._put_right(each, price)
            return
        purchase = Purchase(
            self.session.new_id("purchase"),
            each.kind,
            supply,
            price,
            self.session.now().date().isoformat(),
            qty=each.qty,
            machine_id=self.session.machine_id,
            want=each.want,
        )
        label = self.say(because("screen-did-bought", kind=Term("kind", each.kind)))
        self.change(label, purchase)

    def _put_right(self, each: Buying, price: Money) -> None:
        """Note that a piece works: its repair is paid, and what it cost is told in its note.

        It is no purchase: what a repair costs says nothing of what such a piece costs.
        """
        day = self.session.now().date().isoformat()
        note = self.say(because("screen-note-put-right", price=str(price), day=day))
        done = Details(repair=Money.zero(price.currency), note=note)
        label = self.say(because("screen-did-put-right", kind=Term("kind", each.kind)))
        visit = self.session.visit
        piece = next((piece for piece in visit.pieces if piece.id == each.piece_id), None)
        if piece is not None:
            self.change(label, put_piece(visit, with_details(piece, done)))
            return
        owned = next((piece for piece in self.session.shelf if piece.id == each.piece_id), None)
        if owned is not None:
            self.change(label, with_details(owned, done))

    def action_space(self) -> None:
        """Note the thing in hand as bought, or put right, at the price on the list."""
        each = self.in_hand()
        if each is None:
            self.refuse(self.label("buy.choose"))
        elif each.supply == "put-right":
            self._put_right(each, each.cost)
        else:
            self._buy(each, whole(each.cost), each.supply)

    def action_minus(self) -> None:
        """Take a purchase off again."""
        sort, _, name = (self.sheet.row_id or "").partition(":")
        bought = next((p for p in self.session.purchases if p.id == name), None)
        if sort == "bought" and bought is not None:
            self.change(self.label("did-unbought"), drop=(bought,))
