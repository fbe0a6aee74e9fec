"""How what was read in an advert is put into rows and details."""

from __future__ import annotations

from kitreckon.quantities import Length, Money
from kitreckon.reading.model import ReadPiece, TextReading
from kitreckon.reasons import because
from kitreckon.screens.advert_facts import Said, SaidFacts, SaidFaults
from kitreckon.screens.counting import details_of
from kitreckon.screens.figures import percent
from kitreckon.screens.piece_text import details_told
from kitreckon.screens.session import Session
from kitreckon.screens.widgets.ruled_list import Row
from kitreckon.screens.widgets.text_block import Paragraph

FACT = "fact:"  # starts the id of a row that says something of the machine
FAULT = "fault:"  # the same of a fault it is said to have


class AdvertText:
    """The words of the advert page, for one session."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.label, self.say = session.label, session.say

    def rows(
        self, reading: TextReading, taken: set[int], facts: SaidFacts, faults: SaidFaults
    ) -> list[Row]:
        """Return the proposals, then what is to be asked, then what was left out."""
        pieces = list(enumerate(reading.pieces))

        def told(*, sure: bool) -> list[Row]:
            return [self._row(n, p, taken=n in taken) for n, p in pieces if p.taken is sure]

        left = [
            Row(f"left:{n}", (text, "", "", ""), "faint", "note", stop=True)
            for n, text in enumerate(reading.not_understood)
        ]
        return [
            *self._group("machine-said", [self._fact_row(name, facts) for name in facts.said]),
            *self._group("fault-said", [self._fault_row(each, faults) for each in faults.said]),
            *self._group("read", told(sure=True)),
            *self._group("ask", told(sure=False)),
            *self._group("left-over", left),
        ]

    def _group(self, name: str, rows: list[Row]) -> list[Row]:
        title = self.label(f"group.{name}")
        return [Row(f"head:{name}", (title, "", "", ""), sort="heading"), *rows] if rows else []

    def _row(self, place: int, piece: ReadPiece, *, taken: bool) -> Row:
        mark = self.label("advert.take") if taken else "-"
        counted = counted_of(self.session, piece)
        kind = self.session.name(piece.kind)
        if piece.state == "absent":
            kind = f"{self.label('advert.absent')} {kind}"
        told = details_told(self.session, details_of(piece))
        if counted:
            told = self.say(because("screen-already-counted", many=counted))
        return Row(str(place), (mark, kind, told, piece.text))

    def _fact_row(self, name: str, facts: SaidFacts) -> Row:
        """Return what is said of the machine; what is known otherwise is not overruled."""
        mark = self.label("advert.take") if name in facts.taken else "-"
        known, told = facts.known(name), ""
        if known is not None:
            told = self.say(because("screen-known-otherwise", value=self._value(known)))
        cells = (mark, self.label(f"fact.{name}"), self._value(facts.said[name]), told)
        return Row(f"{FACT}{name}", cells, "faint" if known is not None else "")

    def _fault_row(self, name: str, faults: SaidFaults) -> Row:
        """Return a fault he tells of, in his words."""
        mark = self.label("advert.take") if name in faults.taken else "-"
        said, rule = faults.said[name], self.session.catalogue.findings[name]
        effect = self.label(f"effect.{rule.effect}") if rule.effect == "walk-away" else ""
        effect = self.label("advert.fault.looked") if faults.not_so(name) else effect
        cells = (mark, self.session.term("finding", name), effect, said.text)
        return Row(f"{FAULT}{name}", cells, "alarm" if said.danger or effect else "")

    def of_fault(self, name: str, faults: SaidFaults) -> list[Paragraph]:
        """Return the words a fault rests on, how to find out, and the caution beside it."""
        said, rule = faults.said[name], self.session.catalogue.findings[name]
        told = [Paragraph(self.session.term("finding", name), f"“{said.text}”")]
        if faults.not_so(name):
            told.append(Paragraph("", self.label("advert.fault.not-so")))
        if not said.sure:
            light = "advert.fault.light" if said.danger else "advert.fault.unsure"
            told.append(Paragraph("", self.label(light)))
        cautions = [self.session.caution(each) for each in rule.cautions]
        told += [Paragraph(self.label("caution"), each) for each in cautions]
        look = Paragraph(self.label("look-for"), self.session.spelt(rule.look))
        return [*told, look, Paragraph("", self.label("advert.fault.says"))]

    def _value(self, value: Said) -> str:
        if isinstance(value, Money):
            return str(value)  # his own figure: never covered
        return self.session.length(value) if isinstance(value, Length) else value

    def of_fact(self, name: str, facts: SaidFacts) -> list[Paragraph]:
        """Return what is said of the machine, and that it stays where it is known otherwise."""
        known = facts.known(name)
        told = [Paragraph(self.label(f"fact.{name}"), self._value(facts.said[name]))]
        if known is None:
            return [*told, Paragraph("", self.label("advert.fact.says"))]
        other = because("screen-fact-otherwise", known=self._value(known))
        return [*told, Paragraph("", self.say(other))]

    def of_piece(self, piece: ReadPiece, reading: TextReading) -> list[Paragraph]:
        """Return the words a piece was read from, how sure, and what else it may be."""
        sure = self.say(because("screen-probability", percent=percent(piece.confidence)))
        told = [Paragraph(self.session.name(piece.kind), f"“{piece.text}”, {sure}")]
        if piece.others:
            others = ", ".join(self.session.name(other.kind) for other in piece.others)
            told.append(Paragraph(self.label("may-be"), others))
        told += [Paragraph("", self.say(reason)) for reason in piece.why]
        machine = ", ".join(filter(None, (reading.machine_text, reading.asking_text)))
        return [*told, Paragraph(self.label("advert.machine"), machine)] if machine else told


def counted_of(session: Session, piece: ReadPiece) -> int:
    """Return how many of a kind were counted already: what was seen outranks an advert."""
    if session.machine is None:
        return 0
    return sum(each.qty for each in session.visit.pieces if each.kind == piece.kind)
