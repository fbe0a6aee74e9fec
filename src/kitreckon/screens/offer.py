"""The offer: three figures on a line, what the tooling adds, what he says, what to say next."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import ClassVar, Literal

from textual.binding import BindingType

from kitreckon.count import Saying
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Money, clean_text, read_money
from kitreckon.reasons import because
from kitreckon.reckoning.model import Reckoning
from kitreckon.screens.frame import NARROW
from kitreckon.screens.keys import Key, bindings_of
from kitreckon.screens.offer_text import OfferText
from kitreckon.screens.page import Page
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph

ME = frozenset({"me", "i", "mine", "we"})
HIM = frozenset({"he", "him", "his", "she", "her", "they", "seller"})
ASKS = frozenset({"say", "says", "said", "ask", "asks", "asked", "want", "wants", "wanted", "at"})


class OfferPage(Page):
    """Figures, pieces, and the log of what was said. The line takes what he says."""

    page = "offer"
    needs_machine = True
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("offer")]

    def __init__(self) -> None:
        super().__init__()
        self.keeps: frozenset[str] = frozenset()  # what if he keeps these

    @property
    def text(self) -> OfferText:
        """How the offer is put into words."""
        return OfferText(self.session, self.size.width)

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.figure"), 18, grow=2),
            Column(self.label("col.amount"), 12, grow=1, align="right"),
            Column(self.label("col.remark"), 26, grow=3, drop=1),
        )

    @property
    def reckoning(self) -> Reckoning | None:
        """The reckoning of the machine in hand, as counted."""
        return self.session.reckoning()

    @property
    def what_if(self) -> Reckoning | None:
        """The reckoning without what he would keep; as counted where he keeps nothing."""
        reckoning = self.reckoning
        if reckoning is None or not self.keeps:
            return reckoning
        from kitreckon.reckoning.what_if import without

        catalogue = self.session.catalogue
        return self.session.once(
            "what-if", [reckoning], self.keeps, lambda: without(reckoning, self.keeps, catalogue)
        )

    def rows(self) -> Sequence[Row]:
        """Return the rows of the page."""
        reckoning = self.reckoning
        if reckoning is None:
            return []
        return self.text.rows(reckoning, self.what_if or reckoning, self.keeps)

    def own_lines(self) -> Sequence[Paragraph]:
        """Return what he says and the answer to it, and the what-if where there is one."""
        lines = self._he_says()
        if self.keeps:
            told = self.say(because("screen-what-if", many=len(self.keeps)))
            lines.append(Paragraph(self.label("what-if"), told, one_line=True))
        return lines

    def _he_says(self) -> list[Paragraph]:
        """Return his last word and the answer to it: they stay in sight."""
        said = [each for each in self.session.visit.sayings if each.who == "seller" and each.price]
        if not said or self.reckoning is None:
            return []
        last = said[-1]
        answer = self._answer(last.price, last.keeps)
        told = f"{last.price}  {answer}"
        return [Paragraph(self.label("he-says"), told, one_line=True)]

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return the remark of the row in hand, where there is no room for it, and its reasons."""
        row = next((row for row in self.sheet.rows if row.id == row_id), None)
        remark = row.cells[2] if row and len(row.cells) > 2 and self.size.width < NARROW else ""
        told = [Paragraph(row.cells[0], remark)] if row and remark else []
        return [*told, *self.why(row_id)]

    def why(self, row_id: str) -> Sequence[Paragraph]:
        """Return how the figure in hand came about."""
        reckoning = self.what_if
        return self.text.why(row_id, reckoning) if reckoning else ()

    # His word and ours

    def typed(self, text: str) -> None:
        """Typing is what was said: the arrow stays."""

    def saying(self, text: str) -> Saying:
        """Return what a line says was said: ``1500``, ``me 1200``, ``he says 1600 with key``."""
        who: Literal["me", "seller"] = "seller"
        first, _, rest = text.strip().partition(" ")
        named = first.lower().rstrip(":,")
        if named in ME | HIM:
            who, text = ("me" if named in ME else "seller"), rest
            verb, _, rest = text.strip().partition(" ")
            text = rest if verb.lower().rstrip(":,") in ASKS else text
        price, _, note = text.strip().partition(" ")
        amount = read_money(price or first, self.session.preferences.currency)
        keeps = tuple(sorted(self.keeps)) if who == "seller" else ()
        return Saying("", who, amount, keeps, clean_text(note))

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        row_id = self.sheet.row_id or ""
        if key.id == "keeps":
            return row_id.startswith("piece:")
        if key.id == "note-keeps":
            return bool(self.keeps) or row_id.startswith("said:")
        return super().is_live(key)

    def will(self, text: str) -> str:
        """Return what Enter will note, and what to answer to it."""
        if not text:
            return self.label("will.to-bare-price" if self._no_figures else "will.offer-empty")
        try:
            saying = self.saying(text)
        except KitreckonError as error:
            return str(error)
        noted = because(f"screen-will-note-{saying.who}", price=str(saying.price))
        if saying.who == "me":
            return f"{self.say(noted)}{self._warned(saying.price)}"
        return f"{self.say(noted)} {self._answer(saying.price)}"

    def _warned(self, price: Money | None) -> str:
        """Return what speaks against a figure of ours before it is said."""
        reckoning = self.what_if
        if reckoning is None or price is None or self.session.covered:
            return ""
        from kitreckon.reckoning.bargaining import speaks_against

        against = speaks_against(reckoning, price)
        return f": {self.say(against)}" if against else ""

    @property
    def _no_figures(self) -> bool:
        """Whether there is no offer for want of a bare price."""
        machine = self.session.machine
        return machine is not None and machine.bare_price is None

    def _answer(self, price: Money | None, keeps: Collection[str] | None = None) -> str:
        reckoning = self.reckoning
        if reckoning is None or price is None:
            return ""
        from kitreckon.reckoning.bargaining import counter

        known = {piece.id for piece in reckoning.visit.pieces}
        kept = frozenset(self.keeps if keeps is None else keeps) & known
        told = counter(reckoning, price, kept, self.session.catalogue)
        word = self.label(f"answer.{told.answer}")
        if self.session.covered:
            return self.label("answer.covered")
        # the last reason is what to say: it stands first, where there is always room
        return f"{word}: " + "; ".join(self.say(reason) for reason in reversed(told.reasons))

    def entered(self, text: str) -> None:
        """Note what was said in the log."""
        if not text and self._no_figures:
            self.session.in_hand["machine"] = "bare_price"
            self.kit.open_page("machine")
            return
        if not text:
            self.action_why()
            return
        try:
            saying = replace(self.saying(text), id=self.session.new_id("saying"))
        except KitreckonError as error:
            self.refuse(str(error), text)
            return
        visit = self.session.visit
        label = self.say(because("screen-did-said-price", price=str(saying.price)))
        self.change(label, replace(visit, sayings=(*visit.sayings, saying)))

    # He keeps these

    def action_space(self) -> None:
        """Suppose he keeps the piece in hand, or no longer."""
        sort, _, piece = (self.sheet.row_id or "").partition(":")
        if sort != "piece":
            self.refuse(self.label("offer.choose-piece"))
            return
        self.keeps = self.keeps ^ {piece}
        self.show_all()

    def action_minus(self) -> None:
        """Note for good that he keeps the pieces supposed, or take the last word off the log."""
        visit = self.session.visit
        sort, _, row = (self.sheet.row_id or "").partition(":")
        if sort == "said":
            left = tuple(saying for saying in visit.sayings if saying.id != row)
            self.change(self.label("did-unsaid"), replace(visit, sayings=left))
        elif self.keeps:
            pieces = tuple(replace(p, his=True) if p.id in self.keeps else p for p in visit.pieces)
            self.keeps = frozenset()
            self.change(self.label("did-keeps"), replace(visit, pieces=pieces))
