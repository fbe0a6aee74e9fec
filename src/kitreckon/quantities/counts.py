"""How many: whole numbers from 0 to 9,999, and turns a minute."""

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


_SPEED = re.compile(
    r"(?P<figure>\d{1,6}|\d{1,3}[,.' ’]\d{3})\s*"
    r"(?:rpm|r\.?p\.?m\.?|revs?|rev/min|u/min|tr/min)?",
    re.ASCII | re.IGNORECASE,
)
FASTEST_RPM = 200_000


def read_speed(text: str) -> int:
    """Return the speed typed, in revolutions a minute, 1 to 200,000.

    Raises QuantityError for anything else: a length, a fraction of a turn.

    >>> read_speed("1,200 rpm"), read_speed("2500")
    (1200, 2500)
    """
    match = _SPEED.fullmatch(text.strip()) if len(text) <= 40 else None
    rpm = int(re.sub(r"\D", "", match["figure"])) if match else 0
    if not 1 <= rpm <= FASTEST_RPM:
        raise QuantityError(
            f"{text[:40]!r} is not a speed", want="revolutions a minute, for example 1,200 rpm"
        )
    return rpm
