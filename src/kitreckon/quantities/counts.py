"""How many: whole numbers from 0 to 9,999."""

from __future__ import annotations

import re

from kitreckon.quantities.errors import QuantityError

MOST = 9_999
_COUNT = re.compile(r"(?:x\s*)?(\d{1,4})(?:\s*x)?", re.ASCII | re.IGNORECASE)


def read_count(text: str) -> int:
    """Return the count typed, 0 to 9,999; "x2" and "2x" are read too.

    Raises QuantityError for anything else.

    >>> read_count(" x12 ")
    12
    """
    match = _COUNT.fullmatch(text.strip()) if len(text) <= 40 else None
    if match is None:
        raise QuantityError(
            f"{text[:40]!r} is not a count", want="a whole number from 0 to 9999, for example 8"
        )
    return int(match[1])
