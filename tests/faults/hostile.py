"""Texts that hurt programs which show them as they come, and a book full of them."""

from __future__ import annotations

import dataclasses
import itertools
import typing
import unicodedata
from pathlib import Path
from typing import Any, Literal

from builders import a_lathe, a_piece, dollars
from kitreckon.book import Book
from kitreckon.count import (
    Correction,
    ExtraCost,
    Finding,
    Look,
    Machine,
    OwnPrice,
    Piece,
    Preferences,
    Purchase,
    Reading,
    Saying,
    Visit,
)
from kitreckon.quantities import Length, Money, Range, clean_text, read_length

HOSTILE = (
    "[/]",
    "[/",
    "[red]",
    "[/red]",
    "a[/b",
    "x\\",
    "\\[",
    "[$accent]",
    "[@click=app.hostile]q[/]",
    "[link=https://example.org]here[/link]",
    "{0} {name} %s %(x)d ${HOME}",
    "\x1b[31mred\x1b[0m",
    "\x1b]52;c;ZXZpbA==\x07",
    "\x1b]8;;https://example.org\x1b\\here\x1b]8;;\x1b\\",
    "\x9b2J\x90q\x9c",
    "a\x00b\x7fc\x08\x0c\ud800d",
    "two\r\nlines\tand a tab",
    "\u202edlrow olleh\u202c",
    "zero\u200bwidth\u2060\ufeff",
    "e" + "\u0301" * 40,
    "旋盤の三爪チャック",
    "👩\u200d🔧🇬🇧✂️",
    "=cmd|'/c calc'!A1",
    "<script>alert('x')</script>&amp;",
    "x" * 3000,
)
MARK = "hostile"  # the action that the click markup would call


def bad_characters(text: str) -> set[str]:
    """Return what must never reach a terminal, of a text that may hold newlines."""
    return {
        character
        for character in text
        if character not in "\n\u200d"
        and unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co")
    }


class Supply:
    """Deals hostile texts out in turn, so that every one stands in many fields."""

    def __init__(self, *, plain_ids: bool = False) -> None:
        self._texts = itertools.cycle(HOSTILE)
        self._number = itertools.count(1)
        self._plain_ids = plain_ids

    def text(self) -> str:
        return next(self._texts)

    def id(self) -> str:
        """Return an id: hostile too, as far as an id may be, unless it is to be plain."""
        if self._plain_ids:
            return f"p{next(self._number)}"
        return f"{clean_text(self.text())[:30]}-{next(self._number)}"

    def fill(self, cls: Any, **fixed: Any) -> Any:
        """Return an object with a hostile text in every field that holds text."""
        hints = typing.get_type_hints(cls)
        names = [field.name for field in dataclasses.fields(cls) if field.name not in fixed]
        return cls(**fixed, **{name: self._value(name, hints[name]) for name in names})

    def _value(self, name: str, hint: Any) -> Any:
        inside = typing.get_args(hint)
        if name in ("id", "want"):
            return self.id()
        if hint is str or (str in inside and type(None) in inside):
            return self.text()
        if hint == tuple[str, ...]:
            return (self.text(), self.text())
        if hint == tuple[tuple[str, bool], ...]:
            return ((self.text(), True), (self.text(), False))
        return self._figure(hint, inside)

    def _figure(self, hint: Any, inside: tuple[Any, ...]) -> Any:
        plain: dict[Any, Any] = {
            int: 1,
            bool: True,
            float: 0.5,
            Length: dataclasses.replace(read_length("8in"), text=self.text()),
            Money: dollars(100),
            Range[Money]: Range(dollars(50), dollars(100), dollars(200)),
            tuple[Reading, ...]: (Reading(self.text(), read_length("0.1mm")),),
            tuple[ExtraCost, ...]: (ExtraCost(self.text(), dollars(40)),),
            tuple[tuple[int, float], ...]: ((2025, 1.1),),
        }
        if hint in plain:
            return plain[hint]
        first = next(one for one in inside if one is not type(None))
        if typing.get_origin(first) is Literal:
            return typing.get_args(first)[0]
        return first if typing.get_origin(hint) is Literal else plain[first]


def hostile_machines(supply: Supply) -> tuple[Machine, Machine]:
    """Return one machine that can be reckoned, and one that is hostile through and through."""
    sound = {field.name: getattr(a_lathe(), field.name) for field in dataclasses.fields(Machine)}
    free = ("id", "name", "serial_number", "seller", "place", "note", "extra_costs")
    fixed = {name: value for name, value in sound.items() if name not in free}
    return supply.fill(Machine, **fixed), supply.fill(Machine)


def hostile_visit(supply: Supply, machine_id: str, kinds: tuple[str, ...]) -> Visit:
    pieces = [supply.fill(Piece, kind=kind, condition="good", unsafe="") for kind in kinds]
    pieces += [supply.fill(Piece), supply.fill(Piece, kind=None, his=False)]
    pieces += [dataclasses.replace(a_piece(kinds[0], size="6in", mount="D1-4"), text=supply.text())]
    return Visit(
        machine_id,
        tuple(pieces),
        (Look(kinds[0], 1), Look("steady-rest", 0), supply.fill(Look)),
        (supply.fill(Finding, kind="not-runnable"), supply.fill(Finding)),
        (supply.fill(Saying), supply.fill(Saying)),
        61,
    )


def fill_free_text(book: Book, kinds: tuple[str, ...]) -> str:
    """Fill a book with hostile texts where any text may stand; return the id of its machine."""
    supply = Supply(plain_ids=True)
    machine = hostile_machines(supply)[0]
    free = {"condition": "good", "mount": "D1-4", "parts_missing": (), "readings": ()}
    visit = Visit(
        machine.id,
        tuple(supply.fill(Piece, kind=kind, **free) for kind in (*kinds, None)),
        (Look("steady-rest", 0),),
        (supply.fill(Finding, kind="not-runnable"),),
        (supply.fill(Saying, keeps=()),),
        61,
    )
    changes = book.put(machine) + book.put(visit)
    for kind in kinds:
        changes += book.put(supply.fill(Piece, kind=kind, **free))
        changes += book.put(supply.fill(Purchase, kind=kind, on_date="2026-03-14", machine_id=""))
        changes += book.put(supply.fill(OwnPrice, kind=kind, year=2024))
        changes += book.put(supply.fill(Correction, kind=kind))
    book.commit("fill", changes)
    return machine.id


def fill_hostile(book: Book, kinds: tuple[str, ...]) -> tuple[str, str]:
    """Fill a book with hostile texts in every field; return the ids of its two machines."""
    supply = Supply()
    sound, bad = hostile_machines(supply)
    changes = book.put(sound) + book.put(bad)
    for machine in (sound, bad):
        changes += book.put(hostile_visit(supply, machine.id, kinds))
    for kind in (*kinds, None):
        changes += book.put(supply.fill(Piece, **({"kind": kind} if kind else {})))
        for cls in (Purchase, OwnPrice, Correction):
            changes += book.put(supply.fill(cls, **({"kind": kind} if kind else {})))
    book.commit("".join(HOSTILE)[:190], changes)
    for text in HOSTILE:
        book.commit(text, book.put(dataclasses.replace(sound, note=text)))
    book.commit("settings", book.put(Preferences(currency="USD")))
    return sound.id, bad.id


def hostile_catalogue(folder: Path, kinds: tuple[str, ...]) -> Path:
    """Write a user's catalogue that lays hostile texts over the words of these kinds."""
    supply = Supply()
    lines = ["format: 1", "subject: kinds", "group: hostile", "kinds:"]
    for kind in kinds:
        lines.append(f"  {kind}:")
        for field in ("british", "american", "words"):
            names = ", ".join(_quoted(supply.text()) for _ in range(3))
            lines.append(f"    {field}: [{names}]")
        lines += [f"    {field}: {_quoted(supply.text())}" for field in ("looks_like", "where")]
    (folder / "kinds").mkdir(parents=True)
    (folder / "kinds" / "hostile.yaml").write_text("\n".join(lines) + "\n", "utf-8")
    return folder


def _quoted(text: str) -> str:
    """Return the text in quotes as YAML wants it, what it does not allow as an escape."""
    text = text.replace("\ud800", "")  # which YAML cannot hold at all
    escaped = "".join(
        f"\\u{ord(one):04x}" if unicodedata.category(one) in ("Cc", "Cf") else one
        for one in text[:1900].replace("\\", "\\\\").replace('"', '\\"')
    )
    return f'"{escaped}"'
