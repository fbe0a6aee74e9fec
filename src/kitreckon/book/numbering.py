"""Ids that are never given twice in a book: piece-1, piece-2, and so on."""

from __future__ import annotations

import re
from collections.abc import Iterable

_NUMBERED = re.compile(r"(.*)-(\d{1,9})", re.ASCII)


class Numbers:
    """The highest number in use, by prefix; "machine-2/piece-7" counts for both of its parts."""

    def __init__(self, ids: Iterable[str]) -> None:
        self._highest: dict[str, int] = {}
        self.count(ids)

    def count(self, ids: Iterable[str]) -> None:
        """Take these ids as used."""
        for one in ids:
            for part in one.split("/"):
                match = _NUMBERED.fullmatch(part)
                if match is not None:
                    self._highest[match[1]] = max(self._highest.get(match[1], 0), int(match[2]))

    def next(self, prefix: str) -> str:
        """Return a new id and take it as used."""
        self._highest[prefix] = self._highest.get(prefix, 0) + 1
        return f"{prefix}-{self._highest[prefix]}"
