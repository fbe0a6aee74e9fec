"""Earlier states of the book, kept in a hidden folder beside it.

A generation is the old file itself under a second name. Kept are the last five, the state at
each of the last thirty starts of the program, and the last state of each of the last thirty
days on which something was saved. The counter orders them, never the clock.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from kitreckon.book.encoding import FORMAT, Envelope, decode_book
from kitreckon.book.errors import NotABookError
from kitreckon.book.safe_write import UnconfirmedError, put_in_place
from kitreckon.book.system import System

LAST = 5
STARTS = 30
DAYS = 30

_NAME = re.compile(r"(\d{9,15})-(\d{8})(-start)?(?:-(\d+))?\.json", re.ASCII)


@dataclass(frozen=True, slots=True)
class Kept:
    """The file of one generation: its number, the day (UTC) it was put by, and why."""

    number: int
    day: str
    start: bool
    copy: int
    name: str


def generations_folder(book: Path) -> Path:
    """Return the hidden folder beside a book that holds its generations."""
    return book.with_name(f".{book.name}.generations")


def kept_generations(system: System, book: Path) -> list[Kept]:
    """Return the generations of a book, oldest first; none when there is no folder."""
    try:
        names = system.list_folder(generations_folder(book))
    except OSError:
        return []
    matches = [match for match in map(_NAME.fullmatch, names) if match]
    kept = [Kept(int(m[1]), m[2], bool(m[3]), int(m[4] or 0), m[0]) for m in matches]
    return sorted(kept, key=lambda one: (one.number, one.day, one.copy))


def read_generation(system: System, book: Path, name: str) -> Envelope | None:
    """Return the book in a generation's file, or None when it is not whole."""
    try:
        envelope = decode_book(system.read(generations_folder(book) / name))
    except (OSError, NotABookError):
        return None
    return envelope if envelope.intact and envelope.format <= FORMAT else None


def keep_generation(
    system: System, book: Path, number: int, at: datetime, *, start: bool, writer: str
) -> Kept:
    """Put the book's present file by as generation ``number``. OSError when it cannot be kept."""
    folder = generations_folder(book)
    for copy in range(100):
        mark = ("-start" if start else "") + (f"-{copy}" if copy else "")
        name = f"{number:09d}-{at:%Y%m%d}{mark}.json"
        try:
            _second_name(system, book, folder / name, writer)
        except FileExistsError:
            if _same(system, book, folder / name):
                return Kept(number, f"{at:%Y%m%d}", start, copy, name)
        else:
            return Kept(number, f"{at:%Y%m%d}", start, copy, name)
    raise OSError(f"generation {number} is there a hundred times")


def superfluous(kept: Iterable[Kept]) -> list[Kept]:
    """Return the generations that none of the three rules keeps, given oldest first."""
    newest_first = list(kept)[::-1]
    days: dict[str, Kept] = {}
    for one in newest_first:
        days.setdefault(one.day, one)
    wanted = {
        *newest_first[:LAST],
        *[one for one in newest_first if one.start][:STARTS],
        *list(days.values())[:DAYS],
    }
    return [one for one in newest_first if one not in wanted]


def _second_name(system: System, book: Path, name: Path, writer: str) -> None:
    """Link, or copy where links cannot be made. Never replaces a file of that name."""
    try:
        try:
            system.link(book, name)
        except FileNotFoundError:
            system.make_folder(name.parent)
            system.link(book, name)
    except FileExistsError:
        raise
    except OSError:
        system.make_folder(name.parent)
        if name.name in system.list_folder(name.parent):
            raise FileExistsError(str(name)) from None
        with suppress(UnconfirmedError):
            put_in_place(system, name, system.read(book), writer=writer)


def _same(system: System, one: Path, other: Path) -> bool:
    with suppress(OSError):
        return system.read(one) == system.read(other)
    return False
