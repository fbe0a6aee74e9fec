"""What all pages share: the book, the catalogue, the machine in hand, and how things are said.

A change is shown first and stored after the next refresh; only then does it say saved.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast

from kitreckon.book import ChangedBehindError, NotConfirmedError
from kitreckon.catalogue.model import Catalogue, Outfit, Tier
from kitreckon.catalogue.words import Style
from kitreckon.count import Machine, OwnPrice, Piece, Preferences, Purchase, Visit
from kitreckon.errors import KitreckonError
from kitreckon.quantities import Length, Money, Range
from kitreckon.quantities import show_length as length_text
from kitreckon.quantities import show_money as money_text
from kitreckon.reasons import Reason, Term, because

if TYPE_CHECKING:
    from kitreckon.book import Book
    from kitreckon.fitting.model import Fit
    from kitreckon.reading import Reader
    from kitreckon.reckoning.model import Question, Reckoning
    from kitreckon.screens.rows import CountRow

Saved = Literal["saved", "saving", "not-saved"]
COVERED = "•••"
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Action:
    """Something shown that is not stored yet."""

    label: str
    put: tuple[Any, ...]
    drop: tuple[Any, ...] = ()


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A reckoning with the questions it raises, and the state of the count it belongs to."""

    machine_id: str
    key: object
    reckoning: Reckoning
    questions: tuple[Question, ...]


@dataclass
class Session:
    """The book and the machine in hand. ``now`` tells the time; tests pass a fixed one."""

    book: Book
    catalogue: Catalogue
    now: Callable[[], datetime] = field(default=lambda: datetime.now(UTC))
    covered: bool = False
    demo: bool = False  # on a copy that is thrown away
    problem: str = ""
    machine_id: str = ""
    in_hand: dict[str, str] = field(default_factory=dict)  # page -> row
    left_out: set[str] = field(default_factory=set)  # machines not compared
    tier: Tier = "usual"  # machines are compared equipped to this
    budget: Money | None = None  # to buy for
    measured: dict[str, Any] = field(default_factory=dict)  # on the identify page
    ask_first: bool = False  # the count opens at what is best asked next
    advert: str = ""  # a pasted advert on its way to its page
    questions: tuple[Question, ...] = ()
    saved: Saved = "saved"
    said: str = ""  # what was done last, in words
    _machines: dict[str, Machine] | None = None
    _visits: dict[str, Visit] = field(default_factory=dict)
    _waiting: list[Action] = field(default_factory=list)
    _reckoned: dict[str, tuple[object, Reckoning]] = field(default_factory=dict)
    _reader: tuple[object, Reader] | None = None
    _counted: tuple[Machine, Visit, list[CountRow]] | None = None
    _made: dict[str, tuple[tuple[Any, ...], object, Any]] = field(default_factory=dict)
    _fits: tuple[object, Mapping[str, Fit]] | None = None
    _preferences: Preferences | None = None
    _shelf: tuple[Piece, ...] | None = None
    _draft: dict[str, str] | None = None

    # What is in hand

    @property
    def machines(self) -> dict[str, Machine]:
        """Every machine of the book by id, as shown (perhaps not stored yet)."""
        if self._machines is None:
            self._machines = {machine.id: machine for machine in self.book.machines()}
        return self._machines

    @property
    def machine(self) -> Machine | None:
        """The machine in hand."""
        if self.machine_id not in self.machines:
            self.machine_id = next(iter(self.machines), "")
        return self.machines.get(self.machine_id)

    @property
    def visit(self) -> Visit:
        """The count of the machine in hand."""
        return self.visit_of(self.machine_id)

    def visit_of(self, machine_id: str) -> Visit:
        """Return the count of a machine, an empty one where nothing was counted."""
        if machine_id not in self._visits:
            self._visits[machine_id] = self.book.visit(machine_id)
        return self._visits[machine_id]

    @property
    def preferences(self) -> Preferences:
        """The user's settings."""
        if self._preferences is None:
            self._preferences = self.book.preferences()
        return self._preferences

    @property
    def shelf(self) -> tuple[Piece, ...]:
        """What the user owns already."""
        if self._shelf is None:
            self._shelf = tuple(self.book.shelf())
        return self._shelf

    def counted(self) -> list[CountRow]:
        """Return the rows of the count in hand; the same ones until something changes."""
        from kitreckon.screens.rows import count_rows  # reckoning is read when first needed

        machine, visit = self.machine, self.visit
        if machine is None:
            return []
        if (
            self._counted is None
            or self._counted[0] is not machine
            or self._counted[1] is not visit
        ):
            self._counted = (machine, visit, count_rows(machine, self.outfit(machine), visit))
        return self._counted[2]

    @property
    def purchases(self) -> tuple[Purchase, ...]:
        """What was bought, with what waits to be stored."""
        return self._with_waiting(self.book.purchases(), Purchase)

    @property
    def own_prices(self) -> tuple[OwnPrice, ...]:
        """The user's own prices, with what waits to be stored."""
        return self._with_waiting(self.book.own_prices(), OwnPrice)

    def _with_waiting(self, stored: Sequence[T], sort: type[T]) -> tuple[T, ...]:
        known: dict[str, Any] = {each.id: each for each in stored}  # type: ignore[attr-defined]
        for action in self._waiting:
            known |= {each.id: each for each in action.put if isinstance(each, sort)}  # type: ignore[attr-defined]
            for each in action.drop:
                if isinstance(each, sort):
                    known.pop(each.id, None)  # type: ignore[attr-defined]
        return tuple(known.values())

    def takers_of(self, piece: Piece) -> list[str]:
        """Return the names of the machines of the book that take a piece."""
        if piece.kind is None:
            return []
        from kitreckon.fitting import which_takes

        tried = which_takes(piece, tuple(self.machines.values()), self.catalogue)
        return [machine.name for machine, fit in tried if fit.verdict in ("fits", "fits-with")]

    def outfit(self, machine: Machine) -> Outfit | None:
        """Return what a machine of this class should have."""
        return self.catalogue.outfits.get(machine.machine_class)

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
        """Return the reckoning of a machine's count; the same one until something changes."""
        machine = self.machines.get(machine_id or self.machine_id)
        if machine is None:
            return None
        if machine.machine_class not in self.catalogue.outfits:
            return None
        key = self._reckoning_key(machine)
        known = self._reckoned.get(machine.id)
        if known is not None and known[0] == key:
            return known[1]
        made = self.reckon(machine, self.visit_of(machine.id))
        self._reckoned[machine.id] = (key, made)
        return made

    def reckoned_anew(self, cancelled: Callable[[], bool]) -> Reckoned | None:
        """Reckon the machine in hand and what to ask next; for a worker, shown by ``take``."""
        machine = self.machine
        if machine is None or machine.machine_class not in self.catalogue.outfits:
            return None
        from kitreckon.reckoning.questions import next_questions

        _ = self.reader  # made here, so that the first letter typed does not wait for it
        key = self._reckoning_key(machine)
        known = self._reckoned.get(machine.id)
        made = known[1] if known and known[0] == key else self.reckon(machine, self.visit)
        return Reckoned(machine.id, key, made, next_questions(made, self.catalogue, 5, cancelled))

    def take(self, made: Reckoned) -> bool:
        """Show what a worker reckoned, unless the count has moved on meanwhile."""
        machine = self.machines.get(made.machine_id)
        if machine is None or self._reckoning_key(machine) != made.key:
            return False
        self._reckoned[machine.id] = (made.key, made.reckoning)
        if machine.id == self.machine_id:
            self.questions = made.questions
        return True

    def reckoning_known(self) -> Reckoning | None:
        """Return the last reckoning made of the machine in hand, perhaps of a moment ago."""
        known = self._reckoned.get(self.machine_id)
        return known[1] if known else None

    def reckon(self, machine: Machine, visit: Visit) -> Reckoning:
        """Reckon a visit with the user's shelf, prices and purchases."""
        from kitreckon.reckoning import reckon

        return reckon(
            machine,
            visit,
            self.catalogue,
            self.preferences,
            shelf=self.shelf,
            own_prices=self.own_prices,
            purchases=self.purchases,
        )

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

    def _reckoning_key(self, machine: Machine) -> object:
        visit = self.visit_of(machine.id)
        timeless = replace(visit, clock_s=0, clock_started_utc=None)
        return (machine, timeless, self.preferences, self.shelf, self.book.generation)

    # Changing: shown at once, stored after the refresh

    def new_id(self, prefix: str = "piece") -> str:
        """Return an id never used in this book."""
        return self.book.next_id(prefix)

    def do(self, label: str, *objects: Any, drop: Sequence[Any] = ()) -> None:
        """Show a change; it is stored by the next ``store``. A piece goes on the shelf.

        Where nothing can be saved, nothing is changed: that is said instead.
        """
        self.problem = self.book.read_only and f"{self.label('cannot-save')}: {self.book.read_only}"
        if self.problem:
            return
        for each in objects:
            self._show(each)
        for each in drop:
            self._hide(each)
        self._waiting.append(Action(label, tuple(objects), tuple(drop)))
        self.saved = "saving"

    def _show(self, each: Any) -> None:
        match each:
            case Machine():
                self.machines[each.id] = each
            case Visit():
                self._visits[each.machine_id] = each
            case Preferences():
                self._preferences = each
                self._reckoned.clear()
            case Piece():
                known = {piece.id: piece for piece in self.shelf} | {each.id: each}
                self._shelf = tuple(known.values())

    def _hide(self, each: Any) -> None:
        match each:
            case Machine():
                self.machines.pop(each.id, None)
                self._visits.pop(each.id, None)
            case Piece():
                self._shelf = tuple(piece for piece in self.shelf if piece.id != each.id)

    def store(self) -> bool:
        """Write what is shown but not stored; return whether there was anything to write."""
        if not self._waiting:
            return False
        while self._waiting:
            if not self._store_one(self._waiting[0]):
                break
            self._waiting.pop(0)
        else:
            self.saved = "saved"
        return True

    def _store_one(self, action: Action) -> bool:
        changes = [
            *(change for each in action.put for change in self.book.put(each)),
            *(change for each in action.drop for change in self.book.drop(each)),
        ]
        try:
            self.book.commit(action.label, changes)
        except (NotConfirmedError, ChangedBehindError) as error:
            # the book holds the change in memory: to commit it again would change nothing
            self._waiting.pop(0)
            self.saved, self.problem = "not-saved", str(error)
            return False
        except KitreckonError as error:
            self.saved, self.problem = "not-saved", str(error)
            return False
        return True

    @property
    def saved_word(self) -> str:
        """The word for whether what is shown is on disk."""
        return "read-only" if self.book.read_only and self.saved == "saved" else self.saved

    @property
    def unsaved(self) -> bool:
        """Whether something shown could not be stored."""
        return bool(self._waiting) or self.saved == "not-saved"

    def take_back(self) -> str:
        """Undo the last action; return its label, empty when there is none."""
        return self._turn(self.book.undo, "screen-taken-back", "nothing-to-take-back")

    def do_again(self) -> str:
        """Redo what was taken back; return its label, empty when there is none."""
        return self._turn(self.book.redo, "screen-done-again", "nothing-to-do-again")

    def _turn(self, turn: Callable[[], Any], done: str, nothing: str) -> str:
        if self._waiting:  # what could not be stored is the last thing done
            action = self._waiting.pop()
            self.saved = "not-saved" if self._waiting else "saved"
            self.forget()
            self.said = self.say(because(done, what=action.label))
            return action.label
        try:
            turned = turn()
        except KitreckonError as error:
            self.saved, self.problem = "not-saved", str(error)
            return ""
        self.forget()
        if turned is None:
            self.said = self.label(nothing)
            return ""
        self.said = self.say(because(done, what=turned.label))
        return str(turned.label)

    def given_up(self) -> None:
        """Give up what could not be stored: the book was read from the disk again."""
        self._waiting.clear()
        self.saved = "saved"

    def forget(self) -> None:
        """Read everything from the book again; show again what waits to be stored."""
        self._machines, self._preferences, self._shelf = None, None, None
        self._visits.clear()
        for action in self._waiting:
            for each in action.put:
                self._show(each)
            for each in action.drop:
                self._hide(each)

    # Drafts

    @property
    def draft(self) -> dict[str, str]:
        """Half-typed lines by page and machine."""
        if self._draft is None:
            self._draft = dict(self.book.draft.read())
        return self._draft

    def draft_name(self, page: str) -> str:
        """Return the name a page's draft is kept under: a count's line belongs to its machine."""
        return f"{page}/{self.machine_id}" if self.machine_id else page

    def store_draft(self) -> None:
        """Write the half-typed lines beside the book."""
        kept = {name: text for name, text in self.draft.items() if text.strip()}
        try:
            if kept:
                self.book.draft.write(kept)
            else:
                self.book.draft.clear()
        except KitreckonError as error:
            self.problem = "" if self.book.read_only else str(error)

    # The clock

    def clock_s(self) -> int:
        """Return the seconds counted so far."""
        visit = self.visit
        return visit.clock_s + self._running_s(visit)

    def _running_s(self, visit: Visit) -> int:
        if visit.clock_started_utc is None:
            return 0
        started = datetime.fromisoformat(visit.clock_started_utc)
        return max(0, int((self.now() - started).total_seconds()))

    def clock_turned(self) -> Visit:
        """Return the visit with its clock started, or stopped when it ran."""
        visit = self.visit
        if visit.clock_started_utc is None:
            return replace(visit, clock_started_utc=self.now().isoformat())
        return replace(visit, clock_s=self.clock_s(), clock_started_utc=None)

    # Saying

    @property
    def style(self) -> Style:
        """The user's units and words."""
        return Style.of(self.preferences)

    def label(self, label_id: str) -> str:
        """Return a label in the user's words."""
        return self.catalogue.words.label(f"screen.{label_id}", self.style)

    def term(self, group: Any, term_id: str) -> str:
        """Return the name of a condition, a class, a tier, ..."""
        return self.catalogue.words.term(Term(group, term_id), self.style)

    def name(self, kind: str | None) -> str:
        """Return the name of a kind."""
        return self.catalogue.words.name(kind, self.style)

    def say(self, reason: Reason) -> str:
        """Return a reason's sentence; money in it is covered while money is covered."""
        return self.catalogue.words.say(_hidden(reason) if self.covered else reason, self.style)

    def caution(self, caution_id: str) -> str:
        """Return a caution."""
        return self.catalogue.words.caution(caution_id, self.style)

    def length(self, length: Length | None) -> str:
        """Return a length as typed, or in the user's units."""
        return length_text(length, self.style.units) if length is not None else ""

    def length_mm(self, size_mm: float) -> str:
        """Return a length in mm in the user's units."""
        return self.length(Length.of_mm(size_mm))

    def asked(self, machine: Machine) -> str:
        """Return the seller's own price: never covered, he knows it."""
        return money_text(machine.asking) if machine.asking else ""

    def money(self, money: Money | None) -> str:
        """Return one of our own figures, covered while money is covered."""
        if money is None:
            return "-"
        return COVERED if self.covered else money_text(money)

    def range(self, figures: Range[Money] | None) -> str:
        """Return low, typical and high, covered while money is covered."""
        if figures is None:
            return "-"
        if self.covered:
            return COVERED
        return " / ".join(money_text(each) for each in figures)

    # Dangers

    def unsafe(self) -> list[str]:
        """Return what must not be used, each with its danger."""
        return [
            f"{self.name(piece.kind)}: {self.danger(piece)}"
            for piece in self.visit.pieces
            if piece.unsafe
        ]

    def danger(self, piece: Piece) -> str:
        """Return the danger seen on a piece, with what follows from it."""
        return self.say(because("screen-unsafe-piece", danger=piece.unsafe))

    def walk_away(self) -> list[str]:
        """Return what was found on the machine that ends the deal."""
        rules = self.catalogue.findings
        found = [f for f in self.visit.findings if f.kind in rules]
        return [self.term("finding", f.kind) for f in found if rules[f.kind].effect == "walk-away"]


def _hidden(value: Any) -> Any:
    """Return a reason's value with every sum of money in it covered."""
    match value:
        case Reason():
            return Reason(value.id, tuple((name, _hidden(each)) for name, each in value.values))
        case Money():
            return COVERED
        case Range():
            return COVERED if isinstance(value.low, Money) else value
        case tuple():
            return tuple(_hidden(each) for each in value)
        case _:
            return value
