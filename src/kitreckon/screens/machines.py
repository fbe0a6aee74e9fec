"""The machines of the book: for sale, owned, sold. An empty book greets with three ways in."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.count import Machine
from kitreckon.reasons import because
from kitreckon.screens.keys import Key, bindings_of
from kitreckon.screens.page import Page
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph

WAYS = ("way:advert", "way:machine", "way:demo")
MAKE = "+"
MOST_NOTES = 3


class MachinesPage(Page):
    """A row a machine. A name that is not there yet starts a new one."""

    page = "machines"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("machines")]

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.machine"), 20, grow=2),
            Column(self.label("col.class"), 18, grow=1, drop=1),
            Column(self.label("col.asking"), 9, align="right"),
            Column(self.label("col.counted"), 9, align="right"),
        )

    def own_lines(self) -> Sequence[Paragraph]:
        """Return what opening the book and the catalogue found."""
        problems = getattr(self.session.catalogue, "problems", ())
        told = [*self.session.book.notices, *(str(each) for each in problems)]
        lines = [Paragraph(self.label("note"), text) for text in told[:MOST_NOTES]]
        if len(told) > MOST_NOTES:
            more = because("screen-more-notes", many=len(told) - MOST_NOTES)
            lines.append(Paragraph("", self.say(more)))
        return lines

    def on_mount(self) -> None:
        """Show the page with the machine in hand at the arrow."""
        self.session.in_hand[self.page] = self.session.machine_id
        super().on_mount()

    def show_around(self) -> None:
        """Take the machine whose row is in hand, for every other page too."""
        if self.sheet.row_id in self.session.machines:
            self.session.machine_id = self.sheet.row_id or ""
        super().show_around()

    def rows(self) -> Sequence[Row]:
        """Return the machines; the ways in where there are none."""
        machines = list(self.session.machines.values())
        if not machines:
            hello = Row("hello", (self.label("machines.hello"),), "strong", "note")
            ways = [Row(way, (self.label(way),), "", "note", stop=True) for way in WAYS]
            return [hello, *ways]
        return [self._row(machine) for machine in machines]

    def _row(self, machine: Machine) -> Row:
        visit = self.session.visit_of(machine.id)
        kind = self.session.term("class", machine.machine_class) if machine.machine_class else "?"
        status = self.label(f"status.{machine.status}") if machine.status != "for-sale" else ""
        asked = self.session.asked(machine) or status or "?"
        return Row(machine.id, (machine.name, kind, asked, str(len(visit.pieces))))

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return what is known of a machine, or what a way in does."""
        machine = self.session.machines.get(row_id)
        if machine is None:
            return [Paragraph(self.label(row_id), self.label(f"{row_id}.says"))]
        told = [machine.seller, machine.place, machine.note]
        kind = self.session.term("class", machine.machine_class) if machine.machine_class else ""
        return [
            Paragraph(machine.name, ", ".join(filter(None, (kind, *told)))),
            Paragraph("", self.label("machines.hint")),
        ]

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        if key.id == "remove":
            return (self.sheet.row_id or "") in self.session.machines
        return super().is_live(key)

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        machine = self._meant(text)
        if machine is not None:
            return self.say(because("screen-will-open", machine=machine.name))
        if text:
            return self.say(because("screen-will-start", name=text.removeprefix(MAKE).strip()))
        return self.label(f"will.{self.sheet.row_id or 'nothing'}")

    def _meant(self, text: str) -> Machine | None:
        """Return the machine Enter is about; none when the text starts a new one."""
        if text.startswith(MAKE):
            return None
        row_id = self.found(text) if text else self.sheet.row_id
        return self.session.machines.get(row_id or "")

    def left_told(self) -> str:
        """Return what was left half typed here or, while nothing is typed, on other pages."""
        return super().left_told() or ("" if self.line.value else self.session.lines_left())

    def entered(self, text: str) -> None:
        """Open the machine in hand, start a new one, or take a way in."""
        machine = self._meant(text)
        if machine is not None:
            self.session.machine_id = machine.id
            known = machine.machine_class in self.session.catalogue.outfits
            self.kit.open_page("count" if known else "machine")
        elif text:
            self._start(text.removeprefix(MAKE).strip())
        else:
            self._way_in(self.sheet.row_id or "")

    def _start(self, name: str) -> None:
        machine = Machine(self.session.new_id("machine"), name, "")
        self.session.do(self.say(because("screen-did-start", name=name)), machine)
        self.session.in_hand[self.page] = machine.id
        self.session.in_hand["machine"] = "machine_class"
        self.kit.store()  # which shows the page anew, and takes the machine at the arrow
        self.session.machine_id = machine.id
        self.kit.open_page("machine")

    def _way_in(self, way: str) -> None:
        match way:
            case "way:advert":
                self.kit.open_page("advert")
            case "way:machine":
                self._start(self.label("machine.unnamed"))
            case "way:demo":
                self.kit.open_demo()

    def action_minus(self) -> None:
        """Take a machine with its count off the list; it can be taken back."""
        machine = self.session.machines.get(self.sheet.row_id or "")
        if machine is not None:
            label = self.say(because("screen-did-remove", name=machine.name))
            self.change(label, drop=(machine,))
