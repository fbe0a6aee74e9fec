"""What all pages share: the records, what was reckoned of them, and where each page stands."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, TypeVar, cast

from kitreckon.catalogue.model import Tier
from kitreckon.count import Machine, Piece, Preferences, Visit
from kitreckon.quantities import Money
from kitreckon.reasons import Term, because
from kitreckon.screens.phrases import capital
from kitreckon.screens.records import Records

if TYPE_CHECKING:
    from kitreckon.fitting.model import Fit
    from kitreckon.reading import Reader, TextReading
    from kitreckon.reckoning.model import Question, Reckoning
    from kitreckon.screens.rows import CountRow

T = TypeVar("T")
Others = tuple[tuple[Machine, Visit], ...]  # what could be bought in place of a machine


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A reckoning with the questions it raises, and the state of the count it belongs to."""

    machine_id: str
    key: object
    reckoning: Reckoning
    questions: tuple[Question, ...]


@dataclass
class Session(Records):
    """The machine in hand, reckoned; tests pass a fixed ``now``."""

    in_hand: dict[str, str] = field(default_factory=dict)  # page -> row
    left_out: set[str] = field(default_factory=set)  # machines not compared
    tier: Tier = "essential"  # machines are compared equipped to this
    budget: Money | None = None  # to buy for
    measured: dict[str, Any] = field(default_factory=dict)  # on the identify page
    asked_of: str = ""  # the machine they are about
    asked_so_far: int = 0  # questions gone to, since they were last reckoned
    ask_first: bool = False  # the count opens at what is best asked next
    read_advert: TextReading | None = None  # what of an advert is still to be taken or dropped
    advert: str = ""  # a pasted advert on its way to its page
    questions: tuple[Question, ...] = ()
    _reckoned: dict[str, tuple[object, Reckoning]] = field(default_factory=dict)
    _alone: dict[str, tuple[object, Reckoning]] = field(default_factory=dict)
    _reader: tuple[object, Reader] | None = None
    _counted: tuple[Machine, Visit, Preferences, list[CountRow]] | None = None
    _made: dict[str, tuple[tuple[Any, ...], object, Any]] = field(default_factory=dict)
    _fits: tuple[object, Mapping[str, Fit]] | None = None

    def counted(self) -> list[CountRow]:
        """Return the rows of the count in hand; the same ones until something changes."""
        from kitreckon.screens.rows import count_rows  # reckoning is read when first needed

        machine, visit, buyer = self.machine, self.visit, self.preferences
        if machine is None:
            return []
        if (
            self._counted is None
            or self._counted[0] is not machine
            or self._counted[1] is not visit
            or self._counted[2] is not buyer
        ):
            rows = count_rows(machine, self.outfit(machine), visit, buyer)
            self._counted = (machine, visit, buyer, rows)
        return self._counted[3]

    def takers_of(self, piece: Piece) -> list[str]:
        """Return the names of the machines of the book that take a piece."""
        if piece.kind is None:
            return []
        from kitreckon.fitting import which_takes

        tried = which_takes(piece, tuple(self.machines.values()), self.catalogue, self.shelf)
        named = []
        for machine, fit in tried:
            needed = ", ".join(dict.fromkeys(self.name(each.kind) for each in fit.adapters))
            if fit.verdict == "fits":
                named.append(machine.name)
            elif fit.verdict == "fits-with":
                named.append(f"{machine.name} ({self.label('fit.fits-with.short')} {needed})")
        return named

    @property
    def reader(self) -> Reader:
        """The reader of typed lines, with the user's corrections."""
        corrections = tuple(self.book.corrections())
        if self._reader is None or self._reader[0] != corrections:
            from kitreckon.reading import Reader

            made = Reader(self.catalogue.kinds, self.catalogue.rules, corrections)
            self._reader = (corrections, made)
        return self._reader[1]

    # Reckoning

    def reckoning(self, machine_id: str = "") -> Reckoning | None:
        """Return the reckoning of a machine among the others; the same until something changes."""
        machine = self._reckonable(machine_id or self.machine_id)
        if machine is None:
            return None
        return self._kept(self._reckoned, machine, self._others(machine))

    def compared(self, machine_id: str) -> Reckoning | None:
        """Return the reckoning of a machine for itself, to be compared with the others."""
        machine = self._reckonable(machine_id)
        return None if machine is None else self._kept(self._alone, machine, ())

    def _reckonable(self, machine_id: str) -> Machine | None:
        machine = self.machines.get(machine_id)
        known = machine is not None and machine.machine_class in self.catalogue.outfits
        return machine if known else None

    def _kept(
        self, kept: dict[str, tuple[object, Reckoning]], machine: Machine, others: Others
    ) -> Reckoning:
        key = self._reckoning_key(machine, others)
        known = kept.get(machine.id)
        if known is None or known[0] != key:
            known = kept[machine.id] = (key, self._reckon(machine, others))
        return known[1]

    def known_reckoning(self) -> Reckoning | None:
        """Return the reckoning of the count in hand where it is made already; None to wait."""
        machine = self.machine
        known = self._reckoned.get(machine.id) if machine is not None else None
        if machine is None or known is None:
            return None
        return known[1] if known[0] == self._reckoning_key(machine) else None

    def reckoned_anew(self, cancelled: Callable[[], bool]) -> Reckoned | None:
        """Reckon the machine in hand and what to ask next; for a worker, shown by ``take``."""
        machine = self.machine
        if machine is None or self._reckonable(machine.id) is None:
            return None
        from kitreckon.reckoning.questions import next_questions

        _ = self.reader  # made here, so that the first letter typed does not wait for it
        others = self._others(machine)
        key = self._reckoning_key(machine, others)
        known = self._reckoned.get(machine.id)
        made = known[1] if known and known[0] == key else self._reckon(machine, others)
        return Reckoned(machine.id, key, made, next_questions(made, self.catalogue, 5, cancelled))

    def take(self, made: Reckoned) -> bool:
        """Show what a worker reckoned, unless the count has moved on meanwhile."""
        machine = self.machines.get(made.machine_id)
        if machine is None or self._reckoning_key(machine) != made.key:
            return False
        self._reckoned[machine.id] = (made.key, made.reckoning)
        if machine.id == self.machine_id:
            self.questions, self.asked_so_far = made.questions, 0
            self.asked_of = machine.id
        return True

    def _reckon(self, machine: Machine, others: Others) -> Reckoning:
        """Reckon a count with the user's shelf, prices and purchases, among other machines."""
        from kitreckon.reckoning import reckon_among

        return reckon_among(
            machine,
            self.visit_of(machine.id),
            others,
            self.catalogue,
            self.preferences,
            shelf=self.shelf,
            own_prices=self.own_prices,
            purchases=self.purchases,
        )

    def _others(self, machine: Machine) -> Others:
        """Return what could be bought in place of a machine, with the counts of it."""
        from kitreckon.reckoning.among import rivals_of

        book = ((each, self._timeless(each.id)) for each in self.machines.values())
        return rivals_of(machine, book)

    def _timeless(self, machine_id: str) -> Visit:
        """Return a count without its clock, which decides nothing."""
        return replace(self.visit_of(machine_id), clock_s=0, clock_started_utc=None)

    def once(self, name: str, of: Sequence[Any], also: object, make: Callable[[], T]) -> T:
        """Return what ``make`` gives, the same until one of ``of`` is another object.

        ``also`` is compared by value. Pages ask several times while they are drawn.
        """
        known = self._made.get(name)
        if known is not None:
            before, with_, made = known
            same = len(before) == len(of) and all(a is b for a, b in zip(before, of, strict=True))
            if same and with_ == also:
                return cast("T", made)
        fresh = make()
        self._made[name] = (tuple(of), also, fresh)
        return fresh

    def fit_of(self, piece: Piece) -> Fit | None:
        """Return how a counted piece fits the machine in hand, with what else is here."""
        machine = self.machine
        if machine is None or piece.kind is None:
            return None
        visit = self.visit
        key = (machine, visit.pieces, self.shelf)
        if self._fits is None or self._fits[0] != key:
            from kitreckon.fitting import fit_all

            self._fits = (key, fit_all(visit.pieces, machine, self.catalogue, self.shelf))
        return self._fits[1].get(piece.id)

    def _reckoning_key(self, machine: Machine, others: Others | None = None) -> object:
        return (
            machine,
            self._timeless(machine.id),
            self._others(machine) if others is None else others,
            self.preferences,
            self.shelf,
            self.purchases,
            self.own_prices,
        )

    # Dangers

    @property
    def asks(self) -> tuple[tuple[str, str], ...]:
        """What to ask, the next first: (what it is about, the question). Kept lines come last.

        What the seller tells against the machine comes before all that is reckoned.
        """
        machine = self.machine
        if self.asked_of != self.machine_id and machine is not None and self.outfit(machine):
            return ()  # not reckoned yet: what is most worth asking is not known
        asked = [*self._told_of(), *((q.id, capital(self.say(q.question))) for q in self.questions)]
        kept = [piece for piece in self.visit.pieces if piece.kind is None]
        asked += [
            (f"typed:{piece.id}", self.say(because("screen-what-is", text=piece.text)))
            for piece in kept
        ]
        turn = self.asked_so_far % len(asked) if asked else 0
        return (*asked[turn:], *asked[:turn])

    def _told_of(self) -> list[tuple[str, str]]:
        """Return the faults that are the seller's word, to be looked at before all else."""
        rules = self.catalogue.findings if self.visit.findings else {}
        said = [f for f in self.visit.findings if not f.seen and f.kind in rules]
        said.sort(key=lambda found: rules[found.kind].effect != "walk-away")
        told = [(f.kind, because("screen-ask-said", finding=Term("finding", f.kind))) for f in said]
        return [(f"finding:{kind}", capital(self.say(reason))) for kind, reason in told]

    def grade_of(self, piece: Piece) -> str | None:
        """Return the condition as judged, or the worse one that what was measured sets."""
        kind = self.catalogue.kinds.get(piece.kind or "")
        if kind is None or not piece.readings:
            return piece.condition
        from kitreckon.reckoning.condition import known_grade

        return known_grade(piece, kind)

    def unsafe(self) -> list[str]:
        """Return what must not be used, each with its danger."""
        return [
            f"{self.name(piece.kind)}: {self.danger(piece)}"
            for piece in self.visit.pieces
            if piece.unsafe
        ]

    def walk_away(self) -> list[str]:
        """Return what was found on the machine that ends the deal, as the offer has it."""
        if not self.visit.findings:
            return []
        from kitreckon.reckoning.findings import ends_deal

        rules = self.catalogue.findings
        found = [f for f in self.visit.findings if f.kind in rules]
        ending = [f for f in found if ends_deal(f, rules[f.kind])]
        said = f" ({self.label('walk.said')})"
        return [self.term("finding", f.kind) + ("" if f.seen else said) for f in ending]
