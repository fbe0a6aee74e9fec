"""File names made from what a user typed, safe on every common file system."""

from __future__ import annotations

import unicodedata

_LONGEST = 60
_RESERVED = frozenset(
    ["CON", "PRN", "AUX", "NUL"]
    + [f"COM{number}" for number in range(1, 10)]
    + [f"LPT{number}" for number in range(1, 10)]
)


def safe_file_name(name: str, ending: str = "") -> str:
    """Return a file name that stays in its folder: letters, digits, ``-``, ``_`` and ``.``.

    >>> safe_file_name("12in lathe / Bill's", ".html")
    '12in-lathe-Bill-s.html'
    >>> safe_file_name("../../etc"), safe_file_name("con"), safe_file_name("???")
    ('etc', 'con-1', 'report')
    """
    folded = unicodedata.normalize("NFKC", name)
    kept = "".join(character if _kept(character) else "-" for character in folded)
    while "--" in kept:
        kept = kept.replace("--", "-")
    room = _LONGEST - len(ending)
    stem = kept.strip("-._ ")[:room].rstrip("-._ ") or "report"
    if stem.split(".")[0].upper() in _RESERVED:
        first, dot, rest = stem.partition(".")
        stem = f"{first}-1{dot}{rest}"
    return stem + ending


def _kept(character: str) -> bool:
    return character in "-_." or unicodedata.category(character)[0] in "LN"


def unlike(name: str, taken: set[str]) -> str:
    """Return the name, with a number when one equal but for case is taken already.

    >>> unlike("Lathe.csv", {"lathe.csv"})
    'Lathe-2.csv'
    """
    folded = {other.casefold() for other in taken}
    stem, dot, ending = name.rpartition(".")
    if not stem:
        stem, dot, ending = name, "", ""
    number, fresh = 2, name
    while fresh.casefold() in folded:
        fresh = f"{stem}-{number}{dot}{ending}"
        number += 1
    return fresh
