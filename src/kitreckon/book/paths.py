"""Where a book lies when the user names no place."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

BOOK_NAME = "book.json"


def default_book(environ: Mapping[str, str] | None = None, platform: str = sys.platform) -> Path:
    """Return the book in the user's data folder, by the convention of the platform.

    >>> default_book({"HOME": "/home/me"}, "linux").as_posix()
    '/home/me/.local/share/kitreckon/book.json'
    """
    return data_folder(os.environ if environ is None else environ, platform) / BOOK_NAME


def data_folder(environ: Mapping[str, str], platform: str) -> Path:
    """Return kitreckon's folder among the user's data; it need not exist yet."""
    home = Path(environ.get("HOME") or Path.home())
    if platform == "win32":
        return Path(environ.get("APPDATA") or home / "AppData" / "Roaming") / "kitreckon"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "kitreckon"
    named = Path(environ.get("XDG_DATA_HOME") or "")
    return (named if named.is_absolute() else home / ".local" / "share") / "kitreckon"
