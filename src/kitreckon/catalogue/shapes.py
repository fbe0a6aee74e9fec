"""The shapes of catalogue files: one declaration reads, checks and gives the JSON Schema.

A shape turns a node into a value and collects what is wrong on the way; WRONG stands for what
could not be read, and a record with a wrong field that it needs is left out, with its reason.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol

from kitreckon.catalogue import yaml_text
from kitreckon.errors import Problem


class _Wrong:
    def __repr__(self) -> str:
        return "WRONG"


WRONG: Any = _Wrong()


@dataclass(slots=True)
class At:
    """Where reading stands: the path in words, and the problems found so far."""

    problems: list[Problem]
    path: str = ""

    def inside(self, name: str) -> At:
        """Return the place one name deeper."""
        return At(self.problems, f"{self.path}.{name}" if self.path else name)

    def wrong(self, node: yaml_text.Node, found: str, remedy: str) -> Any:
        """Note a problem at a node and return WRONG."""
        prefix = f"{self.path}: " if self.path else ""
        self.problems.append(Problem(node.file, node.line, node.column, prefix + found, remedy))
        return WRONG


class Shape(Protocol):
    """What a node must look like."""

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return the value, or WRONG with the problem noted."""

    def json_schema(self) -> dict[str, Any]:
        """Return this shape as JSON Schema (draft 2020-12)."""


_TOO_MANY = '"kitreckon check --schema SUBJECT" lists the words'  # too many to be said here
_FEW = 4  # fields that are shown as they are written


def nearest(word: str, allowed: Sequence[str]) -> str:
    """Return what would be right: the nearest allowed word, or all of them."""
    close = difflib.get_close_matches(word, allowed, n=1, cutoff=0.6)
    if close:
        return f"did you mean {close[0]!r}?"
    return "one of " + ", ".join(allowed) if len(allowed) <= 30 else _TOO_MANY


def _scalar(node: yaml_text.Node, at: At, want: str) -> yaml_text.Scalar | Any:
    if isinstance(node, yaml_text.Scalar):
        return node
    kind = "a list" if isinstance(node, yaml_text.Sequence) else "a group of fields"
    return at.wrong(node, f"found {kind}", want)


@dataclass(frozen=True, slots=True)
class Text:
    """Any text; ``pattern`` where only some will do."""

    pattern: str = ""
    example: str = ""

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return the text."""
        scalar = _scalar(node, at, "write text here")
        if scalar is WRONG:
            return WRONG
        if self.pattern and re.fullmatch(self.pattern, scalar.text, re.ASCII) is None:
            return at.wrong(node, f"found {scalar.text!r}", f"for example {self.example}")
        return scalar.text

    def json_schema(self) -> dict[str, Any]:
        """Return a string schema."""
        schema: dict[str, Any] = {"type": ["string", "number", "boolean"]}
        return {"type": "string", "pattern": f"^{self.pattern}$"} if self.pattern else schema


@dataclass(frozen=True, slots=True)
class Word:
    """One of a few words."""

    allowed: tuple[str, ...]

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return the word."""
        scalar = _scalar(node, at, nearest("", self.allowed))
        if scalar is WRONG:
            return WRONG
        if scalar.text in self.allowed:
            return scalar.text
        return at.wrong(node, f"unknown word {scalar.text!r}", nearest(scalar.text, self.allowed))

    def json_schema(self) -> dict[str, Any]:
        """Return an enumeration."""
        return {"enum": list(self.allowed)}


_NUMBER = re.compile(r"-?(?:\d{1,9}(?:\.\d{1,9})?|\.\d{1,9})", re.ASCII)


@dataclass(frozen=True, slots=True)
class Number:
    """A plain decimal number between two bounds."""

    least: float = 0.0
    most: float = 1e9
    whole: bool = False

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return a float, or an int where whole."""
        kind = "a whole number" if self.whole else "a number"
        want = f"{kind} from {self.least:g} to {self.most:g}"
        scalar = _scalar(node, at, want)
        if scalar is WRONG:
            return WRONG
        if _NUMBER.fullmatch(scalar.text) is None or (self.whole and "." in scalar.text):
            return at.wrong(node, f"{scalar.text!r} is not {kind}", want)
        value = float(scalar.text)
        if not (self.least <= value <= self.most) or not math.isfinite(value):
            return at.wrong(node, f"{scalar.text} is out of bounds", want)
        return int(value) if self.whole else value

    def json_schema(self) -> dict[str, Any]:
        """Return a number schema with its bounds."""
        return {
            "type": "integer" if self.whole else "number",
            "minimum": self.least,
            "maximum": self.most,
        }


@dataclass(frozen=True, slots=True)
class YesNo:
    """yes or no."""

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return True or False."""
        scalar = _scalar(node, at, "yes or no")
        if scalar is WRONG:
            return WRONG
        answer = {"yes": True, "true": True, "no": False, "false": False}.get(scalar.text.lower())
        return at.wrong(node, f"found {scalar.text!r}", "yes or no") if answer is None else answer

    def json_schema(self) -> dict[str, Any]:
        """Return a yes-or-no schema."""
        return {"enum": ["yes", "no", True, False]}


@dataclass(frozen=True, slots=True)
class ListOf:
    """A list; a single value will do where one is meant."""

    of: Shape
    least: int = 0
    most: int = 10_000

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return a tuple of the values that could be read."""
        items = node.items if isinstance(node, yaml_text.Sequence) else [node]
        if isinstance(node, yaml_text.Scalar) and node.empty:
            items = []
        if not (self.least <= len(items) <= self.most):
            return at.wrong(node, f"found {len(items)} entries", self._bounds())
        values = [self.of.read(item, at.inside(str(n))) for n, item in enumerate(items, 1)]
        return tuple(value for value in values if value is not WRONG)

    def _bounds(self) -> str:
        if self.least == self.most:
            return f"write {self.least} of them"
        return f"write {self.least} to {self.most} of them"

    def json_schema(self) -> dict[str, Any]:
        """Return an array schema."""
        item = self.of.json_schema()
        return {"anyOf": [{"type": "array", "items": item, "minItems": self.least}, item]}


@dataclass(frozen=True, slots=True)
class MapOf:
    """Named values of one shape; ``names`` or ``form`` where only some names will do."""

    of: Shape
    names: tuple[str, ...] = ()
    form: Text | None = None

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return a dict of the values that could be read."""
        if not isinstance(node, yaml_text.Mapping):
            return at.wrong(node, "found no fields", "write name: value, one a line")
        values: dict[str, Any] = {}
        for name, value_node in node.entries.items():
            if self.names and name not in self.names:
                at.wrong(node.keys[name], f"unknown name {name!r}", nearest(name, self.names))
                continue
            if self.form is not None and self.form.read(node.keys[name], at) is WRONG:
                continue
            value = self.of.read(value_node, at.inside(name))
            if value is not WRONG:
                values[name] = value
        return values

    def json_schema(self) -> dict[str, Any]:
        """Return an object schema whose values share one shape."""
        schema: dict[str, Any] = {"type": "object", "additionalProperties": self.of.json_schema()}
        if self.names:
            schema["propertyNames"] = {"enum": list(self.names)}
        elif self.form is not None:
            schema["propertyNames"] = self.form.json_schema()
        return schema


@dataclass(frozen=True, slots=True)
class Anything:
    """Any node, as text, list and dict."""

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return plain data."""
        return yaml_text.plain_data(node)

    def json_schema(self) -> dict[str, Any]:
        """Return the schema that allows all."""
        return {}


@dataclass(frozen=True, slots=True)
class Either:
    """Text where a plain value stands, another shape where fields or a list do."""

    text: Shape
    other: Shape

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return what the fitting shape reads."""
        shape = self.text if isinstance(node, yaml_text.Scalar) else self.other
        return shape.read(node, at)

    def json_schema(self) -> dict[str, Any]:
        """Return the alternatives."""
        return {"anyOf": [self.text.json_schema(), self.other.json_schema()]}


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a record: its shape, whether it must be there, what it is for."""

    shape: Shape
    needed: bool = False
    about: str = ""


@dataclass(frozen=True, slots=True)
class Record:
    """A group of named fields, built into a value by ``build`` (which also gets ``node``)."""

    fields: Mapping[str, Field]
    build: Callable[..., Any] = dict
    about: str = ""
    place: bool = False  # pass the node's place as ``place``
    shared: Mapping[str, Any] = field(default_factory=dict)

    def read(self, node: yaml_text.Node, at: At) -> Any:
        """Return what ``build`` makes of the fields that are there."""
        if not isinstance(node, yaml_text.Mapping):
            written = "write {" + ", ".join(f"{name}: ..." for name in self.fields) + "}"
            remedy = written if len(self.fields) <= _FEW else "fields: " + ", ".join(self.fields)
            return at.wrong(node, "found no fields", remedy)
        values, sound = self._values(node, at)
        for name in self.fields:
            if self.fields[name].needed and name not in node.entries:
                at.wrong(node, f"{name!r} is missing", self.fields[name].about or f"add {name}:")
                sound = False
        if not sound:
            return WRONG
        if self.place:
            values["place"] = node
        try:
            return self.build(**values)
        except ValueError as error:
            return at.wrong(node, str(error), "correct the entry")

    def _values(self, node: yaml_text.Mapping, at: At) -> tuple[dict[str, Any], bool]:
        values: dict[str, Any] = {}
        sound = True
        for name, value_node in node.entries.items():
            known = self.fields.get(name)
            if known is None:
                remedy = nearest(name, tuple(self.fields))
                at.wrong(node.keys[name], f"unknown field {name!r}", remedy)
                continue
            if isinstance(value_node, yaml_text.Scalar) and value_node.empty and not known.needed:
                continue
            value = known.shape.read(value_node, at.inside(name))
            if value is WRONG:
                sound = sound and not known.needed
            else:
                values[name.replace("-", "_").replace(" ", "_")] = value
        return values, sound

    def json_schema(self) -> dict[str, Any]:
        """Return an object schema with descriptions."""
        properties = {}
        for name, known in self.fields.items():
            schema = dict(known.shape.json_schema())
            if known.about:
                schema["description"] = known.about
            properties[name] = schema
        result: dict[str, Any] = {
            "type": "object",
            "properties": properties,
            "required": [name for name, known in self.fields.items() if known.needed],
            "additionalProperties": False,
        }
        if self.about:
            result["description"] = self.about
        return result
