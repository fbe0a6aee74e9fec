"""A copy of the example book that is thrown away afterwards."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from kitreckon.commands.opening import examples_folder

if TYPE_CHECKING:
    from kitreckon.book import Book


class ThrowAway:
    """Opens copies of the example book in a folder of its own."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._opened: list[Book] = []

    def open(self) -> Book:
        """Return a fresh copy of the example book, open."""
        from kitreckon.book import Book

        path = self._folder / f"example-{len(self._opened) + 1}" / "book.json"
        path.parent.mkdir()
        shutil.copyfile(examples_folder() / "book.json", path)
        book = Book.open(path)
        self._opened.append(book)
        return book

    def close(self) -> None:
        """Close what was opened."""
        for book in self._opened:
            book.close()


@contextmanager
def throw_away() -> Iterator[ThrowAway]:
    """Give a ThrowAway whose copies are gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="kitreckon-demo-") as folder:
        copies = ThrowAway(Path(folder))
        try:
            yield copies
        finally:
            copies.close()
