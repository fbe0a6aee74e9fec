"""A seller's words read into proposals: each is taken or dropped, or all at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.count import Machine
from kitreckon.quantities import clean_text
from kitreckon.reading.findings_said import faults_told
from kitreckon.reading.machine_facts import machine_called
from kitreckon.reading.model import ReadPiece, TextReading
from kitreckon.reasons import because
from kitreckon.screens.advert_facts import SaidFacts, SaidFaults, asking_of, other_money
from kitreckon.screens.advert_text import FACT, FAULT, AdvertText, counted_of
from kitreckon.screens.counting import count_said
from kitreckon.screens.keys import Key, bindings_of
from kitreckon.screens.page import Page
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph

LONGEST = 20_000


class AdvertPage(Page):
    """What was read, a row a piece; Enter takes what is marked into the count."""

    page = "advert"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("advert")]

    def __init__(self) -> None:
        super().__init__()
        self.reading: TextReading | None = None
        self.taken: set[int] = set()
        self.facts = SaidFacts()  # said of the machine itself
        self.faults = SaidFaults()

    def on_mount(self) -> None:
        """Read what was pasted on another page."""
        super().on_mount()
        if self.session.read_advert is not None:
            self.reading = self.session.read_advert
            self._read_facts()
            self.show_all()
        elif self.session.advert:
            self.read(self.session.advert)

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.taken"), 5),
            Column(self.label("col.read"), 18, grow=2),
            Column(self.label("col.size"), 12, grow=1),
            Column(self.label("col.words"), 16, grow=2, drop=1),
        )

    def read(self, text: str) -> None:
        """Read an advert; what was understood surely is marked to be taken."""
        text = clean_text(text, LONGEST, lines=True)
        self.session.advert = text
        self.reading = self.session.reader.read_advert(text)
        self.taken = {
            n
            for n, piece in enumerate(self.reading.pieces)
            if piece.taken and not counted_of(self.session, piece)
        }
        self._read_facts()
        self.show_all()

    def _read_facts(self) -> None:
        """Read what is said of the machine; what is not known yet is marked to be taken."""
        machine, currency = self.session.machine, self.session.preferences.currency
        asking = asking_of(self.asked, self.session.advert, currency)
        sort = self.session.catalogue.sort_of(machine.machine_class) if machine else None
        self.facts = SaidFacts.of(self.session.advert, asking, machine, sort)
        machine_class = machine.machine_class if machine else ""
        told = faults_told(self.session.advert, machine_class, self.session.catalogue)
        self.faults = SaidFaults.of(told, self.session.visit if machine else None)

    @property
    def asked(self) -> str:
        """What he asks, in his words."""
        return self.reading.asking_text if self.reading else ""

    def pasted(self, text: str) -> None:
        """Read what was pasted, after what was there."""
        self.session.read_advert = None
        self.read(f"{self.session.advert}\n{text}".strip())

    def rows(self) -> Sequence[Row]:
        """Return the proposals, then what is to be asked, then what was left out."""
        if self.reading is None:
            return []
        return AdvertText(self.session).rows(self.reading, self.taken, self.facts, self.faults)

    def fact(self, row_id: str | None) -> str | None:
        """Return the fact of the machine on a row."""
        name = (row_id or "").removeprefix(FACT)
        return name if name != row_id and name in self.facts.said else None

    def fault(self, row_id: str | None) -> str | None:
        """Return the fault of the machine on a row."""
        name = (row_id or "").removeprefix(FAULT)
        return name if name != row_id and name in self.faults.said else None

    def of_machine(self, row_id: str | None) -> tuple[SaidFacts | SaidFaults, str] | None:
        """Return what is said of the machine on a row, and by what name."""
        if (fact := self.fact(row_id)) is not None:
            return self.facts, fact
        return (self.faults, fault) if (fault := self.fault(row_id)) is not None else None

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return what is known of the proposal in hand, or the rest of what was left out."""
        text = AdvertText(self.session)
        if (fact := self.fact(row_id)) is not None:
            return text.of_fact(fact, self.facts)
        if (fault := self.fault(row_id)) is not None:
            return text.of_fault(fault, self.faults)
        piece = self.piece(row_id)
        if piece is not None and self.reading is not None:
            return text.of_piece(piece, self.reading)
        row = self.sheet.row_in_hand
        left = row.cells[0] if row and row.sort == "note" else ""
        return [Paragraph("", left or self.label("advert.says"))]

    def piece(self, row_id: str) -> ReadPiece | None:
        """Return the piece read on a row."""
        known = self.reading.pieces if self.reading else ()
        return known[int(row_id)] if row_id.isdigit() and int(row_id) < len(known) else None

    # Taking and dropping

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        if key.id in {"take", "drop", "take-all"}:
            row_id = self.sheet.row_id or ""
            return self.piece(row_id) is not None or self.of_machine(row_id) is not None
        return super().is_live(key)

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        if text:
            piece = self.piece(self.sheet.row_id or "")
            kind = self._named(text) if piece is not None else None
            if kind is None:
                return self.label("will.advert-line")
            return self.say(
                because(
                    "screen-will-name",
                    kind=self.session.name(kind),
                    text=piece.text if piece else "",
                )
            )
        many = self.many_taken
        if not many:
            return self.label("will.advert-unmarked" if self.many_left else "will.advert-none")
        machine = self.session.machine
        name = machine.name if machine else self.machine_name()
        return self.say(because("screen-will-take", many=many, machine=name))

    @property
    def many_taken(self) -> int:
        """How much is marked to be taken."""
        return len(self.taken) + len(self.facts.taken) + len(self.faults.taken)

    def _named(self, text: str) -> str | None:
        """Return the kind a short text names, to correct the proposal in hand."""
        reading = self.session.reader.read_line(text)
        return reading.pieces[0].kind if len(text) < 40 and reading.pieces else None

    def typed(self, text: str) -> None:
        """Typing corrects the proposal in hand, or is a line of an advert."""

    def entered(self, text: str) -> None:
        """Correct the proposal in hand, read a line, or take what is marked."""
        piece = self.piece(self.sheet.row_id or "")
        if text and piece is not None and (kind := self._named(text)):
            self._correct(int(self.sheet.row_id or 0), piece, kind)
        elif text:
            self.pasted(text)
        elif self.many_taken:
            self._take()

    def _correct(self, place: int, piece: ReadPiece, kind: str) -> None:
        assert self.reading is not None
        pieces = list(self.reading.pieces)
        pieces[place] = replace(piece, kind=kind, taken=True, others=())
        self.reading = replace(self.reading, pieces=tuple(pieces))
        self.taken.add(place)
        self.show_all()

    def action_space(self) -> None:
        """Take the proposal in hand, or drop it again."""
        piece = self.sheet.row_id or ""
        told = self.of_machine(piece)
        if told is not None and told[0].turn(told[1]):
            self.show_all()
            self.step(1)
        if piece.isdigit():
            self.taken ^= {int(piece)}
            self.show_all()
            self.step(1)

    def action_minus(self) -> None:
        """Drop the proposal in hand from the page."""
        piece = self.piece(self.sheet.row_id or "")
        told = self.of_machine(self.sheet.row_id)
        if told is not None:
            told[0].drop(told[1])
            self.show_all()
        elif piece is not None and self.reading is not None:
            self._keep_of(lambda place: place != int(self.sheet.row_id or 0))
            self.show_all()

    def _keep_of(self, keeps: Callable[[int], bool]) -> None:
        """Keep some of the proposals, with their marks."""
        assert self.reading is not None
        kept = [n for n in range(len(self.reading.pieces)) if keeps(n)]
        pieces = tuple(self.reading.pieces[n] for n in kept)
        self.taken = {new for new, old in enumerate(kept) if old in self.taken}
        self.reading = replace(self.reading, pieces=pieces)
        self.session.read_advert = self.reading if pieces or self.faults.said else None

    def action_plus(self) -> None:
        """Mark everything read to be taken."""
        self.taken = set(range(len(self.reading.pieces))) if self.reading else set()
        self.facts.take_all()
        self.faults.take_all()
        self.show_all()

    def _take(self) -> None:
        """Take what is marked, as one action; start a machine where there is none."""
        assert self.reading is not None
        machine = self.session.machine
        new = machine is None
        if machine is None:
            machine = Machine(self.session.new_id("machine"), self.machine_name(), "")
            self.session.machine_id = machine.id
        many, faults = self.many_taken, len(self.faults.taken)
        told = self.facts.put_on(machine)
        changed = (told,) if new or told != machine else ()
        visit, outfit = self.session.visit_of(machine.id), self.session.outfit(machine)
        for place in sorted(self.taken):
            piece = self.reading.pieces[place]
            visit = count_said(visit, piece, machine, outfit, self.session.new_id)
        visit = self.faults.put_on(visit, lambda: self.session.new_id("finding"))
        label = self.say(because("screen-did-advert", many=many))
        self.session.do(label, *changed, visit)
        self.kit.store()
        asked = self._other_money() if new else ""
        self._leave_the_rest()
        if new:
            self.session.in_hand["machine"] = "machine_class"
        if not self.many_left:
            self.kit.open_page("machine" if new else "count")
        if asked or faults:  # told on the page that is opened: it is shown after this
            told_of = because("screen-advert-faults", many=faults)
            asks = because("screen-other-money", price=asked)
            self.session.said = self.say(asks if asked else told_of)
            self.show_around()

    def _leave_the_rest(self) -> None:
        """Keep what was not taken on the page, to be taken or dropped later."""
        assert self.reading is not None
        taken = frozenset(self.taken)
        self._keep_of(lambda place: place not in taken)
        if self.many_left:
            self.session.said = self.say(because("screen-advert-left", many=self.many_left))
            self.show_all()
        else:
            self.session.advert = ""

    @property
    def many_left(self) -> int:
        """How much is left to be taken or dropped."""
        return len(self.faults.said) + len(self.reading.pieces if self.reading else ())

    def machine_name(self) -> str:
        """Return a name for the machine of the advert: its size and sort."""
        called = machine_called(self.session.advert)
        return clean_text(called, 40).strip() or self.label("machine.unnamed")

    def _other_money(self) -> str:
        """Return what he asks where it is not in the user's money, else nothing."""
        currency = self.session.preferences.currency
        return other_money(self.asked, self.session.advert, currency)
