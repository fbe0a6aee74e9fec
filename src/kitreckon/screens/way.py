"""The way back: the pages that were opened, one after another."""

from __future__ import annotations


class Way:
    """Names of pages, the one in front last."""

    def __init__(self) -> None:
        self._pages: list[str] = []

    def open(self, page: str) -> bool:
        """Go on to a page; say whether it was another one than that in front."""
        if self._pages and self._pages[-1] == page:
            return False
        self._pages.append(page)
        return True

    def back(self) -> str | None:
        """Go back by one and return the page then in front; None at the first."""
        if len(self._pages) < 2:
            return None
        self._pages.pop()
        return self._pages[-1]

    @property
    def before(self) -> str | None:
        """The page the one in front was opened from; None at the first."""
        return self._pages[-2] if len(self._pages) > 1 else None
