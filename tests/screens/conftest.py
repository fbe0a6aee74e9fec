"""What the tests of the screens share: an app on a fresh book, and the screen as text."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from kitreckon.book import Book
from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Catalogue
from kitreckon.screens.app import KitreckonApp

NOON = datetime(2025, 6, 14, 12, 0, tzinfo=UTC)


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return open_catalogue()


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    opened = Book.open(tmp_path / "book.json", lambda: NOON)
    yield opened
    opened.close()


@pytest.fixture
def make_app(book: Book, catalogue: Catalogue) -> Callable[..., KitreckonApp]:
    def make(**options: Any) -> KitreckonApp:
        return KitreckonApp(book, catalogue, now=lambda: NOON, plain=False, **options)

    return make
