"""What the rules of reading may hold, and how a user's are laid over ours: phrase by phrase.

What a user writes is added to ours and tried before them; what he leaves out is taken away.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from kitreckon.catalogue import yaml_text
from kitreckon.catalogue.shapes import (
    WRONG,
    At,
    Field,
    ListOf,
    MapOf,
    Number,
    Record,
    Text,
    Word,
)
from kitreckon.count import CONDITIONS

_ID = Text(r"[a-z0-9][a-z0-9.-]{0,59}", "chuck-3-jaw: small letters, digits and dashes")
_NO_PHRASE = "a phrase, or a list of phrases"


@dataclass(frozen=True, slots=True)
class Phrases:
    """A list of phrases, some of them hundreds long; a single one will do."""

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return the phrases; what is none is told and left out."""
        if isinstance(node, yaml_text.Scalar):
            return () if node.empty else (node.text,)
        if not isinstance(node, yaml_text.Sequence):
            return at.wrong(node, "found a group of fields", _NO_PHRASE)
        for item in node.items:
            if not isinstance(item, yaml_text.Scalar):
                at.wrong(item, "found no phrase", _NO_PHRASE)
        return tuple(item.text for item in node.items if isinstance(item, yaml_text.Scalar))

    def json_schema(self) -> dict[str, Any]:
        """Return an array schema."""
        item = Text().json_schema()
        return {"anyOf": [{"type": "array", "items": item}, item]}


@dataclass(frozen=True, slots=True)
class Pattern:
    """A regular expression over small letters."""

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return the text of the expression."""
        text = Text().read(node, at)
        if text is WRONG:
            return WRONG
        try:
            re.compile(text)
        except re.error as error:
            return at.wrong(node, f"{text!r} is no regular expression: {error}", "correct it")
        return text

    def json_schema(self) -> dict[str, Any]:
        """Return a string schema."""
        return {"type": "string", "format": "regex"}


@dataclass(frozen=True, slots=True)
class Pairs:
    """Words each followed by its weight: "no 1.42 without 1.10"."""

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return the text; what does not go in pairs is told."""
        text = Text().read(node, at)
        if text is WRONG or re.fullmatch(r"(?:\S+\s+-?\d+(?:\.\d+)?(?:\s+|$))*", text):
            return text
        return at.wrong(node, "found no pairs of a word and its weight", "no 1.42 without 1.10")

    def json_schema(self) -> dict[str, Any]:
        """Return a string schema."""
        return {"type": "string"}


PHRASES = Phrases()
_YES_NO = Word(("yes", "no"))
_KINDS = ListOf(_ID)

_LISTS = (
    "compounds", "fillers", "machines", "not_accessories", "asides", "unsafe", "no_danger",
    "no_danger_of", "sound", "wheels", "unsafe_wheel", "damage", "missing_parts", "parts_gone",
    "elsewhere", "both", "spares", "describing", "doubtful", "plain_words", "generic", "features",
    "headings", "usual", "beneath", "particled", "own_parts", "bracketed", "shapes", "containers",
    "abbreviations",
)  # fmt: skip
_JOINTS = ("with", "and", "for", "from", "that", "lack", "verb")
_PRESENCE = (
    "denials", "grants", "comings", "none_of", "wants", "leaving", "keeping", "parting", "handing",
    "going", "away", "once", "once_after", "hedges", "surfacings", "moves", "others", "takers",
    "takings", "lists", "headings", "machines", "flipped", "here",
    "given",
)  # fmt: skip
_PLACES = (
    "before", "after", "before1", "before2", "before3", "after1", "after2", "after3", "about",
    "then", "phrase",
)  # fmt: skip
_SIZES = (
    "upper_end", "largest", "sets", "none", "bare_numbers", "shanks", "bare_millimetres",
    "threads", "diameters", "morse", "spanned", "counted", "outer", "jacobs", "models", "unmounted",
    "threaded", "number_nouns",
)  # fmt: skip
_SIGNS = (
    "bias", "share", "words", "strength", "slips", "loose", "trailing", "strange", "aside",
    "turned", "modified", "thing", "others", "length",
)  # fmt: skip

RULES = Record(
    {
        **{name: Field(PHRASES) for name in _LISTS},
        "spellings": Field(MapOf(PHRASES), about="a word: the spellings read as it"),
        "joints": Field(MapOf(PHRASES, _JOINTS)),
        "counts": Field(MapOf(PHRASES, form=Text(r"\d{1,4}", "12")), about="a number: its words"),
        "written": Field(MapOf(PHRASES, form=_ID), about="a kind: further ways to write it"),
        "open": Field(MapOf(MapOf(Number(0, 1), form=_ID)), about="a word: kinds and shares"),
        "turns": Field(
            ListOf(
                Record(
                    {
                        "after": Field(PHRASES, True, "kinds, groups, or any"),
                        "word": Field(PHRASES, True),
                        "gives": Field(_ID, True, "a kind, or none"),
                    }
                )
            )
        ),
        "mount_codes": Field(
            ListOf(Record({"shape": Field(Pattern(), True), "gives": Field(Text(), True)}))
        ),
        "mount_pairs": Field(
            ListOf(
                Record(
                    {
                        "mounts": Field(ListOf(Text(), least=2, most=2), True),
                        "gives": Field(_ID, True),
                    }
                )
            )
        ),
        "codes": Field(
            ListOf(
                Record(
                    {
                        "shape": Field(Pattern(), True, "a regular expression"),
                        "kind": Field(_ID, True),
                        "weak": Field(_YES_NO, about="yes: words on the line overrule it"),
                        "size": Field(Number(1, 9, whole=True), about="the group with a size"),
                    }
                )
            )
        ),
        "conditions": Field(MapOf(PHRASES, CONDITIONS)),
        "verbs": Field(MapOf(PHRASES), about="a verb: its irregular forms"),
        "presence": Field(MapOf(PHRASES, _PRESENCE)),
        "absence": Field(
            Record(
                {
                    "bias": Field(Number(-100, 100)),
                    "bar": Field(Number(0, 100), about="what the weights must come to"),
                    "alike": Field(MapOf(PHRASES), about="a name: the words that count as it"),
                    "weights": Field(
                        MapOf(ListOf(Pairs()), _PLACES), about="words, each with its weight"
                    ),
                }
            )
        ),
        "sizes": Field(MapOf(PHRASES, _SIZES)),
        "backs": Field(MapOf(PHRASES, ("plain", "backplate", "direct"))),
        "settled": Field(
            ListOf(
                Record(
                    {
                        "open": Field(_KINDS, True),
                        "to": Field(_ID, True),
                        "by": Field(_KINDS),
                        "signs": Field(PHRASES),
                        "words": Field(PHRASES),
                        "like": Field(Pattern()),
                        "else": Field(_ID),
                        "near": Field(_YES_NO, about="yes: for its own sentence only"),
                    }
                )
            )
        ),
        "belongs": Field(MapOf(_KINDS, form=_ID)),
        "signs": Field(
            ListOf(
                Record(
                    {
                        "sign": Field(PHRASES, True, "words, or @nose, @taper, @small, ..."),
                        "favours": Field(_KINDS, True),
                        "factor": Field(Number(0, 1000)),
                    }
                )
            )
        ),
        "own_words": Field(MapOf(PHRASES, form=_ID), about="the first must be there"),
        "held_by": Field(MapOf(_ID, form=_ID), about="collets: the chuck they go in"),
        "with_mount": Field(
            ListOf(
                Record(
                    {
                        "kind": Field(_ID, True),
                        "mounts": Field(PHRASES, True),
                        "gives": Field(_ID, True),
                    }
                )
            )
        ),
        "confidence": Field(
            Record(
                {
                    "bar": Field(Number(0, 1)),
                    "open_bar": Field(Number(0, 1)),
                    "weights": Field(MapOf(Number(-100, 100), _SIGNS)),
                }
            )
        ),
    },
    about="Lists of phrases and tables of them; yours are added to ours.",
)


def laid_over(under: Any, over: Any) -> Any:
    """Return rules with those of ``over`` added: its phrases first, tables name by name.

    >>> laid_over({"unsafe": ("cracked",), "sizes": {"outer": ("a",)}}, {"unsafe": ("bent",)})
    {'unsafe': ('bent', 'cracked'), 'sizes': {'outer': ('a',)}}
    """
    if isinstance(under, Mapping) and isinstance(over, Mapping):
        return {
            **under,
            **{
                name: laid_over(under[name], value) if name in under else value
                for name, value in over.items()
            },
        }
    if isinstance(under, tuple) and isinstance(over, tuple):
        return (*over, *(one for one in under if one not in over))
    return over


def left_out(rules: Any, gone: Any) -> Any:
    """Return rules without what ``gone`` names; a name with nothing under it goes as a whole.

    >>> left_out({"fillers": ("a", "b"), "verbs": {"be": ("is",)}}, {"fillers": ("a",)})
    {'fillers': ('b',), 'verbs': {'be': ('is',)}}
    >>> left_out({"verbs": {"be": ("is",), "do": ("did",)}}, {"verbs": {"be": ()}})
    {'verbs': {'do': ('did',)}}
    """
    if isinstance(rules, Mapping) and isinstance(gone, Mapping):
        return {
            name: left_out(value, gone[name]) if name in gone else value
            for name, value in rules.items()
            if name not in gone or gone[name] not in ((), {})
        }
    if isinstance(rules, tuple) and isinstance(gone, tuple):
        return tuple(one for one in rules if one not in gone)
    return rules
