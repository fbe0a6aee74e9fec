"""Text on the screen: never markup, never cut without a mark, plain ASCII when asked.

Everything a user, a file or the catalogue wrote passes through here before it is drawn.
"""

from __future__ import annotations

import unicodedata
from typing import Literal

from rich.cells import cell_len, set_cell_size
from textual.content import Content

CUT_MARK = "…"
_FOLDS = {
    "…": "~",
    "–": "-",
    "—": "-",
    "−": "-",
    "×": "x",
    "£": "GBP ",
    "€": "EUR ",
    "½": " 1/2",
    "¼": " 1/4",
    "¾": " 3/4",
    "″": '"',
    "′": "'",
    "’": "'",
    "‘": "'",
    "“": '"',
    "”": '"',
    "•": "*",
    "·": ".",
    "±": "+/-",
    "°": " deg",
    "µ": "u",
    "█": "#",
    "░": ":",
    "─": "-",
    "│": "|",
    "▲": "^",
    "▼": "v",
    "▌": "=",
    "◆": "o",
    "━": "=",
    "├": "|",
    "┤": "|",
}

Align = Literal["left", "right"]


def plain(text: str) -> Content:
    """Return text as content that is drawn as it stands: brackets are brackets."""
    return Content(text)


def to_ascii(text: str) -> str:
    """Return text in ASCII alone: known signs by their nearest, the rest by decomposition.

    >>> to_ascii("1½″ – £5")
    '1 1/2" - GBP 5'
    """
    if text.isascii():
        return text
    folded = "".join(_FOLDS.get(sign, sign) for sign in text)
    bare = unicodedata.normalize("NFKD", folded)
    kept = "".join(sign for sign in bare if not unicodedata.combining(sign))
    return kept.encode("ascii", "replace").decode("ascii")


def cut(text: str, width: int) -> str:
    """Return text in at most ``width`` cells; what was cut off leaves a mark.

    >>> cut("independent chuck", 9)
    'independ…'
    """
    if width <= 0:
        return ""
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, width - 1).rstrip() + CUT_MARK


def fit(text: str, width: int, align: Align = "left") -> str:
    """Return text in exactly ``width`` cells, cut with a mark or padded."""
    short = cut(text, width)
    gap = " " * max(0, width - cell_len(short))
    return gap + short if align == "right" else short + gap


def wrap(text: str, width: int) -> list[str]:
    """Return text as lines of at most ``width`` cells, broken at spaces where there are any."""
    if width <= 0:
        return []
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            joined = f"{line} {word}" if line else word
            if cell_len(joined) <= width:
                line = joined
                continue
            if line:
                lines.append(line)
            *whole, line = _chop(word, width)
            lines.extend(whole)
        lines.append(line)
    return lines


def _chop(word: str, width: int) -> list[str]:
    """Return a word too long for a line as pieces that fit."""
    pieces: list[str] = []
    piece, used = "", 0
    for sign in word:
        size = cell_len(sign)
        if used + size > width and piece:
            pieces.append(piece)
            piece, used = "", 0
        piece += sign
        used += size
    return [*pieces, piece]
