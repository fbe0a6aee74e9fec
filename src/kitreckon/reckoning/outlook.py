"""The offer after one small change, without reckoning everything anew.

A change of one line can only touch the wants connected with it, by a kind that serves several
wants or by one want needing another. Only those are covered anew; everything else keeps its
value. The result is the same as reckoning the whole visit again: questions ask for hundreds.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from kitreckon.catalogue.model import Kind, Want
from kitreckon.count import Piece, Visit
from kitreckon.fitting.bench import carriers
from kitreckon.fitting.model import Fit
from kitreckon.reckoning.chain import Workings, fits_of
from kitreckon.reckoning.cover import cover
from kitreckon.reckoning.line import Line
from kitreckon.reckoning.lines import line_of
from kitreckon.reckoning.model import Adds, Offer, Reckoning
from kitreckon.reckoning.offer import offer
from kitreckon.reckoning.to_run import to_run
from kitreckon.reckoning.value import Means, means_of


class Outlook:
    """One reckoning, ready to say what its offer would be after a small change."""

    def __init__(self, reckoning: Reckoning) -> None:
        workings = reckoning.workings
        if not isinstance(workings, Workings):
            raise TypeError("a reckoning without its workings cannot be changed")
        self.reckoning = reckoning
        self.workings = workings
        self.groups = _connected({slot.want.id: slot.want for slot in workings.slots})
        self.group_of_kind = {
            name.removeprefix("kind:"): group
            for name, group in self.groups.items()
            if name.startswith("kind:")
        }
        self.worths = dict(workings.worths)
        self.without: dict[tuple[str | None, frozenset[str]], dict[str, Means]] = {}
        self.means: dict[str, Means] = {}
        self._value(reckoning.visit, workings.lines, {None, *self.groups.values()}, self.means)

    def offer(
        self, visit: Visit | None = None, fits: Mapping[str, Fit] | None = None
    ) -> tuple[Offer, Adds]:
        """Return the offer with another visit, or with fits laid over those worked out."""
        visit = visit or self.reckoning.visit
        lines, means, touched = self._means(visit, fits or {})

        def revalue(kept: frozenset[str]) -> Mapping[str, Means]:
            left = {piece_id: row for piece_id, row in means.items() if piece_id not in kept}
            for group in {self._group(lines[piece_id]) for piece_id in kept}:
                left |= self._without(visit, lines, group, kept, group in touched)
            return left

        ground, others = self.workings.ground, self.reckoning.others
        return offer(
            ground.machine,
            visit,
            means,
            ground.catalogue,
            ground.preferences,
            others,
            revalue,
            to_run(visit.findings, ground),
        )

    def values(self, visit: Visit) -> Mapping[str, Means]:
        """Return the mean values of all lines with another visit."""
        _, means, _ = self._means(visit, {})
        return means

    def group_of(self, piece_id: str) -> str:
        """Return which lines hang together with this one: theirs is the same name."""
        line = self.workings.lines[piece_id]
        return self._group(line) or f"piece:{piece_id}"

    def _means(
        self, visit: Visit, fits: Mapping[str, Fit]
    ) -> tuple[dict[str, Line], dict[str, Means], set[str | None]]:
        lines = self._lines(visit, fits)
        touched = self._touched(visit, lines)
        means = {piece_id: self.means[piece_id] for piece_id in lines if piece_id in self.means}
        self._value(visit, lines, touched, means)
        return lines, means, touched

    def _without(
        self,
        visit: Visit,
        lines: Mapping[str, Line],
        group: str | None,
        kept: frozenset[str],
        touched: bool,
    ) -> dict[str, Means]:
        """Return the means of a group's lines when some are kept; known of one not touched."""
        mine = [line for line in lines.values() if self._group(line) == group]
        key = (group, frozenset(line.piece.id for line in mine if line.piece.id in kept))
        if not touched and key in self.without:
            return self.without[key]
        rest = {line.piece.id: line for line in mine if line.piece.id not in kept}
        left: dict[str, Means] = {}
        self._value(visit, rest, {group}, left)
        if not touched:
            self.without[key] = left
        return left

    def _lines(self, visit: Visit, fits: Mapping[str, Fit]) -> dict[str, Line]:
        """Return the lines of a visit; those as before are taken over."""
        known, ground = self.workings.lines, self.workings.ground
        fitted: dict[str, Fit | None] = {piece_id: line.fit for piece_id, line in known.items()}
        if self._fits_may_change(visit, fits):
            fitted |= fits_of(visit, self.reckoning.shelf, ground)
        fitted |= fits
        lines = {}
        for piece in visit.pieces:
            line = known.get(piece.id)
            if line is None or line.piece != piece or line.fit != fitted[piece.id]:
                line = line_of(piece, fitted[piece.id], ground)
            lines[piece.id] = line
        return lines

    def _fits_may_change(self, visit: Visit, fits: Mapping[str, Fit]) -> bool:
        """Whether a piece is new and its fit not given, or one that others may hang on changes."""
        before = {piece.id: piece for piece in self.reckoning.visit.pieces}
        now = [piece for piece in visit.pieces if before.get(piece.id) is not piece]
        gone = before.keys() - {piece.id for piece in visit.pieces}
        was = [before[name] for name in (*(p.id for p in now if p.id in before), *gone)]
        new = any(piece.id not in before and piece.id not in fits for piece in now)
        kinds = self.workings.ground.catalogue.kinds
        return new or _carried(now, kinds) != _carried(was, kinds)

    def _touched(self, visit: Visit, lines: Mapping[str, Line]) -> set[str | None]:
        """Return the groups of wants in which a line or a look is not as before."""
        known, looks = self.workings.lines, self.reckoning.visit.looks
        changed = [line for piece_id, line in lines.items() if known.get(piece_id) is not line]
        changed += [line for piece_id, line in known.items() if piece_id not in lines]
        touched = {self._group(line) for line in changed}
        if visit.looks != looks:
            touched |= {
                self.groups[look.want]
                for look in set(visit.looks) ^ set(looks)
                if look.want in self.groups
            }
        return touched

    def _group(self, line: Line) -> str | None:
        """Return the group a line may cover wants of; None when there is no such want."""
        return self.group_of_kind.get(line.kind.id)

    def _value(
        self,
        visit: Visit,
        lines: Mapping[str, Line],
        groups: Iterable[str | None],
        means: dict[str, Means],
    ) -> None:
        """Cover the wants of some groups anew and put the means of their lines in place."""
        workings, touched = self.workings, set(groups)
        mine = [line for line in lines.values() if self._group(line) in touched]
        covered = cover(
            [slot for slot in workings.slots if self.groups[slot.want.id] in touched],
            visit,
            mine,
            [line for line in workings.shelf if self._group(line) in touched],
            self.reckoning.purchases,
            workings.ground,
            self.worths,
        )
        for line in mine:
            units = covered.units.get(line.piece.id, ())
            means[line.piece.id] = means_of(line, units, workings.ground)


def _carried(pieces: Sequence[Piece], kinds: Mapping[str, Kind]) -> tuple[Piece, ...]:
    """Return the pieces others may hang on, whatever their grade where no repair hangs on it."""
    found = (carrier.piece for carrier in carriers(pieces, kinds))
    return tuple(piece if piece.repair else replace(piece, condition=None) for piece in found)


def _connected(wants: Mapping[str, Want]) -> dict[str, str]:
    """Return for each want, and each kind as "kind:<id>", the name of its group of wants."""
    parent: dict[str, str] = {}

    def root(name: str) -> str:
        parent.setdefault(name, name)
        while parent[name] != name:
            name = parent[name]
        return name

    for want in wants.values():
        joined = [f"kind:{kind}" for kind in want.any_of]
        joined += [need for need in want.needs if need in wants]
        for name in joined:
            parent[root(name)] = root(want.id)
    return {name: root(name) for name in list(parent)}
