"""Bars and lines drawn with signs alone: no colour is needed to read them. Pure."""

from __future__ import annotations

from collections.abc import Sequence

FULL, REST = "█", "·"


def bar(value: float, most: float, width: int) -> str:
    """Return a bar of exactly ``width`` signs: full ones for the share of ``most``.

    >>> bar(30, 60, 8)
    '████····'
    """
    if most <= 0 or width <= 0:
        return REST * max(0, width)
    filled = max(0, min(width, round(width * value / most)))
    if value > 0 and not filled:
        filled = 1
    return FULL * filled + REST * (width - filled)


def signed_bar(value: float, most: float, width: int) -> str:
    """Return a bar; what comes off has a minus before it and lighter signs.

    >>> signed_bar(-30, 60, 9)
    '-░░░░'
    """
    if value >= 0:
        return bar(value, most, width)
    return "-" + bar(-value, most, width - 1).replace(REST, "").replace(FULL, "░")


def range_line(marks: Sequence[tuple[str, float]], low: float, high: float, width: int) -> str:
    """Return a line from low to high with a letter at each mark; later marks win a shared place.

    >>> range_line([("O", 10), ("T", 20), ("L", 30)], 0, 40, 21)
    '├────O────T────L────┤'
    """
    if width < 3:
        return ""
    signs = ["─"] * width
    signs[0], signs[-1] = "├", "┤"
    span = high - low
    for letter, value in marks:
        share = (value - low) / span if span > 0 else 0.5
        signs[max(0, min(width - 1, round(share * (width - 1))))] = letter
    return "".join(signs)


def spread(low: float, typical: float, high: float, most: float, width: int) -> str:
    """Return a range as a bar: dots to its low, a bar to its high, the typical value marked.

    >>> spread(10, 20, 30, 40, 20)
    '     ━━━━━◆━━━━'
    """
    if most <= 0 or width <= 0:
        return ""
    start, mid, end = (round((width - 1) * value / most) for value in (low, typical, high))
    signs = [" "] * (end + 1)
    for place in range(max(0, start), end + 1):
        signs[place] = "━"
    if 0 <= mid <= end:
        signs[mid] = "◆"
    return "".join(signs)[:width]
