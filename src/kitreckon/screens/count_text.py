"""How the rows of a count are put into words. No rule and no arithmetic: what is, is said."""

from __future__ import annotations

from collections.abc import Sequence

from kitreckon.catalogue.model import Check, Kind, SizeRule, Want
from kitreckon.count import Piece
from kitreckon.quantities import Length
from kitreckon.reasons import Term, because
from kitreckon.reckoning.sizes import Window, size_wanted_mm, windows
from kitreckon.reckoning.units import is_loose, set_share
from kitreckon.screens.figures import fit_told, repair_effect, value_told
from kitreckon.screens.line import Meaning
from kitreckon.screens.marking import kept_piece, row_of, said_piece
from kitreckon.screens.piece_text import (
    details_told,
    piece_told,
    repair_told,
    short_fit,
    size_and_mount,
    state_of,
)
from kitreckon.screens.rows import CountRow
from kitreckon.screens.session import Session
from kitreckon.screens.widgets.ruled_list import Column, Row
from kitreckon.screens.widgets.text_block import Paragraph

SHORT = 11  # signs of a size that fit their column whole
SEEN, SAID = 7, 12  # width of the first column: "<1 of 1", and "said <1 of 1" where one is


class CountText:
    """The words of the count page, for one session."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.label = session.label

    def columns(self, rows: Sequence[CountRow]) -> Sequence[Column]:
        """Return the columns: what goes first when it is narrow is what the detail repeats."""
        said = any(_all_said(row) for row in rows)
        return (
            Column(self.label("col.seen"), SAID if said else SEEN),
            Column(self.label("col.thing"), 22, grow=4),
            Column(self.label("col.size"), 11, grow=1, drop=1),
            Column(self.label("col.state"), 10, grow=1),
            Column(self.label("col.fit"), 12, grow=3, drop=2),
        )

    def rows(self, rows: Sequence[CountRow], *, unfolded: bool) -> list[Row]:
        """Return the rows as drawn, with a heading to each group."""
        drawn: list[Row] = []
        group = ""
        for row in rows:
            if row.group != group:
                group = row.group
                drawn.append(self._heading(group, rows, unfolded=unfolded))
            if row.group != "handy" or unfolded:
                drawn.append(self.row(row))
        return drawn

    def _heading(self, group: str, rows: Sequence[CountRow], *, unfolded: bool) -> Row:
        title = self.label(f"group.{group}")
        if group == "handy" and not unfolded:
            many = sum(row.group == "handy" for row in rows)
            title = self.session.say(because("screen-folded", group=title, many=many))
        cells = (title, "", "", "", "")
        return Row(f"fold:{group}", cells, sort="heading", stop=group == "handy")

    def row(self, row: CountRow) -> Row:
        """Return one row as drawn."""
        danger = any(piece.unsafe for piece in row.pieces)
        name = ", ".join(part for part in (self.name(row), self._loose_count(row)) if part)
        cells = (self._seen(row), name, self._size(row), self._state(row), self._fit(row))
        look = "alarm" if danger else ("faint" if row.state == "not looked" else "")
        return Row(row.id, cells, look)  # type: ignore[arg-type]

    def _seen(self, row: CountRow) -> str:
        """Return how many were seen; where nobody has looked, how many the seller says.

        Loose parts of a set are counted in sets: part of one is less than 1.
        """
        word = f"{self.label('count.said')} " if _all_said(row) else ""
        many = row.seen
        if many and not word:
            many -= sum(piece.qty for piece in row.only_said)
        if row.want is None:
            return f"{word}{many}" if row.group == "outside" else "?"
        loose = self._loose(row)
        if many and loose:
            many -= sum(piece.qty - 1 for piece in loose)
            if many == 1 and self._is_short(loose[0]):
                return f"{word}<1 of {row.wanted}"
        seen = "?" if many is None else (str(many) if many else "-")
        return f"{word}{seen} of {row.wanted}"

    def _loose(self, row: CountRow) -> list[Piece]:
        """Return the loose parts of sets on a row; seen ones where any of it was seen."""
        pieces = row.pieces if _all_said(row) else [piece for piece in row.pieces if piece.seen]
        several = [piece for piece in pieces if piece.qty > 1 and row.want]
        tables = self.session.catalogue.prices if several else {}
        return [piece for piece in several if is_loose(piece, tables.get(piece.kind or ""))]

    def _is_short(self, piece: Piece) -> bool:
        catalogue = self.session.catalogue
        share = set_share(piece, catalogue.prices.get(piece.kind or ""))
        return share < catalogue.judgement.set_least

    def _loose_count(self, row: CountRow) -> str:
        """Return how many loose parts of one kind a row has, where it has nothing else."""
        loose = self._loose(row)
        alone = len(loose) == len(row.pieces) and len({piece.kind for piece in loose}) == 1
        return str(sum(piece.qty for piece in loose)) if alone else ""

    def name(self, row: CountRow) -> str:
        """Return what a row is called: what is there, else what is wanted."""
        if row.kind is None:
            return f"“{row.pieces[0].text}”" if row.pieces else ""
        if row.want is not None and not row.pieces:
            return self.session.wanted(row.want.id, row.kind)
        kinds = dict.fromkeys(piece.kind for piece in row.pieces) or {row.kind: None}
        return " + ".join(self.session.name(kind) for kind in kinds)

    def _size(self, row: CountRow) -> str:
        if not row.pieces:
            size = want_size(self.session, row.want)
            return size if len(size) <= SHORT else ""  # a longer one stands beside the row
        told = [size_and_mount(self.session, piece) for piece in row.pieces]
        return "; ".join(each for each in told if each)

    def _state(self, row: CountRow) -> str:
        if row.group == "typed":
            return self.label("state.kept")
        if not row.pieces:
            return self.label("state.not-looked" if row.seen is None else "state.none")
        return "; ".join(dict.fromkeys(state_of(self.session, piece) for piece in row.pieces))

    def _fit(self, row: CountRow) -> str:
        told = [short_fit(self.session, self.session.fit_of(piece)) for piece in row.pieces]
        return "; ".join(dict.fromkeys(each for each in told if each))

    # Beside the row in hand

    def detail(self, row: CountRow) -> list[Paragraph]:
        """Return what to look for and check, with the caution beside it."""
        kind = self.session.catalogue.kinds.get(row.kind or "")
        if kind is None:
            return [Paragraph(self.label("kept"), self.label("kept.says"))]
        if not row.pieces:
            told = [*self._look_for(kind, row), *self._cautions(row, kind)]
        else:
            about = Paragraph(self.name(row), self._told(row))
            told = [*self._dangers(row), about, *self._repairs(row), *self._cautions(row, kind)]
        told += [Paragraph(self.label("check"), check_text(self.session, c)) for c in kind.checks]
        if row.pieces:
            told += self._look_for(kind, row)
        return told

    def _told(self, row: CountRow) -> str:
        said = [piece_told(self.session, piece) for piece in row.pieces]
        fits = [fit_told(self.session, self.session.fit_of(piece)) for piece in row.pieces]
        return "; ".join(each for each in (*said, *fits) if each)

    def _look_for(self, kind: Kind, row: CountRow) -> list[Paragraph]:
        told = [Paragraph(self.label("look-for"), look_text(self.session, kind))]
        size = want_size(self.session, row.want)
        if size:
            told.append(Paragraph(self.label("size-wanted"), size))
        if row.want is not None and row.want.note:
            told.append(Paragraph(self.label("note"), self.session.spelt(row.want.note)))
        return told

    def _cautions(self, row: CountRow, kind: Kind | None) -> list[Paragraph]:
        ids = dict.fromkeys(kind.cautions if kind else ())
        for piece in row.pieces:
            fit = self.session.fit_of(piece)
            ids |= dict.fromkeys(fit.cautions if fit else ())
        return [Paragraph(self.label("caution"), self.session.caution(each)) for each in ids]

    def _dangers(self, row: CountRow) -> list[Paragraph]:
        return [
            Paragraph(
                self.label("unsafe"),
                self.session.say(because("screen-unsafe-piece", danger=piece.unsafe)),
                alarm=True,
            )
            for piece in row.pieces
            if piece.unsafe
        ]

    def _repairs(self, row: CountRow) -> list[Paragraph]:
        """Return what has to be put right, and once it is reckoned what that does."""
        reckoning = self.session.known_reckoning()
        told = []
        for piece in row.pieces:
            if piece.repair:
                value = reckoning.values.get(piece.id) if reckoning else None
                effect = repair_effect(self.session, value) if value else ""
                said = "; ".join(filter(None, (repair_told(self.session, piece), effect)))
                told.append(Paragraph(self.label("put-right"), said))
        return told

    def fold_detail(self, unfolded: bool) -> list[Paragraph]:
        """Return what to say on a heading."""
        return [Paragraph("", self.label("fold.close" if unfolded else "fold.open"))]

    def choices(self, meant: Meaning, choice: int) -> list[Paragraph]:
        """Return the things a text may mean, the chosen one marked."""
        names = [
            ("> " if place == choice else "") + self.session.name(likely.kind)
            for place, likely in enumerate(meant.likely)
        ]
        return [
            Paragraph(self.label("may-be"), "   ".join(names)),
            Paragraph("", self.label("may-be.says")),
        ]

    def why(self, row: CountRow) -> list[Paragraph]:
        """Return fit and figures of the pieces of a row, with their reasons."""
        told: list[Paragraph] = []
        reckoning = self.session.reckoning()
        for piece in row.pieces:
            told.append(Paragraph(self.session.name(piece.kind), piece_told(self.session, piece)))
            told.append(
                Paragraph(self.label("fit"), fit_told(self.session, self.session.fit_of(piece)))
            )
            value = reckoning.values.get(piece.id) if reckoning else None
            if value is not None:
                told += value_told(self.session, value)
        return told or self.detail(row)

    # What Enter will do

    def will(
        self,
        text: str,
        meant: Meaning,
        chosen: str | None,
        row: CountRow | None,
        rows: Sequence[CountRow],
    ) -> str:
        """Return what Enter will do; on the empty line, what space and minus will do."""
        if not text:
            return self._will_empty(row) if rows else self.label("will.type-thing")
        what = details_told(self.session, meant.details)
        if meant.does == "ask":
            return meant.why or self.label(meant.ask)
        if meant.does == "row":
            return self._will_say(row, what)
        if chosen is None:
            return self.session.say(because("screen-will-keep", text=text))
        return self._will_name(meant, chosen, what, rows)

    def _will_say(self, row: CountRow | None, what: str) -> str:
        """Return what is noted at the row in hand."""
        if row is None:
            return self.label("count.no-row")
        name = self.name(row)
        if not row.pieces:
            told = "screen-will-mark-row"
            return self.session.say(because(told, row=name, what=what or "1"))
        if len(row.pieces) > 1:  # the last one counted takes the note
            name = f"{name} {size_and_mount(self.session, row.pieces[-1])}".strip()
        told = "screen-will-say" if row.pieces[-1].seen else "screen-will-say-seen"
        return self.session.say(because(told, row=name, what=what))

    def _will_name(self, meant: Meaning, chosen: str, what: str, rows: Sequence[CountRow]) -> str:
        """Return what becomes of a thing that is named: on its row, or outside the list."""
        target, thing = row_of(rows, chosen, meant.details), Term("kind", chosen)
        if meant.does == "absent":
            told = "screen-will-none" if target is not None else "screen-will-none-outside"
            return self.session.say(because(told, thing=thing))
        kept = kept_piece(target, chosen, meant.details) if target is not None else None
        if kept is not None:
            name = f"{self.session.name(kept.kind)} {size_and_mount(self.session, kept)}".strip()
            return self.session.say(because("screen-will-say", row=name, what=what))
        said = said_piece(target, chosen, meant.details) if target is not None else None
        what = what or str(said.qty if said else 1)
        also = ", ".join(self.session.name(each.kind) for each in meant.more)
        what = f"{what}; {self.label('and')} {also}" if also else what
        if said is not None:
            told = "screen-will-see"
        elif target is not None and target.pieces:
            told = "screen-will-another"
        else:
            told = "screen-will-mark" if target is not None else "screen-will-add"
        return self.session.say(because(told, thing=thing, what=what))

    def _will_empty(self, row: CountRow | None) -> str:
        say = self.session.say
        if row is None:
            return self.label("will.fold")
        if row.group == "typed":
            return self.label("will.typed")
        counted = sum(piece.qty for piece in row.pieces)
        name = self.name(row)
        if not counted:
            return say(because("screen-will-empty", row=name, wanted=max(1, row.wanted)))
        if row.only_said:
            many = sum(piece.qty for piece in row.only_said)
            return say(because("screen-will-seen", row=name, many=many))
        return say(because("screen-will-more", row=name, next=counted + 1, counted=counted))


def _all_said(row: CountRow) -> bool:
    """Return whether all of a row is the seller's word."""
    return bool(row.pieces) and row.only_said == row.pieces


def check_text(session: Session, check: Check) -> str:
    """Return a check with its limit."""
    told = f"{check.do} ({check.limit})" if check.limit else check.do
    return session.spelt(told)


def look_text(session: Session, kind: Kind) -> str:
    """Return what a kind looks like and where it lies."""
    return session.spelt("; ".join(filter(None, (kind.looks_like, kind.where))))


def want_size(session: Session, want: Want | None) -> str:
    """Return the size a line asks for on the machine in hand: what Missing asks for too."""
    if want is None:
        return ""
    rule: SizeRule = want.size
    if rule.sizes_mm:
        return ", ".join(session.size(Length.of_mm(size)) for size in rule.sizes_mm)
    return session.spelt(rule.text) or _by_machine(session, want) or rule.usual


def _by_machine(session: Session, want: Want) -> str:
    """Return the size and the mount that follow from the facts of the machine in hand."""
    machine, catalogue = session.machine, session.catalogue
    if machine is None:
        return ""
    near, outfit = catalogue.judgement.size_near, session.outfit(machine)
    window = next(iter(windows(want, machine, near, outfit)), Window())
    size = size_wanted_mm(catalogue.prices.get(want.kind), window)
    told = session.size(Length.of_mm(size) if size is not None else None)
    return " ".join(part for part in (told, window.mount) if part)
