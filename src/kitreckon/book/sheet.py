"""The count sheet: one machine with its visit, as a YAML text people can write and send."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from kitreckon.book.sheet_notices import notices_of
from kitreckon.book.sheet_shapes import settings_shape, sheet_shape
from kitreckon.book.sheet_values import TypedLine
from kitreckon.catalogue.model import Catalogue, Outfit
from kitreckon.catalogue.shapes import At, nearest
from kitreckon.catalogue.yaml_text import Mapping, Scalar, parse
from kitreckon.count import (
    FINDING_LOOK,
    Correction,
    Look,
    Machine,
    OwnPrice,
    Piece,
    Preferences,
    Purchase,
    Visit,
)
from kitreckon.errors import FileError, Problem

FORMAT = "1"
SUBJECT = "count"
T = TypeVar("T", bound=Any)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One machine with its visit, and what of the user's own records goes with it.

    ``notices`` say what was kept as typed and is to be asked about; they are no faults.
    ``has_settings`` is False where the preferences are only the defaults of a sheet without any.
    """

    machine: Machine
    visit: Visit
    shelf: tuple[Piece, ...] = ()
    own_prices: tuple[OwnPrice, ...] = ()
    preferences: Preferences = field(default_factory=Preferences)
    purchases: tuple[Purchase, ...] = ()
    corrections: tuple[Correction, ...] = ()
    notices: tuple[Problem, ...] = field(default=(), compare=False)
    has_settings: bool = field(default=False, compare=False)


def read_sheet(text: str | bytes, file: str, catalogue: Catalogue) -> Sheet:
    """Return the sheet a text holds.

    file: the name used in messages. Raises FileError with every fault found: file, line,
    column, what was found and what would be right.
    """
    root, problems = parse(text, file)
    if root is None:
        raise FileError(tuple(problems))
    at = At(problems)
    _check_head(root, at)
    preferences = _settings(root)
    values = sheet_shape(catalogue, preferences.currency).read(root, at)
    if isinstance(values, dict):
        _check_looks(root, values["machine"], catalogue, at)
    if problems:
        raise FileError(tuple(sorted(problems)))
    assembly = _Assembly(catalogue, values)
    assembly.notices += notices_of(root, catalogue)
    return assembly.sheet(preferences)


def write_sheet(sheet: Sheet) -> str:
    """Return the sheet as text; reading it again gives an equal sheet."""
    from kitreckon.book.sheet_text import sheet_text

    return sheet_text(sheet)


def sheet_schema(catalogue: Catalogue) -> dict[str, Any]:
    """Return the JSON Schema of a count sheet, for editors that complete and check."""
    schema = sheet_shape(catalogue, Preferences().currency).json_schema()
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    return {**head, "title": "kitreckon count sheet", **schema}


def id_from_name(name: str) -> str:
    """Return the id of a machine that was given none: its name in letters, digits and dashes.

    >>> id_from_name("12 in engine lathe")
    '12-in-engine-lathe'
    """
    letters = (c if c.isascii() and c.isalnum() else "-" for c in name.lower())
    parts = [part for part in "".join(letters).split("-") if part]
    return "-".join(parts)[:60].strip("-") or "machine"


def none_seen(
    absent: Iterable[str], outfit: Outfit | None, pieces: Iterable[Piece]
) -> tuple[Look, ...]:
    """Return looks that saw none for the lines of an outfit that kinds said to be absent fill.

    A line that something else fills is not one of them: no 6-jaw chuck, but a 3-jaw is here. A
    kind that has lines of its own says nothing of those it could fill as well.
    """
    gone, here = set(absent), {piece.kind for piece in pieces}
    wants = outfit.wants if outfit is not None else ()
    without_line = gone - {want.kind for want in wants}
    return tuple(
        Look(want.id, 0)
        for want in wants
        if (want.kind in gone or without_line & set(want.any_of)) and not here & set(want.any_of)
    )


def _check_head(root: Mapping, at: At) -> None:
    """Say plainly when the file is another thing, before a hundred unknown fields do."""
    subject = root.entries.get("subject")
    if isinstance(subject, Scalar) and subject.text != SUBJECT:
        at.wrong(subject, f"subject {subject.text!r}", f"a count sheet says subject: {SUBJECT}")
        raise FileError(tuple(at.problems))
    if subject is None and "machine" not in root.entries:
        at.wrong(root, "not a count sheet", f'start with "format: 1" and "subject: {SUBJECT}"')
        raise FileError(tuple(at.problems))


def _settings(root: Mapping) -> Preferences:
    """Read the settings beforehand: prices need their currency. Faults are noted later."""
    node = root.entries.get("settings")
    read = settings_shape().read(node, At([])) if node is not None else None
    return read if isinstance(read, Preferences) else Preferences()


def _check_looks(root: Mapping, machine: Machine, catalogue: Catalogue, at: At) -> None:
    node = root.entries.get("looks")
    outfit = catalogue.outfits.get(machine.machine_class)
    if outfit is None or not isinstance(node, Mapping):
        return
    wants = tuple(want.id for want in outfit.wants)
    wants += tuple(FINDING_LOOK + rule for rule in catalogue.findings)  # asked, and not so
    for name, key in node.keys.items():
        if name not in wants:
            where = f"no line {name!r} in the outfit of {machine.machine_class}"
            remedy = nearest(name, wants)
            if not remedy.startswith("did you mean"):
                remedy = "its lines: " + ", ".join(want.id for want in outfit.wants)
            at.inside("looks").wrong(key, where, remedy)


class _Assembly:
    """Puts a sheet together from the values read: ids given, typed lines read."""

    def __init__(self, catalogue: Catalogue, values: dict[str, Any]) -> None:
        self.catalogue = catalogue
        self.values = values
        self.notices: list[Problem] = []
        self.absent: list[str] = []
        self._reader: Any = None

    def sheet(self, preferences: Preferences) -> Sheet:
        """Return the sheet."""
        values = self.values
        machine: Machine = values["machine"]
        machine = replace(machine, id=machine.id or id_from_name(machine.name))
        pieces = self._pieces(values.get("pieces", ()), "p")
        visit = Visit(
            machine_id=machine.id,
            pieces=pieces,
            looks=self._looks(machine, pieces),
            findings=_numbered(values.get("findings", ()), "f"),
            sayings=_numbered(values.get("sayings", ()), "s"),
            clock_s=values.get("clock_s", 0),
            clock_started_utc=values.get("clock_started_utc"),
        )
        return Sheet(
            machine,
            visit,
            self._pieces(values.get("shelf", ()), "o"),
            _numbered(values.get("own_prices", ()), "w"),
            preferences,
            _numbered(values.get("purchases", ()), "b"),
            _numbered(values.get("corrections", ()), "c"),
            tuple(sorted(self.notices)),
            has_settings="settings" in values,
        )

    def _pieces(self, entries: Iterable[Piece | TypedLine], letter: str) -> tuple[Piece, ...]:
        pieces: list[Piece] = []
        for entry in entries:
            pieces += self._read(entry) if isinstance(entry, TypedLine) else [entry]
        return _numbered(pieces, letter)

    def _looks(self, machine: Machine, pieces: Sequence[Piece]) -> tuple[Look, ...]:
        """Return the looks written; "no steady rest" typed as a line is looked for, none seen."""
        looks: dict[str, int] = dict(self.values.get("looks", {}))
        for look in none_seen(
            self.absent, self.catalogue.outfits.get(machine.machine_class), pieces
        ):
            looks.setdefault(look.want, look.seen)
        return tuple(Look(want, seen) for want, seen in looks.items())

    def _read(self, line: TypedLine) -> list[Piece]:
        from kitreckon.reading.to_pieces import pieces_of

        reading = self._lines().read_line(line.text)
        pieces: list[Piece] = []
        for read in reading.pieces:
            if read.taken and read.state == "absent":
                self.absent.append(read.kind)
            elif read.taken:
                pieces += pieces_of(read, line.text)
        if not reading.pieces or not all(read.taken for read in reading.pieces):
            pieces.append(Piece("", None, text=line.text))
            self._notice(line, reading.questions)
        return pieces

    def _notice(self, line: TypedLine, questions: Sequence[Any]) -> None:
        likely = list(dict.fromkeys(read.kind for read in questions))[:3]
        remedy = f"write kind: {' or '.join(likely)}" if likely else "write it with kind: ..."
        found = f"{line.text!r} is kept as typed: it could mean several things"
        self.notices.append(Problem(line.file, line.line, line.column, found, remedy))

    def _lines(self) -> Any:
        if self._reader is None:
            from kitreckon.reading import Reader

            corrections = self.values.get("corrections", ())
            self._reader = Reader(self.catalogue.kinds, self.catalogue.rules, corrections)
        return self._reader


def _numbered(records: Iterable[T], letter: str) -> tuple[T, ...]:
    """Give every record without an id the next free one: p1, p2, ..."""
    records = list(records)
    used = {record.id for record in records}
    numbered: list[T] = []
    for position, record in enumerate(records, 1):
        number = position
        while not record.id and f"{letter}{number}" in used:
            number += len(records)
        if not record.id:
            record = replace(record, id=f"{letter}{number}")
            used.add(record.id)
        numbered.append(record)
    return tuple(numbered)
