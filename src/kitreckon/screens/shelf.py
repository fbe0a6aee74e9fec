"""The shelf: what the user owns already. It covers what is wanted before anything is missing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType

from kitreckon.count import Piece
from kitreckon.reasons import Term, because
from kitreckon.screens.counting import details_of
from kitreckon.screens.details import with_details
from kitreckon.screens.keys import Key, bindings_of
from kitreckon.screens.line import Meaning, Typing, meaning
from kitreckon.screens.page import Page
from kitreckon.screens.piece_text import (
    details_told,
    piece_told,
    size_and_mount,
    state_of,
    thing_told,
)
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph


class ShelfPage(Page):
    """A row a piece; the line adds, or says something about the piece in hand."""

    page = "shelf"
    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of("shelf")]

    def columns(self) -> Sequence[Column]:
        """Return the columns."""
        return (
            Column(self.label("col.how-many"), 4, align="right"),
            Column(self.label("col.thing"), 20, grow=2),
            Column(self.label("col.size"), 12, grow=1),
            Column(self.label("col.state"), 10, grow=1, drop=1),
            Column(self.label("col.fits-which"), 14, grow=2, drop=2),
        )

    def rows(self) -> Sequence[Row]:
        """Return what is on the shelf."""
        return [self._row(piece) for piece in self.session.shelf]

    def _row(self, piece: Piece) -> Row:
        fits = ", ".join(self.session.takers_of(piece))
        name = self.called(piece)
        state = state_of(self.session, piece)
        return Row(
            piece.id, (str(piece.qty), name, size_and_mount(self.session, piece), state, fits)
        )

    def called(self, piece: Piece) -> str:
        """Return what a piece is called; its own words where it is not settled what it is."""
        return (
            f"“{piece.text}”"
            if piece.kind is None and piece.text
            else self.session.name(piece.kind)
        )

    def piece(self, row_id: str | None) -> Piece | None:
        """Return the piece on a row."""
        return next((piece for piece in self.session.shelf if piece.id == row_id), None)

    def detail(self, row_id: str) -> Sequence[Paragraph]:
        """Return all that is known of a piece."""
        piece = self.piece(row_id)
        if piece is None:
            return ()
        told = [Paragraph(self.called(piece), piece_told(self.session, piece))]
        takers = ", ".join(self.session.takers_of(piece))
        return [*told, Paragraph(self.label("goes-on"), takers)] if takers else told

    def meant(self, text: str) -> Meaning:
        """Return what a typed line means here."""
        piece = self.piece(self.sheet.row_id)
        kind = self.session.catalogue.kinds.get(piece.kind or "") if piece else None
        return meaning(text, kind, self.session.reader, (), Typing.of(self.session.preferences))

    def typed(self, text: str) -> None:
        """Typing adds; the arrow stays."""

    def is_live(self, key: Key) -> bool:
        """Return whether a key would do anything now."""
        if key.id == "drop":
            return self.piece(self.sheet.row_id) is not None
        return super().is_live(key)

    def will(self, text: str) -> str:
        """Return what Enter will do."""
        if not text:
            return self.label("will.shelf-empty")
        meant = self.meant(text)
        if meant.does == "ask":
            return meant.why or self.label(meant.ask)
        what = details_told(self.session, meant.details)
        piece = self.piece(self.sheet.row_id)
        if meant.does == "row" and piece is not None:
            return self.say(because("screen-will-say", row=self.called(piece), what=what))
        if meant.does == "absent" and meant.kind is not None:
            return self.say(because("screen-will-not-shelf", thing=Term("kind", meant.kind)))
        also = ", ".join(thing_told(self.session, each) for each in meant.more)
        what = f"{what or '1'}; {self.label('and')} {also}" if also else what or "1"
        kind = self.session.name(meant.kind) if meant.kind else f"“{text}”"
        return self.say(because("screen-will-shelf", kind=kind, what=what))

    def entered(self, text: str) -> None:
        """Put a thing on the shelf, or note something about the piece in hand."""
        if not text:
            return
        meant = self.meant(text)
        if meant.does == "ask":
            self.refuse(meant.why or self.label(meant.ask), text)
            return
        piece = self.piece(self.sheet.row_id)
        if meant.does == "row" and piece is not None:
            pieces = [with_details(piece, meant.details)]
        elif meant.does == "absent":
            self.refuse(self.will(text), text)
            return
        else:
            pieces = self._pieces(meant, text)
        label = self.say(because("screen-did-shelf", kind=self.called(pieces[0])))
        self.change(label, *pieces)
        self.take_row(pieces[-1].id)

    def _pieces(self, meant: Meaning, text: str) -> list[Piece]:
        """Return every thing a line names as a piece of its own."""
        named = [(meant.kind, text, meant.details)]
        named += [(each.kind, each.text, details_of(each)) for each in meant.more]
        return [
            with_details(Piece(self.session.new_id(), kind, text=said), details)
            for kind, said, details in named
        ]

    def action_minus(self) -> None:
        """Take the piece in hand off the shelf."""
        piece = self.piece(self.sheet.row_id)
        if piece is not None:
            label = self.say(because("screen-did-off-shelf", kind=self.called(piece)))
            self.change(label, drop=(piece,))
