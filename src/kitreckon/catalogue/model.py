"""What the catalogue knows, as frozen values. Nothing here reads a file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from kitreckon.catalogue.words import Words
    from kitreckon.standards import Standards

Tier = Literal["essential", "usual", "handy"]
TIERS: tuple[Tier, ...] = ("essential", "usual", "handy")
SupplyName = Literal["used", "new-import", "new-name-brand"]
NEW_SUPPLIES: tuple[SupplyName, ...] = ("new-import", "new-name-brand")
SUPPLIES: tuple[SupplyName, ...] = ("used", *NEW_SUPPLIES)
Basis = Literal["published", "estimate"]

# Where a kind goes on a machine: the interface that decides whether it fits.
Seat = Literal[
    "spindle-nose",  # chucks, faceplates, backplates
    "spindle-socket",  # what goes into the spindle's taper or through its bore
    "tailstock-socket",
    "chuck-mount",  # drill chuck on its arbor
    "tool-post-seat",  # tool posts on the compound
    "tool-post",  # holders on their post
    "tool-holder",  # shanks held by holder or post
    "bed",  # rests, stops, attachments made for one bed
    "collet-closer",  # collets, held by their adapter or chuck
    "table",  # vises, clamps, rotary tables
    "chuck",  # jaws, ground in the one chuck they belong to
    "machine",  # made for the one machine: gears, guards, spare parts
    "anywhere",  # measuring tools and the like: nothing to fit
]

# What a kind does between the machine and another thing: one that is here costs nothing as an
# adapter, and the first kind of the catalogue that serves as one is what is bought.
Role = Literal[
    "sleeve",  # reduces a taper socket, or lengthens a smaller one
    "arbor",  # carries a drill chuck
    "backplate",  # carries a chuck, its register turned to fit
    "collet-chuck",  # closes collets on the nose or in a socket
    "draw-tube",  # closes collets through the spindle's bore
    "collet-block",  # closes collets on the bench or in a vise
    "cutter-holder",  # holds a plain shank by its diameter
    "quick-change-post",  # takes holders of its series
    "tool-post",  # clamps tools or holders itself
    "clamps",  # goes into the T-slots of a table
    "made-part",  # turned or filed for the purpose: packing, T-nuts
]

# What sort of machine a class is: which places it has, what is asked and taken off.
Sort = Literal["lathe", "mill", "drill", "grinder", "shaper"]


@dataclass(frozen=True, slots=True)
class Place:
    """Where an entry stands in its file; line 0 when it comes from no file."""

    file: str = ""
    line: int = 0
    column: int = 0


@dataclass(frozen=True, slots=True)
class Check:
    """One thing to look at on a piece: what to do, what the limit is, who says so."""

    do: str
    limit: str = ""
    reading: str = ""  # id of the reading it gives: run-out, bell-mouth, play, ...
    fair_over_mm: float | None = None  # a reading above this is fair at best
    poor_over_mm: float | None = None  # above this, poor
    minutes: float = 1.0
    source: str = ""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a kind that may be missing: what that takes off, and whether it still works."""

    id: str
    names: tuple[str, ...]
    takes_off: float  # share of the value that goes with it, 0 to 1
    works_without: bool


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of thing: its names, the trade's words for it, how to know and judge it."""

    id: str
    group: str
    british: tuple[str, ...]  # names; the first is the one shown
    american: tuple[str, ...]
    words: tuple[str, ...] = ()  # further words people use for it
    foreign: tuple[tuple[str, tuple[str, ...]], ...] = ()  # (language, names)
    looks_like: str = ""
    where: str = ""
    measures: str = ""  # what its size measures
    seats: tuple[Seat, ...] = ("anywhere",)
    serves_as: Role | Literal[""] = ""
    needs_drawbar: bool = False  # cutting pulls it out of a socket without one
    bears_extension: bool = False  # still of use so far out; a centre would lose the stroke
    either_end: bool = False  # of a lathe: headstock and tailstock
    collet: bool = False  # closed on work or a shank, whatever closes it
    usual_mount: str = ""  # the one it has where nobody says another: "5C"
    plate: bool = False  # a plate itself: no backplate goes behind it
    self_centring: bool = False
    work_bolted_on: bool = False  # out of balance: turned slowly
    on_arbor: bool = False  # bored: goes on a milling arbor, not into a socket
    in_boring_head: bool = False  # a boring head or a fly cutter holds it on a mill
    overhangs: bool = False  # stands out of its holder as far as it is deep in the work
    vise: bool = False  # its jaw width against what such a table usually carries
    most_of_table: float | None = None  # largest size over the table's width: judgement
    made_for_table: bool = False  # and its screw: only trying it tells
    common: bool = False
    machine_specific: bool = False
    spins: bool = False  # turns with the spindle: speed and cracks matter
    held_by: tuple[str, ...] = ()  # kinds of which one must be there to hold it
    weight_kg: float | None = None  # of the main size
    price_group: str = ""  # key of the share tables
    parts: tuple[Part, ...] = ()
    checks: tuple[Check, ...] = ()
    cautions: tuple[str, ...] = ()  # ids of cautions in catalogs/words
    place: Place = field(default=Place(), compare=False)


@dataclass(frozen=True, slots=True)
class PricePoint:
    """A three-point price in major units of ``currency``; used ones are for good condition."""

    supply: SupplyName
    low: float
    typical: float
    high: float
    year: int
    basis: Basis
    source: str
    size_mm: float | None = None
    note: str = ""
    compare_only: bool = False  # shown beside the table, not reckoned with: other age or make-up
    place: Place = field(default=Place(), compare=False)


@dataclass(frozen=True, slots=True)
class PriceTable:
    """All that is known of what one kind costs."""

    kind: str
    currency: str
    unit: str  # what one price buys: "each", "set of about 17", ...
    unit_count: int  # how many pieces are in that unit
    includes: str
    size_mm: float | None  # the main size
    exponents: tuple[tuple[SupplyName, float], ...]
    points: tuple[PricePoint, ...]
    per_piece: bool = True  # False: a set is bought whole; loose ones are parts of it
    enough: int = 0  # so many loose ones do the work of a set; 0: as many as are in it
    mount_sizes: tuple[tuple[str, float], ...] = ()  # mount -> the size it stands for
    size_of: str = ""  # "swing": the size is a measure of the machine, not of the piece
    bought_with: str = ""  # kind bought beside it to go on a machine: its backplate, its arbor
    holds: tuple[tuple[str, int], ...] = ()  # kinds and counts the price includes
    fitting_hours: tuple[float, float, float] | None = None  # made or fitted to one machine


@dataclass(frozen=True, slots=True)
class SizeRule:
    """The size a want should have: fixed sizes, or a factor on a measure of the machine."""

    text: str = ""
    sizes_mm: tuple[float, ...] = ()
    of: str = ""  # swing, table-width, table, tailstock-taper, ...
    factor: tuple[float, float, float] | None = None
    round_to_mm: tuple[float, ...] = ()
    usual: str = ""


@dataclass(frozen=True, slots=True)
class Otherwise:
    """What a want is where ``when`` is known of machine and buyer; None: as elsewhere."""

    when: tuple[str, ...]
    wanted: bool = True  # False: not wanted there at all
    tier: Tier | None = None
    size: SizeRule | None = None
    chance_here: float | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Want:
    """One line of an outfit. ``any_of`` are the kinds that cover it, the usual one first.

    The first of ``otherwise`` that holds on a machine is laid over it: one thing is one line,
    whether or not the fact that its weight hangs on is known.
    """

    id: str
    any_of: tuple[str, ...]
    tier: Tier
    qty: int
    label: str = ""  # where the kind is "other": what is wanted
    size: SizeRule = SizeRule()
    when: tuple[str, ...] = ()  # features that must be true; "no-x": must be false
    otherwise: tuple[Otherwise, ...] = ()
    needs: tuple[str, ...] = ()  # wants without which this one is of no use
    chance_here: float = 0.5  # judgement: that it comes with such a machine
    lists: int = 0
    sources: tuple[str, ...] = ()
    note: str = ""
    place: Place = field(default=Place(), compare=False)

    @property
    def kind(self) -> str:
        """The usual kind for this line."""
        return self.any_of[0]


@dataclass(frozen=True, slots=True)
class Outfit:
    """What a well-tooled machine of one class should have."""

    machine_class: str
    sort: Sort
    british: str
    american: str
    measure: str  # swing, table-width or ""
    range_mm: tuple[float, float] | None
    wants: tuple[Want, ...]
    features: tuple[str, ...] = ()  # yes-or-no facts asked of such a machine

    def want(self, want_id: str) -> Want | None:
        """Return the line with that id."""
        return next((want for want in self.wants if want.id == want_id), None)


@dataclass(frozen=True, slots=True)
class Telling:
    """Trade words in which sellers tell a finding: a part, and what is wrong with it.

    Without a part it is told of the machine as a whole. ``ask`` where the words may as well mean
    something else.
    """

    fault: tuple[str, ...]
    of: tuple[str, ...] = ()
    ask: bool = False


@dataclass(frozen=True, slots=True)
class FindingRule:
    """What a finding on the machine does to the price: common practice, or judgement."""

    id: str
    british: str
    american: str
    cause: str  # findings of one cause are counted once, at the largest
    effect: Literal["factor", "amount", "walk-away", "note"]
    value: float = 0.0  # factor on the base price, or amount in the catalogue's currency
    currency: str = "USD"
    year: int = 2024  # of the amount
    classes: tuple[str, ...] = ()  # empty: any
    look: str = ""  # how to find out
    question: str = ""  # as asked: "Has it run under power?"
    minutes: float = 2.0
    chance: float = 0.1  # judgement: that it is so on such a machine
    reading: str = ""  # what is measured, when it is measured
    limit_mm: float | None = None
    rules_out: tuple[str, ...] = ()  # findings that are not so when this one is not
    cautions: tuple[str, ...] = ()
    source: str = ""
    feature: str = ""  # yes-or-no fact of the machine that says the same
    spared_by: str = ""  # yes-or-no fact of the buyer with which it costs him nothing
    bought_for: str = ""  # kind he has to buy for it without that
    told: tuple[Telling, ...] = ()  # how an advert says it
    danger: bool = False  # can hurt someone: told however it is made light of


@dataclass(frozen=True, slots=True)
class Shares:
    """Share of the used good price by price group and condition; both are 1 at good."""

    resale: Mapping[str, Mapping[str, float]]  # group -> condition -> share; group "" is default
    service: Mapping[str, Mapping[str, float]]
    source: str = ""
    currency: str = "USD"
    year: int = 2024  # of the amounts
    postage: tuple[tuple[float, float], ...] = ()  # (up to kg, amount), the lightest first
    packing: float = 0.0
    hourly: float = 0.0
    fit_chance: Mapping[str, float] = field(default_factory=dict)  # seat -> chance


@dataclass(frozen=True, slots=True)
class Chances:
    """Judgement: how likely each condition is of a piece nobody judged yet."""

    conditions: Mapping[str, Mapping[str, float]]  # price group -> condition -> chance
    source: str = ""


@dataclass(frozen=True, slots=True)
class Judgement:
    """Figures of a reckoning that nobody published; what each means stands beside it in its file.

    Shares lie between 0 and 1; a reach is a ratio of sizes above 1.
    """

    opening_under_limit: float  # share of the limit
    price_size_reach: float
    size_near: float
    size_useless_at: float
    set_least: float  # share of a set
    set_bare_least: float  # share of its price
    purchase_weight: float  # purchases
    used_service_least: float  # share of a new one's
    a_little_more: float  # share of the budget
    not_shown_at_work: float  # share of the machine's price
    hard_to_get_hours: float  # of fitting
    book_years: float  # life of a tool in the books
    book_salvage: float  # share of what was paid that is left after it
    raises: int  # from the opening to the limit
    worth_points: int  # of a missing want, and of each list that names it
    fit_untried: float  # chance
    weight_exponent: float  # of size
    weight_size_reach: float
    minutes: Mapping[str, float]  # id of a question -> minutes to answer it; "" for any other

    def minutes_for(self, question: str) -> float:
        """Return how many minutes it takes to find the answer to a question, by its id."""
        return self.minutes.get(question, self.minutes[""])


class Catalogue:
    """The catalogue's subjects, each loaded when it is first asked for.

    ``source`` maps a subject's name to its value; catalogue.load makes one that reads files,
    a test passes a plain dictionary's ``__getitem__``.
    """

    kinds: Mapping[str, Kind]  # by id, in the order of the files
    prices: Mapping[str, PriceTable]  # by kind
    outfits: Mapping[str, Outfit]  # by machine class
    findings: Mapping[str, FindingRule]  # by id
    shares: Shares
    chances: Chances
    judgement: Judgement
    standards: Standards  # tapers, noses, threads, collets
    words: Words  # sentences, labels, cautions and names
    rules: Mapping[str, Any]  # the reading rules, as plain data

    def __init__(self, source: Callable[[str], Any]) -> None:
        self._source = source

    def sort_of(self, machine_class: str) -> Sort | None:
        """Return what sort of machine a class is; None for a class that no outfit tells of."""
        outfit = self.outfits.get(machine_class) if machine_class else None
        return outfit.sort if outfit else None

    def __getattr__(self, subject: str) -> Any:
        if subject.startswith("_") or subject not in SUBJECTS:
            raise AttributeError(subject)
        value = self._source(subject)
        setattr(self, subject, value)
        return value


SUBJECTS = tuple(Catalogue.__annotations__)
