"""The book: a user's records on disk, saved so that no line is lost. See Book."""

from kitreckon.book.errors import (
    BookError,
    ChangedBehindError,
    NotABookError,
    NotConfirmedError,
    NotSavedError,
    ReadOnlyError,
)
from kitreckon.book.history import Action
from kitreckon.book.repository import Book, Changes, Generation

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
