"""What each catalogue file may hold: one record a subject, built into the catalogue's values."""

from __future__ import annotations

from typing import Any, get_args

from kitreckon.catalogue import yaml_text
from kitreckon.catalogue.model import (
    SUPPLIES,
    Check,
    FindingRule,
    Kind,
    Outfit,
    Part,
    PricePoint,
    PriceTable,
    Role,
    Seat,
    Sort,
    Telling,
)
from kitreckon.catalogue.reading_rules import RULES
from kitreckon.catalogue.shapes import (
    Anything,
    Either,
    Field,
    ListOf,
    MapOf,
    Number,
    Record,
    Shape,
    Text,
    Word,
    YesNo,
)
from kitreckon.catalogue.want_shapes import ID as ID
from kitreckon.catalogue.want_shapes import MONEY, NAMES, SHARE, WANT, YEAR, place_of
from kitreckon.count import CONDITIONS

CHECK = Record(
    {
        "do": Field(Text(), True, "what to do, in one sentence"),
        "limit": Field(Text(), about="the limit, in words"),
        "reading": Field(ID, about="id of the reading it gives, for example run-out"),
        "fair_over_mm": Field(Number(0, 1000), about="a reading above this is fair at best"),
        "poor_over_mm": Field(Number(0, 1000), about="a reading above this is poor"),
        "minutes": Field(Number(0, 600)),
        "source": Field(Text()),
    },
    Check,
)
PART = Record(
    {
        "id": Field(ID, True),
        "names": Field(NAMES, True),
        "takes_off": Field(SHARE, True, "share of the value that goes with it"),
        "works_without": Field(YesNo(), True),
    },
    Part,
)


def _kind(place: yaml_text.Node, **values: Any) -> Kind:
    names = {"british": values.pop("british"), "american": values.pop("american")}
    return Kind(id="", group="", place=place_of(place), **names, **values)


KIND = Record(
    {
        "british": Field(NAMES, True, "names in British use; the first is shown"),
        "american": Field(NAMES, True, "names in American use; the first is shown"),
        "words": Field(NAMES, about="further words people use for it"),
        "looks_like": Field(Text(), about="what it looks like to somebody who never saw one"),
        "where": Field(Text(), about="where in the shop to look for it"),
        "measures": Field(Text(), about="what its size measures"),
        "seats": Field(ListOf(Word(get_args(Seat)), least=1), about="where it goes on a machine"),
        "serves_as": Field(Word(get_args(Role)), about="what it does between machine and tool"),
        "needs_drawbar": Field(YesNo(), about="cutting pulls it out of a socket without one"),
        "bears_extension": Field(YesNo(), about="still of use at the end of an extension"),
        "either_end": Field(YesNo(), about="goes in the headstock of a lathe as well"),
        "collet": Field(YesNo()),
        "usual_mount": Field(Text(), about="the one it has where nobody says another: 5C"),
        "plate": Field(YesNo(), about="a plate itself: no backplate goes behind it"),
        "self_centring": Field(YesNo()),
        "work_bolted_on": Field(YesNo(), about="out of balance: turned slowly"),
        "on_arbor": Field(YesNo(), about="bored: goes on a milling arbor"),
        "in_boring_head": Field(YesNo(), about="a boring head or fly cutter holds it on a mill"),
        "overhangs": Field(YesNo(), about="stands out of its holder, as a boring bar does"),
        "vise": Field(YesNo(), about="judged by what tables usually carry"),
        "most_of_table": Field(Number(0, 100), about="largest size over the table's width"),
        "made_for_table": Field(YesNo(), about="made for one table: only trying it tells"),
        "common": Field(YesNo()),
        "machine_specific": Field(YesNo()),
        "spins": Field(YesNo(), about="turns with the spindle"),
        "held_by": Field(ListOf(ID), about="kinds of which one must be there to hold it"),
        "weight_kg": Field(Number(0, 10_000)),
        "price_group": Field(ID, about="key of the share tables"),
        "parts": Field(ListOf(PART), about="parts that may be missing"),
        "checks": Field(ListOf(CHECK)),
        "cautions": Field(ListOf(ID), about="ids of cautions in words/"),
    },
    _kind,
    "A kind of thing, its names and how to know it.",
    place=True,
)


def _point(place: yaml_text.Node, **values: Any) -> PricePoint:
    if not values["low"] <= values["typical"] <= values["high"]:
        raise ValueError("low, typical and high are not in order")
    return PricePoint(place=place_of(place), **values)


POINT = Record(
    {
        "supply": Field(Word(SUPPLIES), True),
        "size_mm": Field(Number(0, 100_000)),
        "low": Field(MONEY, True),
        "typical": Field(MONEY, True),
        "high": Field(MONEY, True),
        "year": Field(YEAR, True),
        "basis": Field(Word(("published", "estimate")), True),
        "source": Field(Text(), True, "id of the file's sources, or what it rests on"),
        "note": Field(Text()),
        "compare_only": Field(YesNo(), about="yes: shown beside the table, not reckoned with"),
    },
    _point,
    place=True,
)


def _price_table(**values: Any) -> PriceTable:
    for name in ("exponents", "mount_sizes", "holds"):
        values[name] = tuple(values.get(name, {}).items())
    if "fitting_hours" in values:
        values["fitting_hours"] = tuple(values["fitting_hours"])
    values.setdefault("unit_count", 1)
    values.setdefault("includes", "")
    values.setdefault("size_mm", None)
    values.setdefault("points", ())
    return PriceTable(kind="", currency="", **values)


PRICES = Record(
    {
        "unit": Field(Text(), True, "what one price buys: each, set of about 17"),
        "unit_count": Field(Number(1, 9_999, whole=True), about="how many pieces are in it"),
        "per_piece": Field(YesNo(), about="no: a set is bought whole, loose ones are parts of it"),
        "enough": Field(Number(1, 9_999, whole=True), about="loose ones that do for a set"),
        "includes": Field(Text()),
        "size_mm": Field(Number(0, 100_000), about="the main size"),
        "exponents": Field(MapOf(Number(-5, 5), SUPPLIES), about="k in price ~ size^k"),
        "mount_sizes": Field(MapOf(Number(0, 100_000)), about="mount: the size it stands for"),
        "size_of": Field(Text(), about="swing, where the size is a measure of the machine"),
        "bought_with": Field(ID, about="kind bought beside it: its backplate, its arbor"),
        "holds": Field(MapOf(Number(1, 999, whole=True)), about="kinds and counts included"),
        "fitting_hours": Field(ListOf(Number(0, 1000), least=3, most=3)),
        "points": Field(ListOf(POINT), True),
    },
    _price_table,
)


def _outfit(**values: Any) -> Outfit:
    bounds = values.pop("range_mm", None)
    machine_class = values.pop("class")
    values.setdefault("measure", "")
    return Outfit(machine_class=machine_class, range_mm=tuple(bounds) if bounds else None, **values)


def _finding(**values: Any) -> FindingRule:
    return FindingRule(id="", **values)


TELLING = Record(
    {
        "of": Field(ListOf(Text()), about="names of the part; none: of the whole machine"),
        "fault": Field(ListOf(Text(), least=1), True, "what is said to be wrong with it"),
        "ask": Field(YesNo(), about="yes: the words may as well mean something else"),
    },
    Telling,
)
FINDING = Record(
    {
        "british": Field(Text(), True),
        "american": Field(Text(), True),
        "cause": Field(ID, True, "findings of one cause count once"),
        "effect": Field(Word(("factor", "amount", "walk-away", "note")), True),
        "value": Field(Number(0, 10_000_000), about="factor on the base, or amount"),
        "currency": Field(Text("[A-Z]{3}", "USD")),
        "year": Field(YEAR, about="of the amount: other years follow the user's price levels"),
        "classes": Field(ListOf(ID)),
        "look": Field(Text()),
        "question": Field(Text()),
        "minutes": Field(Number(0, 600)),
        "chance": Field(SHARE, about="judgement: that it is so"),
        "reading": Field(ID),
        "limit_mm": Field(Number(0, 1000)),
        "rules_out": Field(ListOf(ID), about="findings that are not so when this one is not"),
        "feature": Field(ID, about="yes-or-no fact of the machine that says the same"),
        "spared_by": Field(ID, about="fact of the buyer with which it costs him nothing"),
        "bought_for": Field(ID, about="kind he has to buy for it without that"),
        "cautions": Field(ListOf(ID)),
        "told": Field(ListOf(TELLING), about="the words in which an advert tells it"),
        "danger": Field(YesNo(), about="can hurt someone: told however it is made light of"),
        "source": Field(Text()),
    },
    _finding,
)
BY_CONDITION = MapOf(SHARE, CONDITIONS)
OF_GOOD = MapOf(Number(0, 10), CONDITIONS)  # shares of the price at good: above 1 for better
SENTENCE = Either(Text(), Record({"british": Field(Text(), True), "american": Field(Text(), True)}))
CAUTION = Record({"text": Field(SENTENCE, True), "source": Field(Text())})


def _figure(shape: Number) -> Field:
    """Return the field of one figure of judgement; what is read is the figure alone."""
    fields = {
        "value": Field(shape, True),
        "means": Field(Text(), about="what the figure stands for"),
        "basis": Field(Text(), about="judgement, or the source it is from"),
    }
    return Field(Record(fields, lambda value, means="", basis="": value))


JUDGED = Record(
    {
        "opening-under-limit": _figure(Number(0, 0.9)),
        "price-size-reach": _figure(Number(1, 10)),
        "size-near": _figure(Number(1, 10)),
        "size-useless-at": _figure(Number(1.01, 10)),
        "set-least": _figure(SHARE),
        "set-bare-least": _figure(SHARE),
        "purchase-weight": _figure(Number(0, 1000)),
        "used-service-least": _figure(SHARE),
        "a-little-more": _figure(Number(0, 10)),
        "not-shown-at-work": _figure(SHARE),
        "hard-to-get-hours": _figure(Number(0, 1000)),
        "book-years": _figure(Number(1, 100, whole=True)),
        "book-salvage": _figure(SHARE),
        "raises": _figure(Number(1, 10, whole=True)),
        "worth-points": _figure(Number(1, 1000, whole=True)),
        "fit-untried": _figure(SHARE),
        "weight-exponent": _figure(Number(0, 4)),
        "weight-size-reach": _figure(Number(1, 10)),
    }
)

_HEAD = {
    "format": Field(Word(("1",)), True, "format: 1"),
    "subject": Field(Text(), True),
}
_SOURCES = {"sources": Field(MapOf(Text()), about="what each source id stands for")}

# subject -> its file as a record; entries of a map are laid over ours one by one
FILES: dict[str, Record] = {
    "kinds": Record(
        {**_HEAD, "group": Field(ID, True), "kinds": Field(MapOf(KIND, form=ID), True)},
    ),
    "kind-words": Record(
        {
            **_HEAD,
            "language": Field(Text("[a-z]{2}", "de"), True),
            "basis": Field(Text(), True),
            "kinds": Field(MapOf(NAMES), True),
        }
    ),
    "prices": Record(
        {
            **_HEAD,
            **_SOURCES,
            "currency": Field(Text("[A-Z]{3}", "USD"), True),
            "level_year": Field(YEAR),
            "prices": Field(MapOf(PRICES, form=ID), True),
        }
    ),
    "outfit": Record(
        {
            **_HEAD,
            **_SOURCES,
            "class": Field(ID, True),
            "sort": Field(Word(get_args(Sort)), True, "lathe, mill, drill, grinder or shaper"),
            "british": Field(Text(), True),
            "american": Field(Text(), True),
            "measure": Field(Text()),
            "range_mm": Field(ListOf(Number(0, 100_000), least=2, most=2)),
            "features": Field(ListOf(ID)),
            "wants": Field(ListOf(WANT), True),
        }
    ),
    "findings": Record({**_HEAD, **_SOURCES, "findings": Field(MapOf(FINDING, form=ID), True)}),
    "shares": Record(
        {
            **_HEAD,
            "source": Field(Text()),
            "currency": Field(Text("[A-Z]{3}", "USD")),
            "year": Field(YEAR, about="of the amounts: other years follow the user's levels"),
            "postage": Field(MapOf(MONEY), about="up to kg: amount"),
            "packing": Field(MONEY),
            "hourly": Field(MONEY),
            "fit_chance": Field(MapOf(SHARE), about="seat: chance that it fits untried"),
            "resale": Field(MapOf(OF_GOOD), True),
            "service": Field(MapOf(OF_GOOD), True),
        }
    ),
    "chances": Record(
        {**_HEAD, "source": Field(Text()), "conditions": Field(MapOf(BY_CONDITION), True)}
    ),
    "judgement": Record(
        {
            **_HEAD,
            **_SOURCES,
            "judgement": Field(JUDGED),
            "minutes": Field(MapOf(Number(0.1, 600)), about="id of a question: minutes to answer"),
        }
    ),
    "words": Record(
        {
            **_HEAD,
            "sentences": Field(MapOf(SENTENCE)),
            "labels": Field(MapOf(SENTENCE)),
            "cautions": Field(MapOf(CAUTION)),
            "spellings": Field(MapOf(Text()), about="British word: American, for longer texts"),
        }
    ),
    "standard": Record(
        {
            **_HEAD,
            **_SOURCES,
            "table": Field(ID, True, "the table's id"),
            "system": Field(Text(), about="the system its sizes are named by"),
            "standard": Field(Text(), about="the standard that lays it down"),
            "note": Field(Text()),
            "half_angle_deg": Field(Number(0, 90)),
            "ratio": Field(Text()),
            "taper_per_foot_in": Field(Number(0, 12)),
            "rows": Field(Anything(), True),
        }
    ),
    "reading": Record(
        {
            **_HEAD,
            "rules": Field(RULES, about="added to ours, phrase by phrase"),
            "leave_out": Field(RULES, about="what of ours is not to hold"),
        }
    ),
}


_BODY_OF_OUTFIT = {
    name: known for name, known in FILES["outfit"].fields.items() if name not in (*_HEAD, "sources")
}


def entry_shape(subject: str) -> Shape:
    """Return the shape of one entry of a subject that is laid over entry by entry."""
    return {
        "kinds": KIND,
        "prices": PRICES,
        "findings": FINDING,
        "outfit": Record(_BODY_OF_OUTFIT, _outfit),
    }[subject]
