"""The frame of a page: status, ruled list, row in hand, the line, what Enter will do, keys."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, cast

from textual.app import ComposeResult
from textual.containers import Container
from textual.screen import Screen
from textual.widgets import Static

from kitreckon.reasons import Reason
from kitreckon.screens.keys import Key, key, keys_of
from kitreckon.screens.safe_text import plain
from kitreckon.screens.status import status_lines
from kitreckon.screens.widgets.entry import Entry
from kitreckon.screens.widgets.key_line import KeyLine
from kitreckon.screens.widgets.ruled_list import Column, Row, RuledList
from kitreckon.screens.widgets.text_block import WILL_LINES, Paragraph, TextBlock

if TYPE_CHECKING:
    from kitreckon.screens.app import KitreckonApp
    from kitreckon.screens.session import Session
    from kitreckon.screens.widgets.entry import Listener

NARROW = 70  # cells: below it words are shortened
LOW = 15  # lines: in less the detail gives way, so that the line stays
WIDE = 110  # from here on the detail stands beside the list


class Frame(Screen[None]):
    """How every page is laid out and shown. ``page`` is its name in the key table."""

    page: ClassVar[str]
    needs_machine: ClassVar[bool] = False
    HORIZONTAL_BREAKPOINTS = [  # noqa: RUF012  # Textual declares it so
        (0, "-narrow"),
        (NARROW, "-normal"),
        (WIDE, "-wide"),
    ]
    VERTICAL_BREAKPOINTS = [(0, "-flat"), (24, "-tall")]  # noqa: RUF012  # likewise
    AUTO_FOCUS: ClassVar[str | None] = "#line"
    ENABLE_COMMAND_PALETTE: ClassVar[bool] = True

    shown_status: tuple[Paragraph, ...] = ()  # the lines above the list, as shown,
    shown_own: tuple[Paragraph, ...] = ()  # and those that this page adds
    left = ""  # the line that was left half typed here, as it stood when the page was opened

    # What a page says for itself

    def columns(self) -> Sequence[Column]:
        """Return the columns of the list."""
        raise NotImplementedError

    def rows(self) -> Sequence[Row]:
        """Return the rows of the list."""
        raise NotImplementedError

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return what is known of the row in hand."""
        return ()

    def will(self, text: str) -> str:
        """Return what Enter will do with this text, said beforehand."""
        return self.label("will.nothing")

    def entered(self, text: str) -> None:
        """Do what was said: Enter was pressed on this text."""

    def opened(self, row_id: str) -> None:
        """Do what a second click on a row does."""
        self.entered(self.line.value)

    def pasted(self, text: str) -> None:
        """Several lines were pasted: they are read as an advert."""
        self.session.advert, self.session.read_advert = text, None
        self.kit.open_page("advert")

    def why(self, row_id: str) -> Sequence[Paragraph]:
        """Return how the figures of a row came about."""
        return self.detail(row_id)

    def own_lines(self) -> Sequence[Paragraph]:
        """Return what this page has to say below the status lines."""
        return ()

    # Parts

    @property
    def kit(self) -> KitreckonApp:
        """The app, by its own type."""
        return cast("KitreckonApp", self.app)

    @property
    def session(self) -> Session:
        """What all pages share."""
        return self.kit.session

    @property
    def sheet(self) -> RuledList:
        """The list of the page."""
        return self.query_one(RuledList)

    @property
    def line(self) -> Entry:
        """The line of the page."""
        return self.query_one(Entry)

    def label(self, name: str) -> str:
        """Return a label of the screens, in the user's words."""
        return self.session.label(name)

    def say(self, reason: Reason) -> str:
        """Return a reason's sentence, in the user's words."""
        return self.session.say(reason)

    @property
    def list_width(self) -> int:
        """Cells of the list; before it is laid out, about what it will have."""
        beside = 0.36 if self.size.width >= WIDE else 0.0
        return self.sheet.size.width or int(self.size.width * (1 - beside)) - 1

    # Laying out and showing

    def compose(self) -> ComposeResult:
        """Lay the page out, the same for every page."""
        acting = [each for each in keys_of(self.page) if not each.chord]
        when_empty = {name for each in acting if each.line == "empty" for name in each.keys}
        always = {name for each in acting if each.line == "any" for name in each.keys}
        yield TextBlock(id="band")
        with Container(id="middle"):
            yield RuledList(self.columns(), id="list")
            yield TextBlock(id="detail", more=key("closer").shown)
        with Container(id="typing"):
            yield Static(plain(self.label("line.prompt")), id="prompt")
            yield Entry(
                cast("Listener", self),
                frozenset(always),
                frozenset(when_empty),
                id="line",
            )
        yield TextBlock(id="will")
        yield KeyLine(id="keys")

    def on_mount(self) -> None:
        """Show the page as the session has it."""
        self.show_rows(self.session.in_hand.get(self.page))
        if draft := self.session.draft.get(self.session.draft_name(self.page)):
            self.left = draft
            self.line.hold(draft)
        self.show_all()

    def on_resize(self) -> None:
        """Shorten or spell out what depends on the width; in few lines leave the detail out."""
        if not self.query(RuledList):
            return
        self.set_class(self.size.height < LOW, "-low")
        self.show_all()

    def on_ruled_list_widened(self) -> None:
        """Say anew what is cut: it hangs on the width of the list."""
        self.show_around()

    def on_screen_suspend(self) -> None:
        """Show that only escape leads on while a sheet lies over the page."""
        back = key("back")
        self.query_one(KeyLine).show(((back.shown, self.label(f"key.{back.id}")),))

    def on_screen_resume(self) -> None:
        """Show what may have changed meanwhile."""
        if self.is_mounted:
            self.show_all()

    def show_all(self) -> None:
        """Show everything anew; where its machine was taken back, go to the list of machines."""
        self.set_class(self.kit.ascii_only, "-ascii")
        if self.needs_machine and self.session.machine is None:
            self.kit.open_page("machines")
            return
        self.show_rows()
        self.show_around()

    def show_rows(self, in_hand: str | None = None) -> None:
        """Show the rows anew."""
        self.sheet.set_rows(self.rows(), in_hand)

    def show_around(self) -> None:
        """Show what surrounds the list: status, detail, what Enter will do, keys."""
        self.show_band()
        row_id = self.sheet.row_id
        if row_id:
            self.session.in_hand[self.page] = row_id
        self.query_one("#detail", TextBlock).show(self.whole(row_id) if row_id else self.empty())
        self.show_will()

    def whole(self, row_id: str) -> Sequence[Paragraph]:
        """Return what is known of the row in hand, with all that is cut for want of room."""
        detail = self.detail(row_id)
        told = " ".join(f"{each.label} {each.text}" for each in detail)
        cells = [(title, text) for title, text in self.sheet.cut_in_hand() if text not in told]
        own, others = self.cut_lines()
        return [*own, *(Paragraph(title, text) for title, text in cells), *detail, *others]

    def cut_lines(self) -> tuple[list[Paragraph], list[Paragraph]]:
        """Return in full the lines around the list that are cut: the page's own, and the others."""
        width = self.size.width
        own = [line.in_full() for line in self.shown_own if line.one_line and line.is_cut(width)]
        rest = (*self.shown_status, *self.around_will())
        return own, [line.in_full() for line in rest if line.is_cut(width)]

    def show_band(self) -> None:
        """Show the status lines anew."""
        narrow = self.size.width < NARROW
        self.shown_status = tuple(status_lines(self.session, self.page, narrow=narrow))
        self.shown_own = tuple(self.own_lines())
        self.query_one("#band", TextBlock).show((*self.shown_status, *self.shown_own))

    def show_will(self) -> None:
        """Show what Enter will do, and the keys that work now."""
        text = self.line.value.strip()
        session = self.session
        will = [Paragraph(self.label("will"), self.will(text))]
        around = self.around_will()
        will = around if session.problem else [*around, *will]
        self.query_one("#will", TextBlock).show(will)
        self.query_one(KeyLine).show(self.live_keys(text))

    def cut_will(self) -> list[Paragraph]:
        """Return in full what Enter will do, where there is no room for all of it."""
        shown = self.query_one("#will", TextBlock)
        will = Paragraph(self.label("will"), self.will(self.line.value.strip()))
        return [will] if len(shown.lines()) > WILL_LINES and not self.session.problem else []

    def around_will(self) -> list[Paragraph]:
        """Return what stands before, or in place of, what Enter will do: one of these at most."""
        session = self.session
        if session.problem:
            return [Paragraph(self.label("not-done"), session.problem, alarm=True)]
        if session.book.read_only:
            return [Paragraph(self.label("cannot-save"), session.book.read_only, one_line=True)]
        if session.said:
            return [Paragraph(self.label("did"), session.said, one_line=True)]
        left = self.left_told()
        return [Paragraph(self.label("left"), left, one_line=True)] if left else []

    def left_told(self) -> str:
        """Return what to say of a line that was left half typed, while it stands as it was."""
        return self.label("left.here") if self.left and self.line.value == self.left else ""

    def empty(self) -> Sequence[Paragraph]:
        """Return what to say when there are no rows."""
        return (Paragraph("", self.label(f"{self.page}.empty")),)

    def live_keys(self, text: str) -> tuple[tuple[str, str], ...]:
        """Return the keys that work now, for the footer."""
        known = [
            each
            for each in keys_of(self.page)
            if each.rank and (not text or each.line == "any") and self.is_live(each)
        ]
        known.sort(key=lambda each: each.rank)
        last = key("go" if text else "help")
        shown = [each for each in known if each is not last]
        return tuple((each.shown, self.label(f"key.{each.id}")) for each in (*shown, last))

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now; pages say so for their own."""
        match key.id:
            case "take-back" | "take-back-any":
                return bool(self.session.book.undo_label)
            case "again":
                return bool(self.session.book.redo_label)
            case "save":
                return self.session.saved == "not-saved"
            case "back":
                return self.kit.can_go_back
            case "why" | "why-any" | "closer":
                return bool(self.sheet.rows)
            case "next":
                return bool(self.session.asks)
            case _:
                return True
