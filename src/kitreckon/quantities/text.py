"""The border: every text from a keyboard, a file or the clipboard is cleaned here, once."""

from __future__ import annotations

import unicodedata

NAME_LIMIT = 200
NOTE_LIMIT = 2_000
REPLACEMENT = "\ufffd"
_ZERO_WIDTH_JOINER = "\u200d"  # emoji sequences need it
_HIDDEN = {"Cc", "Cs", "Cf", "Co"}


def clean_text(text: str, limit: int = NAME_LIMIT, *, lines: bool = False) -> str:
    r"""Return text that no terminal, file or screen can take for anything but text.

    NFC; newlines and tabs become spaces (kept as newlines where ``lines``); control, format,
    surrogate and private characters become U+FFFD; at most two combining marks in a row; at
    most ``limit`` characters.

    >>> clean_text("3-jaw\tchuck\x1b[31m")
    '3-jaw chuck\ufffd[31m'
    """
    if text.isascii() and text.isprintable():
        return text[:limit]
    text = text[: limit * 4]  # NFC shortens; what is far past the limit need not be looked at
    if lines:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    out: list[str] = []
    marks = 0
    for character in unicodedata.normalize("NFC", _without_surrogates(text)):
        category = unicodedata.category(character)
        marks = marks + 1 if category in {"Mn", "Me"} else 0
        if marks > 2:
            continue
        out.append(_clean_character(character, category, lines))
    return "".join(out)[:limit]


def _without_surrogates(text: str) -> str:
    return text.encode("utf-8", "replace").decode("utf-8") if not text.isascii() else text


def _clean_character(character: str, category: str, lines: bool) -> str:
    if character == "\n" and lines:
        return "\n"
    if character in "\n\r\t\v\f\x85" or category in {"Zl", "Zp"}:
        return " "
    if category in _HIDDEN and character != _ZERO_WIDTH_JOINER:
        return REPLACEMENT
    return character
