"""What commands open: the catalogue, a count sheet, the book; and where a user keeps them."""

from __future__ import annotations

import os
import shlex
import sys
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from kitreckon.commands.streams import complain
from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.book import Book
    from kitreckon.book.sheet import Sheet
    from kitreckon.catalogue.load import OpenCatalogue
    from kitreckon.errors import Problem

LONGEST_TEXT = 20_000_000  # bytes of advert or CSV; a line-by-line reading has no limit


class Refusals:
    """The faults of several files, told together: none of them hides another's."""

    def __init__(self) -> None:
        self.errors: list[KitreckonError] = []

    @contextmanager
    def noted(self) -> Iterator[None]:
        """Note a fault of the user's that is met within, and go on after it."""
        try:
            yield
        except KitreckonError as error:
            self.errors.append(error)

    def refuse(self) -> None:
        """Raise all that was noted as one error, if there is any."""
        told = dict.fromkeys(str(error) for error in self.errors)
        if told:
            raise KitreckonError("\n".join(told)) from self.errors[0]


def user_path(path: Path | str) -> Path:
    """Return a path with the user's home in place of its ~.

    Raises KitreckonError where it names the home of somebody who is not known here.
    """
    try:
        return Path(path).expanduser()
    except RuntimeError as error:
        raise KitreckonError(
            "no home folder is known for that name", where=str(path), want="the path written out"
        ) from error


def data_folder() -> Path:
    """Return the user's data folder for this program, whether it exists or not."""
    from kitreckon.book import paths

    return paths.data_folder(os.environ, sys.platform)


def book_path(options: Namespace) -> Path:
    """Return the book meant: --book, then KITRECKON_BOOK, then the data folder's."""
    given = getattr(options, "book", None) or os.environ.get("KITRECKON_BOOK")
    return user_path(given) if given else data_folder() / "book.json"


def catalogue_folders(options: Namespace) -> tuple[Path, ...]:
    """Return the folders laid over ours: the user's own one when it is there, then those given."""
    given = [user_path(folder) for folder in getattr(options, "catalogue", None) or ()]
    for folder in given:
        if not folder.is_dir():
            raise KitreckonError(
                "no such folder", where=str(folder), want="a folder of catalogue files"
            )
    own = data_folder() / "catalogs"
    return tuple(([own] if own.is_dir() else []) + given)


def open_catalogue(options: Namespace, language: str = "en") -> OpenCatalogue:
    """Return the catalogue with the user's folders laid over it."""
    from kitreckon.catalogue.load import open_catalogue as open_folders

    catalogue = open_folders(catalogue_folders(options), language)
    known = sorted({path.name for folder in catalogue.folders for path in folder.glob("words/*")})
    if language not in known:
        raise KitreckonError(
            f"no words in the language {language!r}", want=f"one of {', '.join(known)}"
        )
    return catalogue


@contextmanager
def told_where_refused(catalogue: OpenCatalogue) -> Iterator[None]:
    """Tell what was left out of the catalogue before a refusal that is met within.

    A kind that was left out is why a sheet that names it is refused.
    """
    try:
        yield
    except KitreckonError:
        tell_problems(catalogue)
        raise


def tell_problems(catalogue: OpenCatalogue) -> None:
    """Say on standard error what of the catalogue was left out and why, one line a file."""
    by_file: dict[str, list[Problem]] = {}
    for problem in sorted(catalogue.problems):
        by_file.setdefault(problem.file, []).append(problem)
    for problems in by_file.values():
        more = f" (and {len(problems) - 1} more in this file)" if problems[1:] else ""
        complain(f"left out: {problems[0]}{more}")
    for folder in catalogue.folders:
        files = [file for file in by_file if Path(file).is_relative_to(folder)]
        if any(by_file[file][1:] for file in files):
            complain(f"kitreckon check {shlex.quote(str(folder))} tells them all")


def open_sheet(path: Path, catalogue: OpenCatalogue) -> Sheet:
    """Return the count sheet in a file; its notices are told on standard error."""
    from kitreckon.book.sheet import read_sheet

    data = read_bytes(path)
    if is_book(data):
        raise KitreckonError(
            "a book, not a count sheet", where=str(path), want="--book with its name"
        )
    sheet = read_sheet(data, str(path), catalogue)
    for notice in sheet.notices:
        complain(str(notice))
    return sheet


def read_bytes(path: Path, most: int = LONGEST_TEXT) -> bytes:
    """Return what is in a file, or raise KitreckonError saying why it cannot be read."""
    try:
        with user_path(path).open("rb") as stream:
            data = stream.read(most + 1)
    except OSError as error:
        raise KitreckonError(
            error.strerror or "cannot be read",
            where=str(path),
            want="check the name and the rights of the file",
        ) from error
    if len(data) > most:
        raise KitreckonError(
            "too long to be read at once", where=str(path), want=f"at most {most:,} bytes"
        )
    return data


def is_table(file: Path) -> bool:
    """Return whether a file is read as a table, by the ending of its name."""
    return file.suffix.lower() in (".csv", ".tsv")


def is_book(data: bytes) -> bool:
    """Return whether a file holds a book, whole or damaged; a count sheet may be JSON as well."""
    head = data.lstrip()[:4_000]
    if not head.startswith(b"{"):
        return False
    return b'"tables"' in head or not (b"subject" in head or b"machine" in head)


def text_of(data: bytes, name: str) -> str:
    """Return what bytes say; KitreckonError where they are no text in UTF-8 (or marked UTF-16)."""
    utf16 = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        text = data.decode("utf-16" if utf16 else "utf-8-sig")
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise KitreckonError(
            "not UTF-8 text", where=f"{name}:{line}", want="save the file as UTF-8"
        ) from error
    if "\0" in text:  # a picture would be read as chucks
        raise KitreckonError("not a text", where=name, want="words in a text file")
    return text


def open_book(options: Namespace) -> Book:
    """Return the book; what it has to say on opening is told on standard error."""
    from kitreckon.book import Book

    book = Book.open(book_path(options))
    for notice in book.notices:
        complain(notice)
    return book


def examples_folder() -> Path:
    """Return our examples: beside the package in a wheel, at the top in a checkout."""
    package = Path(__file__).resolve().parents[1]
    for folder in (package / "examples", package.parents[1] / "examples"):
        if folder.is_dir():
            return folder
    raise KitreckonError(
        "the examples are missing", where=str(package), want="install kitreckon again"
    )
