"""Text in spreadsheet cells: never taken for a formula, and read back as it was."""

from __future__ import annotations

# What spreadsheets start a formula or a command with, in half and full width.
_STARTS = frozenset("=+-@|%\t\r\n＝＋－＠")
_INVISIBLE = "\ufeff\u200b\u200c\u200d\u2060 \u00a0"


def guard(text: str) -> str:
    """Return text that a spreadsheet shows and does not reckon: with ' before a dangerous start.

    >>> guard("=1+1"), guard("4-jaw"), guard(" -loose nut")
    ("'=1+1", '4-jaw', "' -loose nut")
    """
    return f"'{text}" if _dangerous(text) else text


def unguard(text: str) -> str:
    """Return a guarded cell as it was before; any other text unchanged.

    >>> unguard(guard("=1+1")), unguard("'tis worn")
    ('=1+1', "'tis worn")
    """
    return text[1:] if text.startswith("'") and _dangerous(text[1:]) else text


def _dangerous(text: str) -> bool:
    stripped = text.lstrip(_INVISIBLE)
    return stripped[:1] in _STARTS and bool(stripped)
