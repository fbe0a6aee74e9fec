"""The shapes of what an outfit wants, and the small ones that many subjects share."""

from __future__ import annotations

from typing import Any

from kitreckon.catalogue import yaml_text
from kitreckon.catalogue.model import TIERS, Otherwise, Place, SizeRule, Want
from kitreckon.catalogue.shapes import Either, Field, ListOf, Number, Record, Text, Word, YesNo

ID = Text(r"[a-z0-9][a-z0-9.-]{0,59}", "chuck-3-jaw: small letters, digits and dashes")
NAMES = ListOf(Text())
SHARE = Number(0, 1)
MONEY = Number(0, 10_000_000)
YEAR = Number(1850, 2200, whole=True)


def place_of(node: yaml_text.Node) -> Place:
    """Return where a node stands."""
    return Place(node.file, node.line, node.column)


def _size_rule(**values: Any) -> SizeRule:
    if "factor" in values:
        values["factor"] = tuple(values["factor"])
    return SizeRule(**values)


SIZE = Either(
    Text(),
    Record(
        {
            "text": Field(Text()),
            "sizes_mm": Field(ListOf(Number(0, 100_000))),
            "of": Field(Text(), about="swing, table-width, tailstock-taper, ..."),
            "factor": Field(ListOf(Number(0, 10), least=3, most=3)),
            "round_to_mm": Field(ListOf(Number(0, 100_000))),
            "usual": Field(Text()),
        },
        _size_rule,
    ),
)


def _rule_of(size: str | SizeRule) -> SizeRule:
    return SizeRule(text=size) if isinstance(size, str) else size


def _want(place: yaml_text.Node, **values: Any) -> Want:
    size = _rule_of(values.pop("size", SizeRule()))
    return Want(size=size, place=place_of(place), **values)


def _otherwise(**values: Any) -> Otherwise:
    size = values.pop("size", None)
    return Otherwise(size=None if size is None else _rule_of(size), **values)


OTHERWISE = Record(
    {
        "when": Field(ListOf(ID, least=1), True, "facts of machine and buyer known to hold"),
        "wanted": Field(YesNo(), about="no: not wanted there at all"),
        "tier": Field(Word(TIERS)),
        "size": Field(SIZE),
        "chance_here": Field(SHARE),
        "note": Field(Text()),
    },
    _otherwise,
)

WANT = Record(
    {
        "id": Field(ID, True),
        "any_of": Field(ListOf(ID, least=1), True, "kinds that cover it, the usual one first"),
        "tier": Field(Word(TIERS), True),
        "qty": Field(Number(1, 9_999, whole=True), True),
        "label": Field(Text(), about="what is wanted, where the kind is other"),
        "size": Field(SIZE),
        "when": Field(ListOf(ID), about="features that must be true; no-x: must be false"),
        "otherwise": Field(ListOf(OTHERWISE), about="what differs where a fact is known"),
        "needs": Field(ListOf(ID), about="wants without which this one is of no use"),
        "chance_here": Field(SHARE, about="judgement: that it comes with such a machine"),
        "lists": Field(Number(0, 100, whole=True)),
        "sources": Field(NAMES),
        "note": Field(Text()),
    },
    _want,
    place=True,
)
