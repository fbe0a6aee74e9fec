"""Reading one row of a table: text in, numbers in millimetres out, one clear error otherwise."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from kitreckon.errors import KitreckonError
from kitreckon.standards.tables import Evidence

MM_PER_INCH = 25.4


class RowError(KitreckonError):
    """A row that cannot be used: which field of it, empty for the row itself."""

    def __init__(self, what: str, *, where: str = "", want: str = "", field: str = "") -> None:
        super().__init__(what, where=where, want=want)
        self.field = field


def as_number(text: Any, where: str) -> float:
    """Return a finite number written as text; raises RowError naming the place."""
    try:
        value = float(text)
    except (TypeError, ValueError):
        value = math.nan
    if not math.isfinite(value):
        raise RowError(
            f"{text!r} is not a number",
            where=where,
            want="a number such as 12.7",
            field=where.rpartition(".")[2],
        )
    return value


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a standards file, with its place for error messages."""

    name: str
    data: Mapping[str, Any]
    where: str

    def text(self, key: str) -> str:
        """Return a text, empty when the row does not say."""
        value = self.data.get(key)
        return "" if value is None else str(value)

    def number(self, key: str) -> float | None:
        """Return a number, None when the row does not say."""
        value = self.data.get(key)
        return None if value is None else as_number(value, f"{self.where}.{key}")

    def whole(self, key: str) -> int | None:
        """Return a whole number, None when the row does not say."""
        value = self.number(key)
        if value is not None and value != int(value):
            raise RowError(
                f"{self.data[key]!r} is not a whole number",
                where=f"{self.where}.{key}",
                want="a whole number",
                field=key,
            )
        return None if value is None else int(value)

    def mm(self, key: str) -> float | None:
        """Return key_mm, or key_in turned into millimetres; None when neither is there."""
        metric, inch = self.number(f"{key}_mm"), self.number(f"{key}_in")
        if metric is not None and inch is not None:
            raise RowError(
                f"{key} is given in both units", where=self.where, want=f"{key}_mm or {key}_in"
            )
        return metric if inch is None else inch * MM_PER_INCH

    def needed_mm(self, key: str) -> float:
        """Return a length above zero that the row must have."""
        value = self.mm(key)
        if value is None or value <= 0:
            raise RowError(
                f"{key} is {'missing' if value is None else 'not above zero'}",
                where=self.where,
                want=f"{key}_mm or {key}_in above zero",
            )
        return value

    def span_mm(self, key: str) -> tuple[float, float] | None:
        """Return the two lengths of key_mm or key_in; "up" leaves the upper end open."""
        for unit, factor in (("mm", 1.0), ("in", MM_PER_INCH)):
            pair = self.data.get(f"{key}_{unit}")
            if pair is None:
                continue
            place = f"{self.where}.{key}_{unit}"
            if not isinstance(pair, list) or len(pair) != 2:
                raise RowError(f"{pair!r} is not a pair", where=place, want="[low, high]")
            low = as_number(pair[0], place) * factor
            high = math.inf if pair[1] == "up" else as_number(pair[1], place) * factor
            if low > high:
                raise RowError(f"{pair!r} runs downward", where=place, want="[low, high]")
            return low, high
        return None

    def needed_span_mm(self, key: str) -> tuple[float, float]:
        """Return a pair of lengths that the row must have."""
        span = self.span_mm(key)
        if span is None:
            raise RowError(f"{key} is missing", where=self.where, want=f"{key}_mm: [low, high]")
        return span

    def needed_number(self, key: str) -> float:
        """Return a number that the row must have."""
        value = self.number(key)
        if value is None:
            raise RowError(f"{key} is missing", where=self.where, want=f"{key}: a number")
        return value

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts; empty when the row does not say."""
        value = self.data.get(key)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise RowError("is not a list of texts", where=f"{self.where}.{key}", field=key)
        return tuple(value)

    def records(self, key: str) -> tuple[Mapping[str, Any], ...]:
        """Return a list of records; empty when the row does not say."""
        value = self.data.get(key)
        if value is None:
            return ()
        if not isinstance(value, list) or not all(isinstance(one, Mapping) for one in value):
            raise RowError("is not a list of records", where=f"{self.where}.{key}", field=key)
        return tuple(value)

    def evidence(self, sources: Mapping[str, Any]) -> Evidence:
        """Return what stands behind the row; every source must be described by the file."""
        named = self.texts("sources")
        if not named:
            raise RowError("the row names no source", where=self.where, want="sources: [id]")
        for source in named:
            if source not in sources:
                raise RowError(
                    f"source {source!r} is not described",
                    where=self.where,
                    want="an entry of that id under sources at the head of the file",
                    field="sources",
                )
        fields = self.data.get("field_confirmed") or {}
        if not isinstance(fields, Mapping):
            raise RowError(
                "field_confirmed is not a list of fields",
                where=self.where,
                want="{field: 0, 1 or 2}",
                field="field_confirmed",
            )
        return Evidence(
            named,
            self._confirmed(self.data.get("confirmed")),
            tuple((str(name), self._confirmed(count)) for name, count in fields.items()),
        )

    def _confirmed(self, text: Any) -> int:
        if str(text) not in ("0", "1", "2"):
            raise RowError(
                f"confirmed is {text!r}",
                where=self.where,
                want="0 (from memory), 1 (one source) or 2 (two or more)",
                field="confirmed",
            )
        return int(text)
