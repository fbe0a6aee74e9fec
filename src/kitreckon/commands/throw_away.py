"""A copy of the example book that is thrown away afterwards."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from kitreckon.commands.opening import examples_folder

if TYPE_CHECKING:
    from kitreckon.book import Book


class ThrowAway:
    """Opens copies of the example book, each in a folder that is made when it is asked for."""

    def __init__(self, stack: ExitStack) -> None:
        self._stack = stack

    def open(self) -> Book:
        """Return a fresh copy of the example book, open."""
        from kitreckon.book import Book

        folder = tempfile.TemporaryDirectory(prefix="kitreckon-demo-")
        path = Path(self._stack.enter_context(folder)) / "book.json"
        shutil.copyfile(examples_folder() / "book.json", path)
        return self._stack.enter_context(Book.open(path))


@contextmanager
def throw_away() -> Iterator[ThrowAway]:
    """Give a ThrowAway whose copies are gone afterwards."""
    with ExitStack() as stack:
        yield ThrowAway(stack)
