"""Help for the page it was opened from: what it is for, its keys, and every page's letter."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.screens.keys import PAGES, Key, bindings_of, keys_of
from kitreckon.screens.page import Page
from kitreckon.screens.safe_text import wrap
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph


class HelpPage(Page):
    """Made from the key table, so that it cannot say what is not so."""

    page = "help"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("help")]

    @property
    def about(self) -> str:
        """The page help was asked on."""
        return self.kit.page_before

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (Column(self.label("col.key"), 8), Column(self.label("col.does"), 30, grow=1))

    def rows(self) -> Sequence[Row]:
        """Return what the page is for, the keys, the letters of the pages."""
        known = keys_of(self.about)
        rows = [self._heading("about")]
        told = wrap(self.label(f"help.{self.about}").replace(" | ", "\n"), self.list_width - 12)
        rows += [Row(f"about:{n}", ("", line)) for n, line in enumerate(told)]
        rows.append(self._heading("keys-page"))
        rows += [self._key(key) for key in known if key.pages]
        rows.append(self._heading("keys-all"))
        rows += [self._key(key) for key in known if not key.pages]
        rows.append(self._heading("pages"))
        rows += [Row(f"page:{each.page}", (each.letter, self._page(each.page))) for each in PAGES]
        return rows

    def on_ruled_list_widened(self) -> None:
        """Wrap what the page is for to the width of the list."""
        self.show_rows()

    def _heading(self, name: str) -> Row:
        return Row(f"head:{name}", (self.label(f"group.{name}"), ""), sort="heading")

    def _key(self, key: Key) -> Row:
        when = f" ({self.label('empty-line')})" if key.line == "empty" else ""
        return Row(f"key:{key.id}", (key.shown, self.label(f"key.{key.id}.long") + when))

    def _page(self, name: str) -> str:
        return f"{self.label(f'page.{name}')}: {self.label(f'{name}.says')}"

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return the row in full."""
        if row_id.startswith("about:"):
            says = self.label(f"{self.about}.says")
            return [Paragraph(self.label(f"page.{self.about}"), says)]
        row = next((row for row in self.sheet.rows if row.id == row_id), None)
        return [Paragraph(row.cells[0], row.cells[1])] if row and row.sort == "row" else ()

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        row_id = self.sheet.row_id or ""
        return self.label("will.open-page" if row_id.startswith("page:") else "will.find")

    def entered(self, text: str) -> None:
        """Open the page whose row is in hand."""
        sort, _, name = (self.sheet.row_id or "").partition(":")
        if sort == "page":
            self.kit.open_page(name)
