"""The book: a user's records on disk, saved so that no line is lost. See Book.

Imported lazily: a command that only needs the paths or a count sheet does not pay for tinydb.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from kitreckon.book.errors import (
    BookError,
    ChangedBehindError,
    NotABookError,
    NotConfirmedError,
    NotSavedError,
    ReadOnlyError,
)

if TYPE_CHECKING:
    from kitreckon.book.earlier import Generation
    from kitreckon.book.filing import Changes
    from kitreckon.book.history import Action
    from kitreckon.book.repository import Book

_WHERE = {"Action": "history", "Book": "repository", "Changes": "filing", "Generation": "earlier"}

__all__ = [
    "Action",
    "Book",
    "BookError",
    "ChangedBehindError",
    "Changes",
    "Generation",
    "NotABookError",
    "NotConfirmedError",
    "NotSavedError",
    "ReadOnlyError",
]


def __getattr__(name: str) -> Any:
    if name not in _WHERE:
        raise AttributeError(f"module {__name__} has no attribute {name}")
    from importlib import import_module

    return getattr(import_module(f"{__name__}.{_WHERE[name]}"), name)
