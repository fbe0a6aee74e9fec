"""The count: every wanted thing on a ruled sheet, marked as quickly as with a pencil."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.count import Piece, Visit
from kitreckon.reasons import Reason, Term, because
from kitreckon.screens.count_text import CountText
from kitreckon.screens.count_typing import Typed, asked_on, learned, row_about, without_asked
from kitreckon.screens.counting import count_read
from kitreckon.screens.keys import Key, bindings_of
from kitreckon.screens.line import Meaning, Typing, meaning
from kitreckon.screens.marking import (
    add_named,
    add_piece,
    none_here,
    one_here,
    row_of,
    say_about,
    wanted_kinds,
)
from kitreckon.screens.page import Page
from kitreckon.screens.rows import CountRow, next_row
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph

FOLD = "fold:handy"


class CountPage(Page):
    """One line, always ready; space, minus, down and backspace act while it is empty."""

    page = "count"
    needs_machine = True
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("count")]

    def __init__(self) -> None:
        super().__init__()
        self.count_rows: list[CountRow] = []
        self.by_id: dict[str, CountRow] = {}
        self.in_line = Typed()
        self.unfolded = False

    # The sheet

    @property
    def text(self) -> CountText:
        """How the rows are put into words."""
        return CountText(self.session)

    def columns(self) -> Sequence[Column]:
        """Return the columns of the sheet."""
        return self.text.columns(self.session.counted())

    def rows(self) -> Sequence[Row]:
        """Return the rows: open tiers first, the handy ones folded until asked for."""
        self.count_rows = self.session.counted()
        self.by_id = {row.id: row for row in self.count_rows}
        self.sheet.set_columns(self.columns())
        return self.text.rows(self.count_rows, unfolded=self.unfolded)

    @property
    def row(self) -> CountRow | None:
        """The row in hand; None on a heading."""
        return self.by_id.get(self.sheet.row_id or "")

    def on_mount(self) -> None:
        """Show the sheet; start at the first row, and ask what to look for next."""
        super().on_mount()
        if self.row is None and self.count_rows:
            self.sheet.move_to(self.count_rows[0].id)
        if self.session.ask_first:
            self.session.ask_first = False
            self.action_next_question()
        self.kit.reckon_later()
        self.set_interval(5, self.show_clock)

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        if key.id in {"here", "none"}:
            folds = (self.sheet.row_id or "") == FOLD
            return self.row is not None or (key.id == "here" and folds)
        return super().is_live(key)

    def show_clock(self) -> None:
        """Show how long the count has taken."""
        if self.session.visit.clock_started_utc is not None:
            self.show_band()

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return what to look for, what to check, cautions, and whether it fits."""
        if self.meant.does == "thing" and self.in_line.open:
            return self.text.choices(self.meant, self.in_line.choice)
        row = self.by_id.get(row_id)
        return self.text.detail(row) if row else self.text.fold_detail(self.unfolded)

    def why(self, row_id: str) -> Sequence[Paragraph]:
        """Return the fit and the figures of the pieces on a row, with their reasons."""
        row = self.by_id.get(row_id)
        return self.text.why(row) if row else ()

    # Typing

    def typed(self, text: str) -> None:
        """Read the line, and jump to the row it names."""
        start = self.in_line.start
        if self.meant.does == "nothing":
            start = self.sheet.row_id or ""
        row = self.by_id.get(start)
        kind = self.session.catalogue.kinds.get(row.kind or "") if row else None
        prefer = wanted_kinds([r.want for r in self.count_rows if r.want])
        reader = self.session.reader
        meant = meaning(text, kind, reader, prefer, Typing.of(self.session.preferences))
        self.in_line = Typed(start, meant)
        self._jump()

    def _jump(self) -> None:
        """Put the arrow on the row of the thing chosen, unfolding it where it is folded.

        What names nothing is about the row at which the typing began.
        """
        kind = self.chosen
        row = row_of(self.count_rows, kind, self.meant.details) if kind else None
        if row is not None and row.group == "handy" and not self.unfolded:
            self.unfolded = True
            self.show_rows(row.id)
        self.sheet.move_to(row.id if row else self.in_line.start)
        self.show_around()

    @property
    def meant(self) -> Meaning:
        """What the typed text means."""
        return self.in_line.meant

    @property
    def chosen(self) -> str | None:
        """The kind the typed text is taken to mean."""
        return self.in_line.chosen

    def will(self, text: str) -> str:
        """Return what Enter (or, on the empty line, space and minus) will do."""
        if self.asked is not None and self.chosen is not None:
            told = because("screen-will-name", kind=Term("kind", self.chosen), text=self.asked.text)
            return self.say(told)
        return self.text.will(text, self.meant, self.chosen, self.row, self.count_rows)

    def entered(self, text: str) -> None:
        """Mark, add, say or keep, as the line said it would."""
        if not text:
            return
        if self.meant.text != text:
            self.typed(text)
        line, self.in_line = self.in_line, Typed(self.in_line.start)
        meant, kind = line.meant, line.chosen
        row = row_of(self.count_rows, kind, meant.details) if kind else self.row
        match meant.does:
            case "ask":
                self.refuse(meant.why or self.label(meant.ask), text)
            case "row":
                self._about_row(row, meant, text)
            case "absent" if row is not None:
                self._mark(row, lambda visit: none_here(visit, row), because("screen-did-none"))
            case "thing" | "absent" if kind is not None:
                self._thing(row, kind, line, text)
            case _:
                visit = add_piece(self.visit, None, text, meant.details, self.session.new_id)
                self._changed(because("screen-did-kept"), visit)

    def _about_row(self, row: CountRow | None, meant: Meaning, text: str) -> None:
        if row is None:
            self.refuse(self.label("count.no-row"), text)
            return
        self._mark(
            row,
            lambda visit: say_about(visit, row, meant.details, self.session.new_id),
            because("screen-did-said"),
        )

    def _thing(self, row: CountRow | None, kind: str, line: Typed, text: str) -> None:
        """Mark the row of a named thing, or add it outside the list; learn a choice made."""
        machine, new_id = self.session.machine, self.session.new_id
        assert machine is not None
        outfit, asked = self.session.outfit(machine), self.asked
        visit = without_asked(self.visit, asked)
        own = line.meant.own or text
        visit = add_named(visit, row, kind, own, line.meant.details, new_id)
        for each in line.meant.more:
            visit = count_read(visit, each, machine, outfit, new_id)
        new = learned(kind, line, text, asked, lambda: new_id("correction"))
        label = because("screen-did-here", thing=Term("kind", kind))
        self._changed(label, visit, *new, marked=row.id if row else "")

    @property
    def asked(self) -> Piece | None:
        """The line kept as typed that the typing is about."""
        return asked_on(self.by_id.get(self.in_line.start))

    # Marks on the empty line

    @property
    def visit(self) -> Visit:
        """The count in hand."""
        return self.session.visit

    def action_space(self) -> None:
        """Count one here, or see what is only said; on a heading, fold or unfold."""
        row = self.row
        if row is None:
            self.unfolded = not self.unfolded
            self.show_all()
            return
        new_id = self.session.new_id
        did = because("screen-did-seen" if row.only_said else "screen-did-here-row")
        self._mark(row, lambda visit: one_here(visit, row, new_id), did)

    def action_minus(self) -> None:
        """Mark the row as looked at, none there."""
        row = self.row
        if row is not None:
            self._mark(row, lambda visit: none_here(visit, row), because("screen-did-none"))

    def action_pass_row(self) -> None:
        """Pass to the next row; while typing, to the next thing the text may mean."""
        self._step(1)

    def action_back_row(self) -> None:
        """Go back one row; while typing, to the thing before."""
        self._step(-1)

    def _step(self, steps: int) -> None:
        if self.line.value and self.in_line.open:
            self.in_line = self.in_line.turned(steps)
            self._jump()
        else:
            self.step(steps)
            self.in_line = replace(self.in_line, start=self.sheet.row_id or "")

    def action_next_open(self) -> None:
        """Go to the next row nobody looked at, whatever the seller says of it."""
        self._go_where(lambda row: row.state in {"not looked", "said"})

    def action_next_question(self) -> None:
        """Go to the row the next question is about; once more goes to the one after."""
        if not self.session.asks:
            self.refuse(self.label("ask-next.none"))
            return
        sort, _, about = self.session.asks[0][0].partition(":")
        self.session.asked_so_far += 1
        row_id = row_about(self.count_rows, about)
        if row_id is not None:
            self.unfolded = self.unfolded or self.by_id[row_id].group == "handy"
            self.show_rows(row_id)
            self.show_around()
            return
        page = "walk" if sort == "finding" else "machine"
        self.session.in_hand[page] = about
        self.kit.open_page(page)

    def _go_where(self, fits: Callable[[CountRow], bool]) -> None:
        shown = [row for row in self.count_rows if self.unfolded or row.group != "handy"]
        found = next_row(shown, self.sheet.row_id or "", fits)
        if found is not None:
            self.take_row(found)

    def action_clock(self) -> None:
        """Start, stop or resume the clock."""
        visit = self.session.clock_turned()
        self._changed(because("screen-did-clock"), visit)

    # Changing

    def _mark(self, row: CountRow, mark: Callable[[Visit], Visit], label: Reason) -> None:
        """Put a mark on a row, then go on to the next when the row has all that is wanted."""
        visit = mark(self.visit)
        if visit == self.visit:
            self._go_on(row.id)
            self.show_around()
            return
        told = Reason(label.id, (*label.values, ("row", self.text.name(row))))
        self._changed(told, visit, marked=row.id)

    def _changed(self, label: Reason, visit: Visit, *also: object, marked: str = "") -> None:
        """Show the changed count; store and reckon after the refresh."""
        self.session.do(self.say(label), visit, *also)
        self.show_rows()
        self._go_on(marked)
        self.show_around()
        self.call_after_refresh(self.kit.store)
        self.kit.reckon_later()

    def _go_on(self, row_id: str) -> None:
        """Go to the row below when this one has all that is wanted of it."""
        row = self.by_id.get(row_id)
        if row is None or (row.state == "here" and (row.seen or 0) < row.wanted):
            return
        if self.sheet.row_id == row_id:
            self.sheet.move(1)
