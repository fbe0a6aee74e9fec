"""How a report says things: sentences, names, money, sizes, in the user's own words and units."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP

from kitreckon.catalogue.model import Catalogue, Outfit
from kitreckon.catalogue.words import Style, Words
from kitreckon.count import Machine, Piece
from kitreckon.fitting import doubts
from kitreckon.quantities import Length, Money, Range, nominal_length, show_length, show_money
from kitreckon.reasons import Reason, Term
from kitreckon.reports.document import Amount, Caution, Column

# Where a figure comes from is said once, at the end; a note beside each line says what is special.
_SOURCES = ("price-published", "price-estimate")
_ADDRESS = re.compile(
    r"(?:https?://)?\b[\w-]+(?:\.[\w-]+)*\.(?:com|org|net|info|edu|gov|me|uk|de|fr|eu|us|ca|au)\b"
    r"(?:/[\w./?=&%-]*)?(?:,? (?:thread|message|item|issue|section)s? \d+)?"
)
_TAPERED = ("lathe", "mill", "drill")  # sorts of machine whose spindle has a taper to know
_CENTS_BELOW = 20  # an estimate above this has no cents, nor what is told beside it


class Voice:
    """Words and style together: every text of a report comes from here.

    ``outfits`` tell what sort of machine a class is; without them only known facts are shown.
    """

    def __init__(
        self, words: Words, style: Style, outfits: Mapping[str, Outfit] | None = None
    ) -> None:
        self.words = words
        self.style = style
        self.outfits = outfits or {}

    def say(self, sentence: str, /, **values: object) -> str:
        """Return a sentence of catalogs/words by its id."""
        return self.words.say(Reason(sentence, tuple(values.items())), self.style)

    def why(self, reasons: Iterable[Reason]) -> tuple[str, ...]:
        """Return the sentences of some reasons, each once."""
        eased = (_eased(one) for one in reasons)
        return tuple(dict.fromkeys(self.words.say(reason, self.style) for reason in eased))

    def ask(self, question: Reason) -> str:
        """Return a question as it is asked: it starts with a capital."""
        asked = self.words.say(question, self.style)
        return asked[:1].upper() + asked[1:]

    def notes(self, reasons: Iterable[Reason]) -> tuple[str, ...]:
        """Return reasons without those that name the source of a price."""
        return self.why(reason for reason in reasons if reason.id not in _SOURCES)

    def sources(self, reasons: Iterable[Reason]) -> tuple[str, ...]:
        """Return the reasons that name the source of a price, each once."""
        named = self.why(reason for reason in reasons if reason.id in _SOURCES)
        return tuple(dict.fromkeys(without_addresses(source) for source in named))

    def term(self, group: str, term_id: str) -> str:
        """Return the name of a condition, a tier, a class, a supply, ..."""
        return self.words.term(Term(group, term_id), self.style)  # type: ignore[arg-type]

    def name(self, piece: Piece) -> str:
        """Return what a piece is called; a line kept as typed is shown as it was typed."""
        return self.words.name(piece.kind, self.style) if piece.kind else piece.text

    def spelt(self, text: str) -> str:
        """Return a longer text of the catalogue in the user's spelling."""
        return self.words.spelt(text, self.style)

    def kind(self, kind: str) -> str:
        """Return the name of a kind."""
        return self.words.name(kind, self.style)

    def wanted(self, want_id: str, kind: str) -> str:
        """Return the name of a wanted line."""
        return self.words.wanted(want_id, kind, self.style)

    def condition(self, piece: Piece) -> str:
        """Return the state of a piece: its danger, or its grade and what has to be put right."""
        if piece.unsafe:
            return self.say("report-unsafe", danger=piece.unsafe)
        if piece.condition is None:
            return self.broken(piece, self.say("report-not-judged"))
        return self.broken(piece, self.term("condition", piece.condition))

    def broken(self, piece: Piece, state: str) -> str:
        """Return a state, with what has to be put right where something has; never the cost."""
        if not piece.repair:
            return state
        if piece.repair_of:
            return self.say("report-to-put-right-of", state=state, what=piece.repair_of)
        return self.say("report-to-put-right", state=state)

    def size(self, piece: Piece) -> str:
        """Return size and mount: "8in D1-4"."""
        size = self.as_called(piece.size) if piece.size is not None else ""
        return " ".join(part for part in (size, piece.mount or "") if part)

    def length(self, length: Length) -> str:
        """Return a length in the user's unit."""
        return show_length(length, self.style.units)

    def nominal(self, length: Length) -> str:
        """Return a size as it is sold: 200 mm is an 8 in chuck to who counts in inches."""
        return self.length(nominal_length(length, self.style.units))

    def as_called(self, size: Length) -> str:
        """Return the size of a piece as it was typed: a 6 in chuck is no 152.4 mm chuck."""
        if size.unit is None or not size.text:
            return self.length(size)
        return show_length(size, size.unit)

    def count(self, piece: Piece) -> Amount:
        """Return how many there are, for a table."""
        return Amount(str(piece.qty), piece.qty)

    def set_text(self, piece: Piece) -> str:
        """Return what there is of a set: "set of 17, 15 here"; empty for what is no set."""
        if piece.set_of is None:
            return ""
        if piece.set_has is None or piece.set_has == piece.set_of:
            return self.say("report-set", count=piece.set_of)
        return self.say("report-set-short", count=piece.set_of, here=piece.set_has)

    def thing(self, piece: Piece) -> str:
        """Return the piece in one phrase: name, size, mount, what there is of a set."""
        name, size = self.name(piece), self.size(piece)
        if piece.mount and piece.mount in name.split():  # "5C collets, 5C" says it twice
            size = self.as_called(piece.size) if piece.size is not None else ""
        return ", ".join(part for part in (name, size, self.set_text(piece)) if part)

    def span(self, figures: Range[Money]) -> str:
        """Return a range in whole units of money: "120 to 260"."""
        low, high = whole(figures.low), whole(figures.high)
        if low == high:
            return show_money(low)
        return self.say("report-span", low=low, high=high)

    def money(self, money: Money | None) -> str:
        """Return an amount, with its sign, or words for none."""
        return self.say("report-none") if money is None else show_money(money, sign=True)

    def amount(self, money: Money | None) -> Amount:
        """Return an amount for a table."""
        return Amount("", None) if money is None else Amount(show_money(money), money.major)

    def rounded(self, money: Money) -> Amount:
        """Return an amount in whole units for a table: an estimate has no cents."""
        return self.amount(whole(money))

    def percent(self, share: float) -> str:
        """Return a chance; what is not certain never reads as 100 % or as nothing."""
        if 0.995 <= share < 1:
            return self.say("report-over", percent="99%")
        if 0 < share < 0.005:
            return self.say("report-under", percent="1%")
        return f"{share:.0%}"

    def left(self, title: str) -> Column:
        """Return a column of text."""
        return Column(self.say(title))

    def right(self, title: str) -> Column:
        """Return a column of figures."""
        return Column(self.say(title), "right")

    def cautions(self, ids: Iterable[str]) -> tuple[Caution, ...]:
        """Return cautions by id, each once, with their sources."""
        found = []
        for caution_id in dict.fromkeys(ids):
            known = self.words.cautions.get(caution_id)
            text = self.words.caution(caution_id, self.style)
            found.append(Caution(text, without_addresses(known.source) if known else ""))
        return tuple(found)

    def doubts(self, machine: Machine, catalogue: Catalogue) -> tuple[str, ...]:
        """Return what of the facts of a machine cannot all be so."""
        return tuple(self.words.say(each.reason, self.style) for each in doubts(machine, catalogue))

    def machine_facts(self, machine: Machine) -> tuple[tuple[str, str], ...]:
        """Return what is known of the machine, and what is not."""
        unknown = self.say("report-not-known")
        outfit = self.outfits.get(machine.machine_class)
        sort = outfit.sort if outfit else None
        facts = [("report-class", self.term("class", machine.machine_class))]
        for label, length in (
            ("report-swing", machine.swing),
            ("report-between-centres", machine.between_centres),
            ("report-bore", machine.bore),
            ("report-table-width", machine.table_width),
            ("report-table-length", machine.table_length),
        ):
            if length is not None:
                facts.append((label, self.length(length)))
        if machine.nose or sort == "lathe":  # a mill has its taper alone
            facts.append(("report-nose", machine.nose or unknown))
        if machine.spindle_socket or sort in _TAPERED:
            facts.append(("report-spindle-socket", machine.spindle_socket or unknown))
        if machine.tailstock_socket:
            facts.append(("report-tailstock-socket", machine.tailstock_socket))
        if machine.top_speed_rpm is not None:
            facts.append(("report-top-speed", self.say("report-rpm", rpm=machine.top_speed_rpm)))
        if machine.serial_number:
            facts.append(("report-serial-number", machine.serial_number))
        if machine.place:
            facts.append(("report-place", machine.place))
        return tuple((self.say(label), value) for label, value in facts)


def whole(money: Money) -> Money:
    """Return the amount rounded to whole units of its currency.

    >>> whole(Money(12050, "USD")).minor
    12100
    """
    return Money.of(int(money.major.to_integral_value(ROUND_HALF_UP)), money.currency)


def _eased(reason: Reason) -> Reason:
    """Return a reason without cents, where they say nothing beside its largest amount.

    >>> least, most = Money(1492, "USD"), Money(6400, "USD")
    >>> [str(amount) for _, amount in _eased(Reason("x", (("a", least), ("b", most)))).values]
    ['15', '64']
    >>> [str(amount) for _, amount in _eased(Reason("x", (("a", least),))).values]
    ['14.92']
    """
    amounts = [value for _, value in reason.values if isinstance(value, Money)]
    if all(abs(amount.major) < _CENTS_BELOW for amount in amounts):
        return reason
    told = ((name, whole(v) if isinstance(v, Money) else v) for name, v in reason.values)
    return Reason(reason.id, tuple(told))


def without_addresses(source: str) -> str:
    """Return a source as a reader wants it; its address stands in the catalogue's file.

    >>> without_addresses("a-forum.com, thread 38798; common practice")
    'a web page; common practice'
    """
    return _ADDRESS.sub("a web page", source)


def rounded_down(money: Money) -> Money:
    """Return the amount in whole units, never above it, as figures of an offer are shown."""
    return money.down_to_whole()
