"""What the tests of the screens share: a book, an example book, and an app on either."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from builders import the_catalogue
from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp

NOON = datetime(2025, 6, 14, 12, 0, tzinfo=UTC)
EXAMPLE = Path(__file__).parents[2] / "examples" / "book.json"


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(tmp_path / "book.json", lambda: NOON) as opened:
        yield opened


@pytest.fixture
def example_book(tmp_path: Path) -> Iterator[Book]:
    copy = tmp_path / "example.json"
    shutil.copyfile(EXAMPLE, copy)
    with Book.open(copy, lambda: NOON) as opened:
        yield opened


@pytest.fixture
def app_on() -> Callable[..., KitreckonApp]:
    def make(book: Book, **options: Any) -> KitreckonApp:
        options.setdefault("now", lambda: NOON)
        return KitreckonApp(book, the_catalogue(), plain=False, **options)

    return make
