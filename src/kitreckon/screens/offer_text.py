"""How an offer is put into rows, bars and reasons."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from kitreckon.quantities import Money, Range
from kitreckon.reasons import Reason, Term, because
from kitreckon.reckoning.model import Reckoning
from kitreckon.screens.bars import bar, range_line, spread
from kitreckon.screens.figures import fit_told, value_told
from kitreckon.screens.frame import NARROW
from kitreckon.screens.phrases import COVERED, rounded_down
from kitreckon.screens.piece_text import piece_told, size_and_mount
from kitreckon.screens.session import Session
from kitreckon.screens.widgets.ruled_list import Row
from kitreckon.screens.widgets.text_block import Paragraph

FIGURES = ("opening", "target", "limit")


class OfferText:
    """The words of the offer page, for one session and width."""

    def __init__(self, session: Session, width: int) -> None:
        self.session = session
        self.label = session.label
        self.width = max(30, min(72, width - 6))
        self.narrow = width < NARROW

    def rows(self, counted: Reckoning, shown: Reckoning, keeps: frozenset[str]) -> list[Row]:
        """Return all rows: the figures as supposed, the pieces as counted."""
        return [
            *self._figures(counted, shown, what_if=bool(keeps)),
            *self._adds(shown),
            *self._groups(shown),
            *self._concessions(shown),
            *self._said(shown),
            *self._pieces(counted, keeps),
        ]

    def _heading(self, name: str) -> Row:
        return Row(f"head:{name}", (self.label(f"group.{name}"), "", ""), sort="heading")

    def _figures(self, counted: Reckoning, shown: Reckoning, *, what_if: bool) -> list[Row]:
        offer, before = shown.offer, counted.offer
        rows = [self._heading("offer")]
        rows += [
            Row(f"stop:{n}", (self.session.say(reason),), "alarm", "note", stop=True)
            for n, reason in enumerate(offer.stop)
        ]
        if offer.opening is None or offer.limit is None:
            return [*rows, Row("figure:none", (self.label("no-offer"),), "strong", "note")]
        for name in FIGURES:
            now, then = getattr(offer, name), getattr(before, name)
            remark = self.label(f"figure.{name}.says")
            if what_if:
                remark = f"{self.label('instead-of')} {self.session.figure(then)}"
            rows.append(
                Row(
                    f"figure:{name}",
                    (self.label(f"figure.{name}"), self.session.figure(now), remark),
                    "strong",
                )
            )
        rows.append(Row("figure:line", (self._line(shown),), "", "note"))
        rows.append(self._asking(shown))
        worth = self.session.figure(offer.worth_to_you)
        rows.append(
            Row(
                "figure:worth", (self.label("figure.worth"), worth, self.label("figure.worth.says"))
            )
        )
        return rows

    def _asking(self, shown: Reckoning) -> Row:
        asked = self.session.asked(shown.machine) or self.label("not-known")
        return Row(
            "figure:asking", (self.label("fact.asking"), asked, self.label("figure.asking.says"))
        )

    def _line(self, shown: Reckoning) -> str:
        """Return opening, target, limit and asking on one line."""
        if self.session.covered:
            return f"{COVERED} {self.label('line.covered')}"
        offer, asking = shown.offer, shown.machine.asking
        marks = [("A", asking)] if asking else []
        marks += [
            (letter, getattr(offer, name)) for letter, name in zip("OTL", FIGURES, strict=True)
        ]
        known = [(letter, float(money.minor)) for letter, money in marks if money is not None]
        values = [value for _, value in known]
        room = (max(values) - min(values)) * 0.08 or 1.0
        return range_line(known, min(values) - room, max(values) + room, self.width)

    def _adds(self, shown: Reckoning) -> list[Row]:
        adds = shown.bundle.adds
        rows = [self._heading("adds")]
        rows += [
            Row(f"adds:said{n}", (self.session.say(reason),), "", "note", stop=True)
            for n, reason in enumerate(only_said(shown))
        ]
        for name in FIGURES:
            amount = self.session.figure(getattr(adds, name))
            rows.append(
                Row(
                    f"adds:{name}",
                    (f"{self.label('adds-to')} {self.label(f'figure.{name}')}", f"+{amount}", ""),
                )
            )
        ranges = bundle_figures(shown)
        most = float(max(figures.high.minor for _, figures in ranges.values()))
        for name, (mean, figures) in ranges.items():
            drawn = self._spread(mean, figures, most)
            rows.append(self._drawn(f"bundle:{name}", self.label(name).lower(), mean, drawn))
        return rows

    def _spread(self, mean: Money, figures: Range[Money], most: float) -> str:
        low, typical, high = (float(each.minor) for each in (figures.low, mean, figures.high))
        return spread(low, typical, high, most, self.bar_width)

    def _groups(self, shown: Reckoning) -> list[Row]:
        """Return the worth of the pieces by group of kinds, as bars."""
        sums = group_worth(shown, self._group_of)
        most = float(max((money.minor for money in sums.values()), default=0))
        ordered = sorted(sums.items(), key=lambda each: -each[1].minor)
        rows = [
            self._drawn(
                f"group:{group}",
                self.session.label(f"kinds.{group}"),
                money,
                bar(float(money.minor), most, self.bar_width),
            )
            for group, money in ordered
        ]
        return [self._heading("value-by-group"), *rows] if rows else []

    @property
    def bar_width(self) -> int:
        """Cells for a bar, which stands before the name where there is no room behind it."""
        return 8 if self.narrow else self.width // 3

    def _drawn(self, row_id: str, name: str, money: Money, drawn: str) -> Row:
        """Return a row with its bar; the bar is covered with the money."""
        drawn = "" if self.session.covered else drawn
        amount = self.session.money(money)
        if self.narrow and drawn:
            return Row(row_id, (f"{drawn.ljust(self.bar_width)} {name}", amount, ""))
        return Row(row_id, (name, amount, drawn))

    def _group_of(self, kind: str | None) -> str:
        known = self.session.catalogue.kinds.get(kind or "")
        return known.group if known else "other"

    def _concessions(self, shown: Reckoning) -> list[Row]:
        from kitreckon.reckoning.bargaining import still_to_say

        raises = self.session.catalogue.judgement.raises
        steps = still_to_say(shown.offer, shown.visit.sayings, raises)
        if not steps:
            return []
        told = ", ".join(self.session.money(step) for step in steps)
        if self.session.covered:
            told = COVERED
        return [self._heading("concessions"), Row("steps", (told,), "", "note")]

    def _said(self, shown: Reckoning) -> list[Row]:
        rows = [self._heading("said")]
        for saying in shown.visit.sayings:
            who = self.label(f"who.{saying.who}")
            price = (
                str(saying.price)
                if saying.who == "seller"
                else self.session.typed_money(saying.price)
            )
            keeps = f"{self.label('keeps')} {len(saying.keeps)}" if saying.keeps else ""
            remark = " ".join(part for part in (keeps, saying.note) if part)
            rows.append(Row(f"said:{saying.id}", (who, price, remark)))
        if len(rows) == 1:
            rows.append(Row("said-none", (self.label("said.none"),), "faint", "note"))
        return rows

    def _pieces(self, counted: Reckoning, keeps: frozenset[str]) -> list[Row]:
        rows = [self._heading("pieces")]
        for piece in counted.visit.pieces:
            value = counted.values.get(piece.id)
            if value is None:
                continue
            mark = self.label("keeps-mark") if piece.id in keeps or piece.his else ""
            lets = self.label("let-him-keep") if piece.id in counted.offer.let_him_keep else ""
            danger = self.label("state.unsafe") if value.unsafe else ""
            remark = ", ".join(part for part in (mark, danger, lets) if part)
            worth = self.session.money(value.worth_mean)
            look = "alarm" if value.unsafe else ("faint" if mark else "")
            name = f"{self.session.name(piece.kind)} {size_and_mount(self.session, piece)}"
            cells = (name.strip(), worth, remark)
            rows.append(Row(f"piece:{piece.id}", cells, look))  # type: ignore[arg-type]
        return rows

    # Why

    def why(self, row_id: str, shown: Reckoning) -> Sequence[Paragraph]:
        """Return the reasons of the figure on a row."""
        sort, _, name = row_id.partition(":")
        if sort == "piece":
            return self._why_piece(name, shown)
        told = [self._three(shown, name)] if sort == "bundle" else []
        if sort in {"figure", "adds", "head", "stop"}:
            asked = "figure.line.says" if shown.machine.asking else "figure.line.unasked"
            told.append(Paragraph(self.label("figure.line"), self.label(asked)))
        reasons = (*shown.offer.stop, *only_said(shown), *shown.offer.reasons)
        return told + [Paragraph("", self.session.say(reason)) for reason in reasons]

    def _three(self, shown: Reckoning, name: str) -> Paragraph:
        told = self.session.average(*bundle_figures(shown)[name])
        return Paragraph(self.label(name), f"{told}: {self.label(f'{name}.says')}")

    def _why_piece(self, piece_id: str, shown: Reckoning) -> Sequence[Paragraph]:
        piece = next((each for each in shown.visit.pieces if each.id == piece_id), None)
        value = shown.values.get(piece_id)
        if piece is None:
            return ()
        told = [
            Paragraph(self.session.name(piece.kind), piece_told(self.session, piece)),
            Paragraph(self.label("fit"), fit_told(self.session, shown.fits.get(piece_id))),
        ]
        return told + (value_told(self.session, value) if value else [])


def bundle_figures(shown: Reckoning) -> dict[str, tuple[Money, Range[Money]]]:
    """Return the three figures of all that is counted, by name: its average, and its spread.

    Averages are in whole units, rounded down as those of the offer are: it is made of them.
    """
    his = {piece.id for piece in shown.visit.pieces if piece.his}
    values = [value for piece_id, value in shown.values.items() if piece_id not in his]
    nothing, bundle = Money.zero(shown.preferences.currency), shown.bundle
    return {
        name: (rounded_down(sum((getattr(v, mean) for v in values), nothing)), figures)
        for name, mean, figures in (
            ("replacement", "replacement_mean", bundle.replacement),
            ("worth", "worth_mean", bundle.worth),
            ("part-out", "part_out_mean", bundle.part_out),
        )
    }


def only_said(shown: Reckoning) -> tuple[Reason, ...]:
    """Return the reasons that say what is only the seller's word: pieces, and faults counted."""
    said = sum(not piece.his for piece in shown.visit.only_said)
    told = tuple(Term("finding", each.kind) for each in shown.visit.findings if not each.seen)
    pieces = (because("offer-only-said", count=said),) if said else ()
    return (*pieces, because("screen-offer-told", findings=told)) if told else pieces


def group_worth(shown: Reckoning, group_of: Callable[[str | None], str]) -> dict[str, Money]:
    """Return the worth of the pieces of each group of kinds, where there is any."""
    sums: dict[str, Money] = {}
    for piece in shown.visit.pieces:
        value = shown.values.get(piece.id)
        if value is None or not value.worth_mean:
            continue
        group = group_of(piece.kind)
        sums[group] = sums[group] + value.worth_mean if group in sums else value.worth_mean
    return sums
