"""Single values of a count sheet as people type them: lengths, prices, mounts, grades, lines."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from kitreckon.catalogue.shapes import WRONG, At, nearest
from kitreckon.catalogue.yaml_text import Node, Scalar
from kitreckon.count import CONDITIONS
from kitreckon.quantities import QuantityError, canonical_designation, read_length, read_money

NOT_KNOWN = frozenset({"not known", "not-known", "unknown", "?"})


@dataclass(frozen=True, slots=True)
class TypedLine:
    """A piece written as people type it, to be read by the Reader; and where it stands."""

    text: str
    file: str
    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Measure:
    """A length with its unit; "not known" where that is the truth."""

    unit_needed: bool = True

    def read(self, node: Node, at: At) -> Any:
        """Return a Length, or None when not known."""
        typed = _typed(node, at, "a length such as 8in or 200mm")
        if not isinstance(typed, str) or typed.lower() in NOT_KNOWN:
            return None if isinstance(typed, str) else WRONG
        try:
            length = read_length(typed)
        except QuantityError as error:
            return at.wrong(node, error.what, error.want)
        if length.unit is None and self.unit_needed:
            return at.wrong(node, f"{typed!r} has no unit", f"{typed}in or {typed}mm")
        return length

    def json_schema(self) -> dict[str, Any]:
        """Return text, with examples."""
        return {"type": ["string", "number"], "examples": ["8in", "1-1/2in", "200mm"]}


@dataclass(frozen=True, slots=True)
class Price:
    """An amount of the sheet's currency."""

    currency: str

    def read(self, node: Node, at: At) -> Any:
        """Return Money."""
        typed = _typed(node, at, "a price such as 1,200 or 12.50")
        if not isinstance(typed, str):
            return WRONG
        try:
            return read_money(typed, self.currency)
        except QuantityError as error:
            return at.wrong(node, error.what, error.want)

    def json_schema(self) -> dict[str, Any]:
        """Return a number or text."""
        return {"type": ["string", "number"], "examples": ["1,200", "12.50"]}


@dataclass(frozen=True, slots=True)
class Mount:
    """A nose, taper, collet or thread; brought to its one spelling where it has one."""

    def read(self, node: Node, at: At) -> Any:
        """Return the designation, or None when not known."""
        typed = _typed(node, at, "a designation such as D1-4, MT3 or 1-1/2-8")
        if not isinstance(typed, str):
            return WRONG
        return None if typed.lower() in NOT_KNOWN else canonical_designation(typed)

    def json_schema(self) -> dict[str, Any]:
        """Return text, with examples."""
        return {"type": "string", "examples": ["D1-4", "L00", "MT3", "5C", "ER32", "1-1/2-8"]}


@dataclass(frozen=True, slots=True)
class Grade:
    """A condition; "very good" is very-good. "not judged" where nobody judged it."""

    def read(self, node: Node, at: At) -> Any:
        """Return the grade, or None when not judged."""
        typed = _typed(node, at, "one of " + ", ".join(CONDITIONS))
        if not isinstance(typed, str):
            return WRONG
        word = typed.lower().replace(" ", "-").replace("_", "-")
        if word in ("not-judged", "not-known", "?"):
            return None
        if word in CONDITIONS:
            return word
        return at.wrong(node, f"unknown condition {typed!r}", nearest(word, CONDITIONS))

    def json_schema(self) -> dict[str, Any]:
        """Return the grades."""
        return {"enum": list(CONDITIONS)}


@dataclass(frozen=True, slots=True)
class Line:
    """A piece as people type it: "8in 4-jaw chuck D1-4, worn"."""

    def read(self, node: Node, at: At) -> Any:
        """Return a TypedLine."""
        typed = _typed(node, at, "a piece in your own words")
        if not isinstance(typed, str):
            return WRONG
        return TypedLine(typed, node.file, node.line, node.column)

    def json_schema(self) -> dict[str, Any]:
        """Return text."""
        return {"type": "string"}


def _typed(node: Node, at: At, want: str) -> Any:
    if not isinstance(node, Scalar):
        return at.wrong(node, "found a list or fields", want)
    if node.empty:
        return at.wrong(node, "found nothing", want)
    return node.text
