"""Earlier states of the book, what was done, and the file itself."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.book import Generation
from kitreckon.errors import KitreckonError
from kitreckon.quantities import clean_text
from kitreckon.reasons import because
from kitreckon.screens.keys import bindings_of
from kitreckon.screens.page import Page
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph

LAST_ACTIONS = 40


class EarlierPage(Page):
    """A row a state; Enter makes it the book again."""

    page = "earlier"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("earlier")]

    def __init__(self) -> None:
        super().__init__()
        self.states: dict[str, Generation] = {}

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.when"), 17),
            Column(self.label("col.what"), 20, grow=2),
            Column(self.label("col.holds"), 24, grow=1, drop=1),
        )

    def rows(self) -> Sequence[Row]:
        """Return the states, the file, and the actions."""
        book = self.session.book
        self.states = {f"state:{each.file}": each for each in book.generations()}
        rows = [Row("head:states", (self.label("group.states"), "", ""), sort="heading")]
        rows += [self._state(row_id, each) for row_id, each in self.states.items()]
        rows += self._file()
        rows.append(Row("head:actions", (self.label("group.actions"), "", ""), sort="heading"))
        history = book.history
        for action in reversed(history.actions[-LAST_ACTIONS:]):
            undone = "" if action.n <= history.cursor else self.label("action.undone")
            look = "" if action.n <= history.cursor else "faint"
            cells = (when(action.at_utc), action.label, undone)
            rows.append(Row(f"action:{action.n}", cells, look))  # type: ignore[arg-type]
        return rows

    def _state(self, row_id: str, each: Generation) -> Row:
        holds = because("screen-state-of", machines=each.machines, pieces=each.pieces)
        told = self.say(holds) if each.good else self.label("state.damaged")
        return Row(row_id, (when(each.saved_utc), each.label, told), "" if each.good else "faint")

    def _file(self) -> list[Row]:
        title = f"{self.label('group.disk')}  {shown(self.session.book.path)}"
        rows = [Row("head:disk", (title, "", ""), sort="heading")]
        rows += [
            Row(f"file:{name}", (self.label(f"file.{name}"),), "", "note", stop=True)
            for name in ("copy", "reload")
        ]
        notices = self.session.book.notices
        return rows + [
            Row(f"notice:{n}", (text, "", ""), "alarm", "note", stop=True)
            for n, text in enumerate(notices)
        ]

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return what a state holds, or what a row does."""
        each = self.states.get(row_id)
        if each is not None:
            told = because("screen-state-of", machines=each.machines, pieces=each.pieces)
            return [Paragraph(when(each.saved_utc), f"{each.label}, {self.say(told)}")]
        sort, _, name = row_id.partition(":")
        if sort == "file":
            return [Paragraph(self.label(f"file.{name}"), self.label(f"file.{name}.says"))]
        row = self.sheet.row_in_hand
        noted = row.cells[0] if row and row.id.startswith("notice:") else ""
        return [Paragraph("", noted or self.label("earlier.actions.says"))]

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        row_id = self.sheet.row_id or ""
        each = self.states.get(row_id)
        if text:
            return self.label("will.find")
        if each is not None and each.good:
            return self.say(because("screen-will-restore", when=when(each.saved_utc)))
        sort, _, name = row_id.partition(":")
        return self.label(f"will.{name}" if sort == "file" else "will.earlier-empty")

    def entered(self, text: str) -> None:
        """Restore a state, save a copy, or read the file again."""
        if text:
            return
        row_id = self.sheet.row_id or ""
        try:
            self._do(row_id)
        except KitreckonError as error:
            self.refuse(str(error))
            return
        self.session.forget()
        self.show_all()

    def _do(self, row_id: str) -> None:
        each = self.states.get(row_id)
        if each is not None and each.good:
            self.session.book.restore(each)
            self.session.saved = "saved"
            restored = because("screen-did-restore", when=when(each.saved_utc), what=each.label)
            self.session.said = self.say(restored)
        elif row_id == "file:copy":
            self.session.said = f"{self.label('file.copied')} {shown(self.copy())}"
        elif row_id == "file:reload":
            self.session.book.reload()
            self.session.given_up()

    def copy(self) -> Path:
        """Save a copy beside the book under the first free name; return its path."""
        path = self.session.book.path
        for number in range(1, 1000):
            try:
                return self.session.book.save_copy(
                    path.with_name(f"{path.stem}-copy-{number}.json")
                )
            except KitreckonError as error:
                taken = error
                if "already" not in error.what:
                    raise
        raise taken


def shown(path: Path) -> str:
    """Return a path as it can be shown: a file's name may hold what a terminal would obey."""
    return clean_text(str(path), 4096)


def when(at_utc: str) -> str:
    """Return a time as people write it; times are kept and shown in UTC."""
    return at_utc[:16].replace("T", " ")
