"""A count as a CSV table, ours or other people's: read by its headings, in whatever order."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from kitreckon.book.table_cells import UnknownWordError, read_cell
from kitreckon.count import Piece
from kitreckon.errors import FileError, KitreckonError, Problem
from kitreckon.quantities import QuantityError, clean_text, read_designation
from kitreckon.quantities.cells import unguard
from kitreckon.reading.to_pieces import pieces_of

if TYPE_CHECKING:
    from kitreckon.reading import Reader

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
    "seen": ("seen", "looked", "lookedat"),
    "floor": ("floor", "hisprice"),
    "low_height": ("lowheight",),
    "high_height": ("highheight",),
    "photo": ("photo", "photograph", "picture", "image", "file", "foto"),
    "note": ("note", "notes", "remark", "remarks", "comment", "comments", "bemerkung"),
    "text": ("text", "astyped"),
}  # fmt: skip

_HEAD_ROWS = 10
_SEPARATORS = (",", ";", "\t", "|")
# What a row says of one thing: where its words name several, nobody knows of which.
_OF_ONE = frozenset({"size", "set_of", "set_has", "repair", "floor", "readings"})


@dataclass(slots=True)
class CountTable:
    """What a CSV file says: pieces, kinds looked for and not there, what to tell the user."""

    pieces: list[Piece] = field(default_factory=list)
    absent: list[str] = field(default_factory=list)
    notices: list[Problem] = field(default_factory=list)
    kept: int = 0  # lines kept as typed, for nobody knows what they are


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
    typed and noticed. A word that is not ours goes into the note and is noticed. Raises
    FileError with all faults of figures at once.
    """
    rows = _parsed(text.removeprefix("\ufeff"), file)
    head, spots = _headings(rows, columns or {}, file)
    reading = _Rows(file, reader, frozenset(kinds), currency, spots)
    for number, row in enumerate(rows[head + 1 :], head + 2):
        cells = {
            name: clean_text(unguard(row[spot]), 2_000).strip()
            for name, spot in spots.items()
            if spot < len(row)
        }
        if any(cells.values()):
            reading.take(cells, number)
    if reading.problems:
        raise FileError(tuple(reading.problems))
    return reading.table


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
    """Return the row of headings and the place of each column; titles above it are passed.

    Raises KitreckonError where a heading that the user named is not there.
    """
    seen: dict[str, int] = {}
    for number, row in enumerate(rows[:_HEAD_ROWS]):
        spots = _spots(row, columns)
        if not {*spots, *_spots(row, {})}.isdisjoint(("thing", "kind", "text")):
            there = ", ".join(heading.strip() for heading in row if heading.strip())
            _check_named(columns, spots, file, f"one of: {clean_text(there)}")
            return number, spots
        seen |= spots
    _check_named(columns, seen, file, "a heading as it stands in the file")
    raise KitreckonError(
        "no column says what the things are",
        where=file,
        want='a heading such as "item" or "description", or --column thing=HEADING',
    )


def _check_named(
    columns: Mapping[str, str], spots: Mapping[str, int], file: str, want: str
) -> None:
    for name, heading in columns.items():
        if name not in spots:
            raise KitreckonError(
                f"no column is headed {clean_text(heading)!r}", where=file, want=want
            )


def _spots(row: Sequence[str], columns: Mapping[str, str]) -> dict[str, int]:
    """Return where each column stands; what the user named goes before what we know."""
    spots: dict[str, int] = {}
    for name, named in columns.items():
        alike = [spot for spot, heading in enumerate(row) if _same_heading(heading, named)]
        spots |= {name: alike[0]} if alike else {}
    taken = set(spots.values())
    for spot, heading in enumerate(row):
        letters = _letters(heading)
        name = next((name for name, known in HEADINGS.items() if letters in known), "")
        if name and spot not in taken and name not in spots and name not in columns:
            spots[name] = spot
    return spots


def _same_heading(one: str, other: str) -> bool:
    letters = _letters(one)
    same = one.strip().casefold() == other.strip().casefold()
    return same or (letters != "" and not re.search(r"\d", one) and letters == _letters(other))


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
        spots: Mapping[str, int],
    ) -> None:
        self.file = file
        self.reader = reader
        self.kinds = kinds
        self.currency = currency
        self.spots = spots
        self.table = CountTable()
        self.problems: list[Problem] = []

    def take(self, cells: dict[str, str], line: int) -> None:
        """Add what one row says."""
        facts = self._facts(cells, line)
        kind = cells.get("kind", "")
        if kind in self.kinds:
            self._add(Piece("", kind), facts)
        elif kind and not (cells.get("thing") or cells.get("text")):
            problem = self._told(line, "kind", f"unknown kind {kind!r}", "an id of the catalogue")
            self.problems.append(problem)
        else:
            self._read(cells.get("text") or cells.get("thing") or kind, facts, line)

    def _add(self, piece: Piece, facts: Mapping[str, Any]) -> None:
        if facts.get("qty") == 0 and piece.kind is not None:
            self.table.absent.append(piece.kind)
            return
        number = len(self.table.pieces) + 1
        self.table.pieces.append(replace(piece, **{**facts, "id": f"p{number}"}))

    def _read(self, text: str, facts: Mapping[str, Any], line: int) -> None:
        """Read a description; what stands in other columns is surer than what it says.

        But not that a thing is there: a row may be numbered 1 and say "no follow rest".
        """
        reading = self.reader.read_line(text)
        if len(reading.pieces) != 1 or not reading.pieces[0].taken:
            self._keep(text, facts, line)
            return
        (read,) = reading.pieces
        if read.state == "absent":
            self.table.absent.append(read.kind)
            if facts.get("qty"):
                found = f"{text!r} is none here, whatever its quantity says"
                self.table.notices.append(self._told(line, "qty", found, ""))
            return
        pieces = pieces_of(read, text)
        if len(pieces) == 1:
            self._add(pieces[0], facts)
        elif _OF_ONE & set(facts) or facts.get("qty") not in (None, len(pieces)):
            self._keep(text, facts, line)
        else:
            for piece in pieces:
                self._add(piece, {**facts, "qty": 1})

    def _keep(self, text: str, facts: Mapping[str, Any], line: int) -> None:
        """Keep a line as typed, to be asked about."""
        column = "thing" if "thing" in self.spots else "text"
        found = f"{text!r} is kept as typed: it is not clear what it is"
        self.table.notices.append(self._told(line, column, found, ""))
        self.table.kept += 1
        self._add(Piece("", None), {**facts, "text": text})

    def _facts(self, cells: Mapping[str, str], line: int) -> dict[str, Any]:
        facts: dict[str, Any] = {}
        strange: list[str] = []
        for name, typed in cells.items():
            if not typed or name in ("kind", "thing"):
                continue
            try:
                value = read_cell(name, typed, self.currency)
            except QuantityError as error:
                self.problems.append(self._told(line, name, error.what, error.want))
            except UnknownWordError as error:
                strange.append(f"{name}: {typed}")
                found = f"{typed!r} is not known as {name}: it is kept in the note"
                self.table.notices.append(self._told(line, name, found, error.want))
            else:
                if value is not None:
                    facts[name] = value
                    self._doubt(name, typed, value, line)
        if strange:
            facts["note"] = "; ".join(filter(None, (facts.get("note", ""), *strange)))
        return facts

    def _doubt(self, name: str, typed: str, value: Any, line: int) -> None:
        """Tell what is kept though nothing can be reckoned from it."""
        if name == "mount" and read_designation(typed) is None:
            found = f"{typed!r} is no designation we know: its fit cannot be told"
            remedy = "for example D1-4, L00, 1-1/2-8, MT3, ER32"
            self.table.notices.append(self._told(line, name, found, remedy))
        if name == "size" and value.unit is None:
            found = f"{typed} has no unit: its size is not reckoned with"
            self.table.notices.append(self._told(line, name, found, f"{typed}in or {typed}mm"))

    def _told(self, line: int, column: str, found: str, remedy: str) -> Problem:
        return Problem(self.file, line, self.spots.get(column, 0) + 1, found, remedy)
