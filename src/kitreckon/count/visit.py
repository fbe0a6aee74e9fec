"""One count of one machine, and the small records that go with it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from kitreckon.quantities import Length, Money, Range

Condition = Literal["new", "excellent", "very-good", "good", "fair", "poor", "scrap"]
CONDITIONS: tuple[Condition, ...] = (
    "new",
    "excellent",
    "very-good",
    "good",
    "fair",
    "poor",
    "scrap",
)
FINDING_LOOK = "finding:"  # with a finding's id, the want of a Look of 0: checked, and not so
Back = Literal["plain", "backplate", "direct"]
Supply = Literal["used", "new-import", "new-name-brand"]


@dataclass(frozen=True, slots=True)
class Reading:
    """A measurement that decides condition: run-out, bell-mouth, play, ... in millimetres."""

    id: str
    value: Length


@dataclass(frozen=True, slots=True)
class Piece:
    """One counted thing that is here, or one that is owned (on the shelf).

    ``kind`` is None for a line kept as typed, to be asked about later. ``condition`` None means
    not judged. ``set_of`` is how many a set should have, ``set_has`` how many are there (None:
    all of them). ``unsafe`` names the danger ("cracked", ...) and is empty when none was seen.
    ``repair`` is what it would cost to put all of the line right, the user's own figure, and
    ``repair_of`` what has to be done; the condition is then that of the piece apart from it.
    ``back`` is how a chuck is held: plain, separate backplate, direct mount. ``floor`` is what
    the seller wants for this piece alone, when he said so. ``his`` is a piece the seller keeps.
    ``seen`` is False for a piece the seller says is there and nobody has looked at yet.
    """

    id: str
    kind: str | None
    text: str = ""
    qty: int = 1
    set_of: int | None = None
    set_has: int | None = None
    size: Length | None = None
    mount: str | None = None
    back: Back | None = None
    condition: Condition | None = None
    parts_missing: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()
    repair: Money | None = None
    repair_of: str = ""
    unsafe: str = ""
    marked_rpm: int | None = None
    body: Literal["cast-iron", "steel"] | None = None
    floor: Money | None = None
    his: bool = False
    seen: bool = True
    tried: bool | None = None  # tried on this machine: went on, did not; None: not tried
    low_height: Length | None = None  # tool posts: lowest and highest holder setting
    high_height: Length | None = None
    photo: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Look:
    """A wanted line of the outfit that was looked for: ``seen`` of them, 0 for none."""

    want: str
    seen: int


@dataclass(frozen=True, slots=True)
class Finding:
    """Something seen on the machine itself: an id of catalogs/findings, and its reading.

    ``seen`` is False for what the seller tells and nobody has looked at yet; ``note`` may then
    hold his words.
    """

    id: str
    kind: str
    value: Length | None = None
    amount: Money | None = None  # the user's own figure, in place of the catalogue's rule
    note: str = ""
    seen: bool = True


@dataclass(frozen=True, slots=True)
class Saying:
    """A line of the bargaining log: who said what, at what price."""

    id: str
    who: Literal["me", "seller"]
    price: Money | None = None
    keeps: tuple[str, ...] = ()  # ids of pieces he keeps at that price
    note: str = ""


@dataclass(frozen=True, slots=True)
class Visit:
    """One count of one machine. Not looked is the absence of a Look: never the same as none."""

    machine_id: str
    pieces: tuple[Piece, ...] = ()
    looks: tuple[Look, ...] = ()
    findings: tuple[Finding, ...] = ()
    sayings: tuple[Saying, ...] = ()
    clock_s: int = 0  # seconds counted by the clock up to its last stop
    clock_started_utc: str | None = None  # ISO 8601 while the clock runs

    def looked(self, want: str) -> Look | None:
        """Return the look at a wanted line, or None when it was not looked at."""
        return next((look for look in self.looks if look.want == want), None)

    @property
    def only_said(self) -> tuple[Piece, ...]:
        """The pieces that are the seller's word: nobody has looked at them yet."""
        return tuple(piece for piece in self.pieces if not piece.seen)


@dataclass(frozen=True, slots=True)
class Purchase:
    """Something bought: closes a gap, and pulls the price table of its own supply."""

    id: str
    kind: str
    supply: Supply
    price: Money
    on_date: str  # ISO 8601 date
    qty: int = 1
    size: Length | None = None
    machine_id: str = ""
    want: str = ""
    note: str = ""

    def is_for(self, machine_id: str) -> bool:
        """Return whether it was bought for a machine; one for none in particular is for any."""
        return self.machine_id in ("", machine_id)


@dataclass(frozen=True, slots=True)
class OwnPrice:
    """The user's own figure for a kind from one supply; it wins over the catalogue's."""

    id: str
    kind: str
    supply: Supply
    price: Range[Money]
    year: int
    size: Length | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Correction:
    """What the user said a text means; it wins the next time it is read. "" means no piece."""

    id: str
    text: str
    kind: str
