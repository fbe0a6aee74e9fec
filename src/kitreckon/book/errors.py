"""What can stop a book from being opened or saved, each with what to do next."""

from __future__ import annotations

from kitreckon.errors import KitreckonError


class BookError(KitreckonError):
    """Root of the errors of opening, saving and restoring a book."""


class NotABookError(BookError):
    """The file is not a book, or is one that cannot be read and has no good generation."""


class NotSavedError(BookError):
    """The disk refused: the book on disk and the book in memory are as they were before."""


class NotConfirmedError(BookError):
    """The change is written and in memory, but the disk did not confirm that it will stay."""


class ReadOnlyError(BookError):
    """The book was opened to look at only; the reason says why."""


class ChangedBehindError(BookError):
    """The file changed on disk since it was read: not overwritten, the change kept in memory."""
