"""What was half typed: a small file beside the book, offered again after a kill.

Written under the book's own lock, with the same safe write and no generations.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from kitreckon.book.errors import BookError, ReadOnlyError
from kitreckon.book.safe_write import UnconfirmedError, put_in_place
from kitreckon.book.storage import BookStorage, describe
from kitreckon.quantities import clean_text

FORMAT = 1
LONGEST = 20_000


def draft_file(book: Path) -> Path:
    """Return the path of the draft that belongs to a book."""
    return book.with_name(f".{book.name}.draft")


class Draft:
    """The draft of one book: named texts, such as {"screen": "count", "line": "6in 4 jaw"}."""

    def __init__(self, storage: BookStorage, writer: str) -> None:
        self._storage = storage
        self._writer = writer
        self._path = draft_file(storage.path)

    def read(self) -> Mapping[str, str]:
        """Return the texts kept, cleaned; empty when there is no draft that can be read."""
        try:
            found = json.loads(self._storage.system.read(self._path).decode())
        except (OSError, ValueError, RecursionError):
            return {}
        texts = found.get("texts") if isinstance(found, dict) else None
        if not isinstance(texts, dict) or found.get("format") != FORMAT:
            return {}
        return {
            clean_text(name): clean_text(text, LONGEST, lines=True)
            for name, text in texts.items()
            if isinstance(text, str)
        }

    def write(self, texts: Mapping[str, str]) -> None:
        """Keep these texts in place of those kept before. Raises BookError when it cannot."""
        cleaned = {clean_text(k): clean_text(v, LONGEST, lines=True) for k, v in texts.items()}
        data = json.dumps({"format": FORMAT, "texts": cleaned}, ensure_ascii=False).encode()
        self._check_writable()
        try:
            put_in_place(self._storage.system, self._path, data, writer=self._writer)
        except UnconfirmedError as error:
            raise BookError(f"the draft may not be kept: {describe(error.cause)}") from error
        except OSError as error:
            raise BookError(f"the draft is not kept: {describe(error)}") from error

    def clear(self) -> None:
        """Forget the draft: what it held has been saved, or given up."""
        self._check_writable()
        with suppress(FileNotFoundError):
            try:
                self._storage.system.unlink(self._path)
            except FileNotFoundError:
                raise
            except OSError as error:
                raise BookError(f"the draft cannot be removed: {describe(error)}") from error

    def _check_writable(self) -> None:
        if self._storage.read_only:
            raise ReadOnlyError(f"cannot save here: {self._storage.read_only}")
