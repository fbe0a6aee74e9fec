"""A count as a CSV table: written for spreadsheets, read with other people's headings."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from kitreckon.count import CONDITIONS, Piece, Reading
from kitreckon.errors import FileError, KitreckonError, Problem
from kitreckon.quantities import (
    Length,
    Money,
    QuantityError,
    canonical_designation,
    clean_text,
    read_count,
    read_length,
    read_money,
)
from kitreckon.reading import Reader
from kitreckon.reports.document import Amount, Cell
from kitreckon.reports.rendering.csv import rows_to_csv, unguard

COLUMNS = (
    "qty", "kind", "thing", "set_of", "set_has", "size", "mount", "back", "condition",
    "parts_missing", "repair", "repair_of", "unsafe", "readings", "marked_rpm", "body", "tried",
    "his", "floor", "low_height", "high_height", "photo", "note", "text",
)  # fmt: skip

# What other people call the columns, in letters only.
HEADINGS: Mapping[str, tuple[str, ...]] = {
    "qty": ("qty", "quantity", "count", "number", "no", "nr", "pcs", "pieces", "howmany", "menge",
            "anzahl", "stk", "stueck", "quantite", "nombre"),
    "kind": ("kind", "kindid", "id"),
    "thing": ("thing", "item", "items", "description", "desc", "name", "tool", "tooling", "what",
              "article", "object", "accessory", "part", "bezeichnung", "gegenstand", "artikel",
              "designation", "outil", "objet"),
    "set_of": ("setof", "setsize"),
    "set_has": ("sethas", "setcount", "inset"),
    "size": ("size", "dia", "diameter", "dimension", "dimensions", "capacity", "groesse", "taille",
             "durchmesser"),
    "mount": ("mount", "taper", "fitting", "shank", "arbor", "nose", "mounting",
              "aufnahme", "cone"),
    "back": ("back", "backplate"),
    "condition": ("condition", "state", "grade", "cond", "zustand", "etat"),
    "parts_missing": ("partsmissing", "missing", "missingparts"),
    "repair": ("repair", "repairs", "repaircost", "toputright"),
    "repair_of": ("repairof", "tobedone"),
    "unsafe": ("unsafe", "danger", "dangerous"),
    "readings": ("readings", "measured"),
    "marked_rpm": ("markedrpm", "rpm", "maxrpm", "speed"),
    "body": ("body", "material"),
    "tried": ("tried",),
    "his": ("his", "keeps", "hekeeps"),
    "floor": ("floor", "hisprice"),
    "low_height": ("lowheight",),
    "high_height": ("highheight",),
    "photo": ("photo", "photograph", "picture", "image", "file", "foto"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments", "bemerkung"),
    "text": ("text", "astyped"),
}  # fmt: skip

_HEAD_ROWS = 10
_SEPARATORS = (",", ";", "\t", "|")
_YES = {"yes": True, "y": True, "true": True, "x": True, "1": True, "no": False, "n": False,
        "false": False, "0": False}  # fmt: skip


@dataclass(slots=True)
class CountTable:
    """What a CSV file says: pieces, kinds looked for and not there, lines to ask about."""

    pieces: list[Piece] = field(default_factory=list)
    absent: list[str] = field(default_factory=list)
    notices: list[Problem] = field(default_factory=list)


def write_count_csv(
    pieces: Iterable[Piece],
    absent: Iterable[str] = (),
    names: Mapping[str, str] | None = None,
    *,
    raw: bool = False,
) -> str:
    """Return pieces as CSV; ``absent`` kinds were looked for and stand with quantity 0.

    names: what each kind is called, for people to read. raw: no guard against formulas.
    """
    names = names or {}
    rows: list[Sequence[Cell]] = [COLUMNS]
    rows += [_row(piece, names) for piece in pieces]
    for kind in absent:
        row: dict[str, Cell] = {"qty": Amount("0", 0), "kind": kind}
        row["thing"] = names.get(kind, kind)
        rows.append([row.get(column, "") for column in COLUMNS])
    return rows_to_csv(rows, raw=raw)


def _row(piece: Piece, names: Mapping[str, str]) -> list[Cell]:
    written: dict[str, Cell] = {}
    for column in COLUMNS:
        value = getattr(piece, column, None)
        if value is None or value == "":
            continue
        if isinstance(value, bool):
            written[column] = "yes" if value else "no"
        elif isinstance(value, int):
            written[column] = Amount(str(value), value)
        elif isinstance(value, Length):
            written[column] = _with_unit(value)
        elif isinstance(value, Money):
            written[column] = Amount(str(value.major), value.major)
        elif isinstance(value, tuple):
            written[column] = "; ".join(_part(part) for part in value)
        else:
            written[column] = str(value)
    if not piece.his:
        written.pop("his", None)
    written["thing"] = names.get(piece.kind or "", piece.kind or piece.text)
    return [written.get(column, "") for column in COLUMNS]


def _with_unit(length: Length) -> str:
    """Return a length as typed, with the unit that was understood when none was typed."""
    typed = str(length)
    try:
        bare = length.unit is not None and read_length(typed).unit is None
    except QuantityError:  # the text says more, or something else: the figure is what counts
        return str(replace(length, text=""))
    return f"{typed}{length.unit}" if bare else typed


def _part(part: object) -> str:
    return f"{part.id}={_with_unit(part.value)}" if isinstance(part, Reading) else str(part)


def read_count_csv(
    text: str,
    file: str,
    reader: Reader,
    kinds: Iterable[str],
    currency: str,
    columns: Mapping[str, str] | None = None,
) -> CountTable:
    """Return what the table says.

    columns: our name -> the file's heading, where it is none of the known ones. A row whose kind
    is not given is read from its description; one that could mean several things is kept as
    typed and noticed. Raises FileError with all faults of figures at once.
    """
    rows = _parsed(text.removeprefix("\ufeff"), file)
    head, spots = _headings(rows, columns or {}, file)
    table = CountTable()
    problems: list[Problem] = []
    reading = _Rows(file, reader, frozenset(kinds), currency, table, problems)
    for number, row in enumerate(rows[head + 1 :], head + 2):
        cells = {
            name: clean_text(unguard(row[spot]), 2_000).strip()
            for name, spot in spots.items()
            if spot < len(row)
        }
        if any(cells.values()):
            reading.take(cells, number, spots)
    if problems:
        raise FileError(tuple(problems))
    return table


def _parsed(text: str, file: str) -> list[list[str]]:
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(_SEPARATORS, key=first.count)
    try:
        return list(csv.reader(text.splitlines(keepends=True), delimiter=separator))
    except csv.Error as error:
        raise KitreckonError(f"not a CSV table: {error}", where=file) from error


def _headings(
    rows: Sequence[Sequence[str]], columns: Mapping[str, str], file: str
) -> tuple[int, dict[str, int]]:
    """Return the row of headings and the place of each column; titles above it are passed."""
    for number, row in enumerate(rows[:_HEAD_ROWS]):
        spots = _spots(row, columns)
        if "thing" in spots or "kind" in spots or "text" in spots:
            return number, spots
    raise KitreckonError(
        "no column says what the things are",
        where=file,
        want='a heading such as "item" or "description", or --column thing=HEADING',
    )


def _spots(row: Sequence[str], columns: Mapping[str, str]) -> dict[str, int]:
    named = {_letters(heading): name for name, heading in columns.items()}
    spots: dict[str, int] = {}
    for spot, heading in enumerate(row):
        letters = _letters(heading)
        name = named.get(letters) or next(
            (name for name, known in HEADINGS.items() if letters in known), ""
        )
        if name and name not in spots:
            spots[name] = spot
    return spots


def _letters(heading: str) -> str:
    spelt = heading.lower().replace("ö", "oe").replace("ü", "ue").replace("é", "e")
    return re.sub(r"[^a-z]", "", spelt.replace("ß", "ss").replace("ä", "ae"))


class _Rows:
    """Turns rows into pieces, collecting every fault with its line and column."""

    def __init__(
        self,
        file: str,
        reader: Reader,
        kinds: frozenset[str],
        currency: str,
        table: CountTable,
        problems: list[Problem],
    ) -> None:
        self.file = file
        self.reader = reader
        self.kinds = kinds
        self.currency = currency
        self.table = table
        self.problems = problems

    def take(self, cells: dict[str, str], line: int, spots: Mapping[str, int]) -> None:
        """Add what one row says."""
        facts = self._facts(cells, line, spots)
        kind = cells.get("kind", "")
        if kind in self.kinds:
            self._add(kind, facts)
            return
        if kind and "thing" not in cells and "text" not in cells:
            self._fault(line, spots["kind"], f"unknown kind {kind!r}", "an id of the catalogue")
            return
        self._read(cells.get("text") or cells.get("thing") or kind, facts, line, spots)

    def _add(self, kind: str, facts: dict[str, Any]) -> None:
        if facts.get("qty") == 0:
            self.table.absent.append(kind)
        else:
            self.table.pieces.append(Piece(self._next_id(), kind, **facts))

    def _next_id(self) -> str:
        return f"p{len(self.table.pieces) + 1}"

    def _read(self, text: str, facts: dict[str, Any], line: int, spots: Mapping[str, int]) -> None:
        """Read a description; what stands in other columns is surer than what it says."""
        reading = self.reader.read_line(text)
        taken = [piece for piece in reading.pieces if piece.taken]
        if len(taken) == 1 and len(reading.pieces) == 1:
            read = taken[0]
            names = ("qty", "set_of", "size", "mount", "back", "condition", "parts_missing",
                     "unsafe")  # fmt: skip
            said = {name: getattr(read, name) for name in names}
            said["mount"] = read.interface
            if read.state == "absent":
                said["qty"] = 0
            self._add(read.kind, {**said, "text": text, **facts})
            return
        column = spots.get("thing", 0) + 1
        found = f"{text!r} is kept as typed: it is not clear what it is"
        self.table.notices.append(Problem(self.file, line, column, found, ""))
        self.table.pieces.append(Piece(self._next_id(), None, **{**facts, "text": text}))

    def _facts(
        self, cells: Mapping[str, str], line: int, spots: Mapping[str, int]
    ) -> dict[str, Any]:
        facts: dict[str, Any] = {}
        for name, typed in cells.items():
            if not typed or name in ("kind", "thing"):
                continue
            try:
                value = _value(name, typed, self.currency)
            except QuantityError as error:
                self._fault(line, spots[name], error.what, error.want)
                continue
            if value is not None:
                facts[name] = value
        return facts

    def _fault(self, line: int, spot: int, found: str, remedy: str) -> None:
        self.problems.append(Problem(self.file, line, spot + 1, found, remedy))


def _value(name: str, typed: str, currency: str) -> Any:
    if name in ("qty", "set_of", "set_has"):
        return read_count(typed)
    if name in ("size", "low_height", "high_height"):
        return read_length(typed)
    if name == "mount":
        return canonical_designation(typed)
    if name in ("floor", "repair"):
        return read_money(typed, currency)
    if name == "marked_rpm":
        return int(read_length(typed).amount)
    if name in ("tried", "his"):
        return _YES.get(typed.lower())
    if name == "condition":
        return _condition(typed)
    if name == "parts_missing":
        return tuple(part.strip() for part in typed.split(";") if part.strip())
    if name == "readings":
        return tuple(_reading(part) for part in typed.split(";") if part.strip())
    if name == "back":
        return typed if typed in ("plain", "backplate", "direct") else None
    if name == "body":
        return typed if typed in ("cast-iron", "steel") else None
    return typed


def _condition(typed: str) -> str | None:
    """Return a grade where the word is one; other people's words for state go unread."""
    word = re.sub(r"[^a-z]+", "-", typed.lower()).strip("-")
    return word if word in CONDITIONS else None


def _reading(typed: str) -> Reading:
    name, _, value = typed.partition("=")
    return Reading(name.strip(), read_length(value.strip()))
