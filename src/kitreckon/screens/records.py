"""The records of the book as shown: a change is shown first, stored after the refresh, undone.

Only when the write has returned does it say saved.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Literal, TypeVar

from kitreckon.book import ChangedBehindError, NotConfirmedError
from kitreckon.catalogue.model import Catalogue, Outfit
from kitreckon.count import Machine, OwnPrice, Piece, Preferences, Purchase, Visit
from kitreckon.errors import KitreckonError
from kitreckon.reasons import because
from kitreckon.screens.phrases import Phrases

if TYPE_CHECKING:
    from kitreckon.book import Book

Saved = Literal["saved", "saving", "not-saved"]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Action:
    """Something shown that is not stored yet."""

    label: str
    put: tuple[Any, ...]
    drop: tuple[Any, ...] = ()


@dataclass
class Records(Phrases):
    """The book, the machine in hand, and what is shown of them. ``now`` tells the time."""

    book: Book
    catalogue: Catalogue
    now: Callable[[], datetime] = field(default=lambda: datetime.now(UTC))
    covered: bool = False
    demo: bool = False  # on a copy that is thrown away
    problem: str = ""
    machine_id: str = ""
    saved: Saved = "saved"
    said: str = ""  # what was done last, in words
    _machines: dict[str, Machine] | None = None
    _visits: dict[str, Visit] = field(default_factory=dict)
    _waiting: list[Action] = field(default_factory=list)
    _preferences: Preferences | None = None
    _shelf: tuple[Piece, ...] | None = None
    _draft: dict[str, str] | None = None
    _draft_waits: bool = False

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

    def outfit(self, machine: Machine) -> Outfit | None:
        """Return what a machine of this class should have."""
        return self.catalogue.outfits.get(machine.machine_class)

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
        try:
            changes = [
                *(change for each in action.put for change in self.book.put(each)),
                *(change for each in action.drop for change in self.book.drop(each)),
            ]
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
        return page if page == "machines" else f"{page}/{self.machine_id}"

    def lines_left(self) -> str:
        """Return which lines were left half typed on the pages of the machines, in words."""
        told = []
        for name, text in self.draft.items():
            page, _, machine_id = name.partition("/")
            machine = self.machines.get(machine_id)
            if machine is not None and text.strip():
                where = self.label(f"page.{page}")
                left = because("screen-left-on", page=where, machine=machine.name, text=text)
                told.append(self.say(left))
        return "; ".join(told)

    def keep_draft(self, page: str, text: str) -> None:
        """Remember a half-typed line until the next ``store_draft``."""
        name = self.draft_name(page)
        if self.draft.get(name, "") != text:
            self.draft[name] = text
            self._draft_waits = True

    def store_draft(self) -> None:
        """Write the half-typed lines beside the book, where they changed."""
        if not self._draft_waits:
            return
        self._draft_waits = False
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

    def stop_clock(self) -> None:
        """Stop the clock of the machine in hand: it does not run while the program is closed."""
        if self.visit.clock_started_utc is not None and not self.book.read_only:
            self.do(self.label("did-clock-stopped"), self.clock_turned())

    def stop_clocks_left_running(self) -> None:
        """Stop clocks that a killed program left running, at the last thing that was done."""
        for machine_id in self.machines:
            visit = self.visit_of(machine_id)
            if visit.clock_started_utc is None or self.book.read_only:
                continue
            started = datetime.fromisoformat(visit.clock_started_utc)
            last = max((action.at_utc for action in self.book.history.actions), default="")
            ended = datetime.fromisoformat(last) if last else started
            counted = max(0, int((ended - started).total_seconds()))
            stopped = replace(visit, clock_s=visit.clock_s + counted, clock_started_utc=None)
            self.do(self.label("did-clock-stopped"), stopped)

    def clock_turned(self) -> Visit:
        """Return the visit with its clock started, or stopped when it ran."""
        visit = self.visit
        if visit.clock_started_utc is None:
            return replace(visit, clock_started_utc=self.now().isoformat())
        return replace(visit, clock_s=self.clock_s(), clock_started_utc=None)
