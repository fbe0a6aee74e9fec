"""The shapes of a count sheet's fields: one declaration reads, checks and gives the schema."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kitreckon.book.sheet_values import Grade, Line, Measure, Mount, Price
from kitreckon.catalogue.model import SUPPLIES, Catalogue
from kitreckon.catalogue.shapes import (
    At,
    Either,
    Field,
    ListOf,
    MapOf,
    Number,
    Record,
    Text,
    Word,
    YesNo,
)
from kitreckon.catalogue.yaml_text import Mapping, Node
from kitreckon.count import (
    Correction,
    ExtraCost,
    Finding,
    Machine,
    OwnPrice,
    Piece,
    Preferences,
    Purchase,
    Reading,
    Saying,
)
from kitreckon.quantities import (
    Length,
    Money,
    QuantityError,
    Range,
    read_money,
)

NOTE = Text()


def settings_shape() -> Record:
    """Return the shape of a sheet's settings; the currency is read before any price."""
    share = Field(Number(0, 1))
    currency = Field(Text("[A-Z]{3}", "USD"), about="three letters, as USD, GBP, EUR")
    fields: dict[str, Field] = {
        "currency": currency,
        "units": Field(Word(("in", "mm")), about="units to show"),
        "words": Field(Word(("british", "american")), about="which words to show"),
        "language": Field(Text("[a-z]{2}", "en")),
        "three_phase_supply": Field(Word(("unknown", "yes", "no")), about="whether you have one"),
        "supply": Field(Word(SUPPLIES), about="where a replacement comes from"),
        "rate": Field(Number(0, 1e6), about="of your currency, for one of the catalogue's"),
        "index": Field(Number(0, 1e3), about="prices now, over those of the catalogue's year"),
        "year_indexes": Field(MapOf(Number(0, 1e6)), about="year: price level"),
        "theme": Field(Word(("dark", "light", "plain"))),
        "ascii_only": Field(YesNo()),
        "hours": Field(Number(0, 1000), about="of work for one sale"),
        "sd_diameter_mm": Field(Number(0, 10), about="one standard deviation of a diameter"),
        "sd_length_mm": Field(Number(0, 100), about="one standard deviation of a length"),
    }
    for name in (
        "tax",
        "chance_essential",
        "chance_usual",
        "chance_handy",
        "power",
        "lot_share",
        "rank_correlation",
        "commission",
    ):
        fields[name] = share
    for name in MONEY_SETTINGS:
        fields[name] = Field(Text())  # read as money once the currency is known
    return Record(fields, build=_preferences, about="figures of judgement you may overrule")


MONEY_SETTINGS = (
    "freight",
    "commission_cap",
    "postage_charged",
    "postage_paid",
    "packing",
    "hourly",
)


def _preferences(**values: Any) -> Preferences:
    currency = values.get("currency", Preferences().currency)
    for name in MONEY_SETTINGS:
        if name in values:
            values[name] = _price(values[name], currency)
    if "year_indexes" in values:
        years = values["year_indexes"]
        if not all(len(year) == 4 and year.isdecimal() for year in years):
            raise ValueError("year_indexes takes years, as 2026: 1.08")
        values["year_indexes"] = tuple((int(year), level) for year, level in years.items())
    return Preferences(**values)


def _price(typed: str, currency: str) -> Money:
    try:
        return read_money(typed, currency)
    except QuantityError as error:
        raise ValueError(str(error)) from error


def sheet_shape(catalogue: Catalogue, currency: str) -> Record:
    """Return the shape of a whole sheet for one catalogue, its prices in one currency."""
    price = Price(currency)
    piece = piece_shape(catalogue, price)
    fields = {
        "format": Field(Word(("1",)), needed=True, about="format: 1"),
        "subject": Field(Word(("count",)), needed=True, about="subject: count"),
        "settings": Field(settings_shape()),
        "machine": Field(machine_shape(catalogue, price), needed=True),
        "pieces": Field(ListOf(Either(Line(), piece)), about="what is here"),
        "looks": Field(
            MapOf(Number(0, 9999, whole=True)),
            about="line of the outfit: how many were seen, 0 for none; what nobody looked for "
            "stays out",
        ),
        "findings": Field(ListOf(finding_shape(catalogue, price)), about="seen on the machine"),
        "sayings": Field(ListOf(saying_shape(price)), about="who said what, at what price"),
        "clock_s": Field(Number(0, 1e7, whole=True), about="seconds the count took so far"),
        "clock_started_utc": Field(Text(), about="when the clock started, while it runs"),
        "shelf": Field(ListOf(Either(Line(), piece)), about="what you own already"),
        "own_prices": Field(ListOf(own_price_shape(catalogue, price))),
        "purchases": Field(ListOf(purchase_shape(catalogue, price))),
        "corrections": Field(ListOf(correction_shape())),
    }
    return Record(fields)


def machine_shape(catalogue: Catalogue, price: Price) -> Record:
    """Return the shape of the machine; every fact left out is not known."""
    length = Field(Measure())
    mount = Field(Mount())
    fields = {
        "id": Field(Text("[A-Za-z0-9_.-]{1,60}", "lathe-1")),
        "name": Field(Text(), needed=True, about="what you call it"),
        "class": Field(Word(tuple(catalogue.outfits)), needed=True, about="the class it is of"),
        "nose": mount,
        "spindle_socket": mount,
        "tailstock_socket": mount,
        "bore": length,
        "swing": Field(Measure(), about="diameter over the bed, not the centre height"),
        "post_height": Field(Measure(), about="centre height above the top of the compound"),
        "between_centres": length,
        "swing_over_cross_slide": length,
        "nose_register": length,
        "nose_thread_form": Field(Word(("60", "55")), about="degrees of a screwed nose's thread"),
        "table_width": length,
        "table_length": length,
        "table_slot": length,
        "top_speed_rpm": Field(Number(0, 100_000, whole=True)),
        "features": Field(MapOf(YesNo()), about="gearbox: yes, three-phase: no, ..."),
        "asking": Field(price, about="what the seller asks, with the tooling"),
        "bare_price": Field(
            range_shape(price), about="what such a machine sells for without its tooling"
        ),
        "parts_value": Field(price, about="what it would fetch as parts"),
        "extra_costs": Field(ListOf(Record(_extra_cost_fields(price), build=ExtraCost))),
        "status": Field(Word(("for-sale", "owned", "sold"))),
        "serial_number": Field(Text()),
        "seller": Field(Text()),
        "place": Field(Text()),
        "note": _note(),
    }
    return Record(fields, build=_machine)


def _extra_cost_fields(price: Price) -> dict[str, Field]:
    return {"label": Field(Text(), needed=True), "amount": Field(price, needed=True)}


def _note() -> Field:
    return Field(ListOf(NOTE), about="a line, or a list of lines")


def _machine(**values: Any) -> Machine:
    _join_note(values)
    values["machine_class"] = values.pop("class")
    if "features" in values:
        values["features"] = tuple(values["features"].items())
    values.setdefault("id", "")
    return Machine(**values)


def _join_note(values: dict[str, Any]) -> None:
    if "note" in values:
        values["note"] = "\n".join(values["note"])


def range_shape(price: Price) -> Record:
    """Return the shape of low, typical and high."""
    fields = {name: Field(price, needed=True) for name in ("low", "typical", "high")}
    return Record(fields, build=_range)


def _range(low: Money, typical: Money, high: Money) -> Range[Money]:
    try:
        return Range(low, typical, high)
    except QuantityError as error:
        raise ValueError(str(error)) from error


@dataclass(frozen=True, slots=True)
class Named:
    """A piece that says what it is: by kind, or by the text somebody typed."""

    of: Record

    def read(self, node: Node, at: At) -> Any:
        """Return the Piece."""
        if isinstance(node, Mapping) and not {"kind", "text"} & set(node.entries):
            return at.wrong(node, "neither kind nor text", "say what it is: kind: chuck-3-jaw")
        return self.of.read(node, at)

    def json_schema(self) -> dict[str, Any]:
        """Return the record's schema with the two alternatives."""
        alternatives = [{"required": ["kind"]}, {"required": ["text"]}]
        return {**self.of.json_schema(), "anyOf": alternatives}


def piece_shape(catalogue: Catalogue, price: Price) -> Named:
    """Return the shape of one counted piece."""
    count = Field(Number(0, 9999, whole=True))
    fields = {
        "id": Field(Text("[A-Za-z0-9_.-]{1,60}", "p1")),
        "kind": Field(Word(tuple(catalogue.kinds)), about="id of a kind of the catalogue"),
        "text": Field(Text(), about="as it was typed"),
        "qty": count,
        "set_of": Field(Number(0, 9999, whole=True), about="how many the set should have"),
        "set_has": Field(Number(0, 9999, whole=True), about="how many of the set are there"),
        "size": Field(Measure(unit_needed=False)),
        "mount": Field(Mount()),
        "back": Field(Word(("plain", "backplate", "direct")), about="how a chuck is held"),
        "condition": Field(Grade(), about="leave out when not judged"),
        "parts_missing": Field(ListOf(Text())),
        "readings": Field(MapOf(Measure()), about="run-out: 0.004in"),
        "repair": Field(price, about="your figure for putting all of it right"),
        "repair_of": Field(Text(), about="what has to be done: new jaw screw"),
        "unsafe": Field(Text(), about="the danger: cracked, ..."),
        "marked_rpm": Field(Number(0, 200_000, whole=True)),
        "body": Field(Word(("cast-iron", "steel"))),
        "floor": Field(price, about="what the seller wants for it alone"),
        "his": Field(YesNo(), about="the seller keeps it"),
        "seen": Field(YesNo(), about="no: the seller says it is there, nobody has looked"),
        "tried": Field(YesNo(), about="tried on this machine: did it go on?"),
        "low_height": Field(Measure()),
        "high_height": Field(Measure()),
        "photo": Field(Text()),
        "note": _note(),
    }
    return Named(Record(fields, build=_piece))


def _piece(**values: Any) -> Piece:
    _join_note(values)
    if "readings" in values:
        readings: dict[str, Length | None] = values["readings"]
        values["readings"] = tuple(
            Reading(name, value) for name, value in readings.items() if value is not None
        )
    values.setdefault("kind", None)
    values.setdefault("id", "")
    return Piece(**values)


def finding_shape(catalogue: Catalogue, price: Price) -> Record:
    """Return the shape of one finding on the machine."""
    fields = {
        "id": Field(Text()),
        "kind": Field(Word(tuple(catalogue.findings)), needed=True),
        "value": Field(Measure(), about="what was measured"),
        "amount": Field(price, about="your own figure, in place of the rule's"),
        "note": _note(),
        "seen": Field(YesNo(), about="no: the seller tells it, nobody has looked"),
    }
    return Record(fields, build=_builder(Finding))


def saying_shape(price: Price) -> Record:
    """Return the shape of one line of the bargaining log."""
    fields = {
        "id": Field(Text()),
        "who": Field(Word(("me", "seller")), needed=True),
        "price": Field(price),
        "keeps": Field(ListOf(Text()), about="ids of pieces he keeps at that price"),
        "note": _note(),
    }
    return Record(fields, build=_builder(Saying))


def own_price_shape(catalogue: Catalogue, price: Price) -> Record:
    """Return the shape of the user's own figure for a kind."""
    year = Field(Number(1900, 2200, whole=True), needed=True)
    figure = Field(range_shape(price), needed=True, about="low, typical and high")
    return Record(_of_a_supply(catalogue, price=figure, year=year), build=_builder(OwnPrice))


def purchase_shape(catalogue: Catalogue, price: Price) -> Record:
    """Return the shape of something bought."""
    fields = _of_a_supply(
        catalogue,
        price=Field(price, needed=True),
        on_date=Field(Text(r"\d{4}-\d{2}-\d{2}", "2026-04-18"), needed=True),
        qty=Field(Number(1, 9999, whole=True)),
        machine_id=Field(Text()),
        want=Field(Text()),
    )
    return Record(fields, build=_builder(Purchase))


def _of_a_supply(catalogue: Catalogue, **more: Field) -> dict[str, Field]:
    """Return the fields of a kind from one supply, with what else is said of it."""
    return {
        "id": Field(Text()),
        "kind": Field(Word(tuple(catalogue.kinds)), needed=True),
        "supply": Field(Word(SUPPLIES), needed=True),
        "size": Field(Measure()),
        **more,
        "note": _note(),
    }


def correction_shape() -> Record:
    """Return the shape of what the user said a text means."""
    fields = {
        "id": Field(Text()),
        "text": Field(Text(), needed=True),
        "kind": Field(Text(), about="id of a kind; empty: no piece at all"),
    }
    return Record(fields, build=_builder(Correction, kind=""))


def _builder(make: Callable[..., Any], **defaults: Any) -> Callable[..., Any]:
    def build(**values: Any) -> Any:
        _join_note(values)
        return make(**{"id": "", **defaults, **values})

    return build
