"""How many pieces of a set are there: "9 of 11", "set of 18, 2 missing", "only 15 left"."""

from __future__ import annotations

import re

from kitreckon.reading.chart import Mention
from kitreckon.reading.number_words import TWENTY, either, number_of
from kitreckon.reading.passage import Passage, kinds_of

_LOTS = {"a couple": 2, "couple": 2}
_COUNT = rf"(?P<n>{either(TWENTY | _LOTS)}|\d{{1,3}})"
_SIZE = r"(?:#\s?\d+|(?:\d+[ -])?\d+/\d+\"?|\d*\.?\d+\s?(?:mm\b|in\b|\"))"
_PLACE = r"(?:an?|the|its|my|case|box|index|rack|tray|drawer|wooden|stand|tin|roll)\b"
_NO_SIZE = rf"(?![\w/\"]|\.\d|\s?(?:mm|inch|pcs?|pieces?|jaws?|x)\b|\s?in\b(?!\s{_PLACE})|\s?\")"
_SHARE = re.compile(
    rf"\b(?P<has>\d{{1,3}})\s(?:out\s)?of\s(?:the\s|a\s)?(?:set\sof\s)?(?P<of>\d{{1,3}}){_NO_SIZE}"
)
_SHARE_ENDS = re.compile(
    r"\s*(?:$|[,.;:()&+-]|(?:is\s|are\s)?(?:here|there|left|present)\b|(?:in|and|with|for|on)\b)"
)
_RIGHT_BEFORE = re.compile(r"\s(?:of\s)?(?:the\s|my\s)?(?:\w+\s)?")
_LACKING = r"(?:missing|minus|less|lacks|lacking|lost|without|short of|short|bar|except)"
_SHORT_AFTER = re.compile(
    rf"\b{_COUNT}\s+(?:(?:is|are|of|them|sizes?|pcs?|pieces?|collets?)\s+)*"
    r"(?:missing|gone|short|lost|absent|lacking|not there|not present)\b"
)
_SHORT_BEFORE = re.compile(rf"\b{_LACKING}\s+(?:only\s|just\s|about\s)?{_COUNT}\b{_NO_SIZE}")
_SIZES_GONE = re.compile(
    rf"\b{_LACKING}\s+(?:the\s|only the\s|just the\s)?(?P<sizes>{_SIZE}"
    rf"(?:(?:\s?,\s?|\s?(?:and|&)\s)+(?:the\s)?{_SIZE})*)"
)
_LEFT = re.compile(
    rf"\b(?:only|but|just|has|have|with|got)?\s*{_COUNT}\s+(?:is |are |of them )?"
    r"(?:left|here|there|present|remain(?:s|ing)?|in it|to hand)\b"
)


def share_of(passage: Passage, mention: Mention, end: int) -> tuple[int, int] | None:
    """Return (how many are there, how many there should be) of "9 of 11", None where not said.

    ``end`` is where what is said of the thing ends.
    """
    for match in _SHARE.finditer(passage.low):
        has, of = int(match["has"]), int(match["of"])
        if 0 < has <= of and of > 1 and _is_of(passage, mention, match.start(), match.end(), end):
            return has, of
    return None


def _is_of(passage: Passage, mention: Mention, start: int, stop: int, end: int) -> bool:
    """Whether what stands there is said of the thing: right before its name, or after it."""
    low = passage.low
    things = kinds_of(passage.mentions)
    ahead = next((m for m in things if m.start >= stop), None)
    if ahead is not None and _RIGHT_BEFORE.fullmatch(low[stop : ahead.start]):
        return ahead.start == mention.start
    behind = next((m for m in reversed(things) if m.end <= start), None)
    return (
        behind is not None
        and behind.start == mention.start
        and start <= end
        and _SHARE_ENDS.match(low, stop) is not None
    )


def left_of(set_of: int, text: str) -> int | None:
    """Return how many of a set are said to be there, None where all or nothing is said of it.

    >>> left_of(18, "set of 18, 2 missing"), left_of(11, "set of 11 less the 3/8 and 1/2")
    (16, 9)
    >>> left_of(17, "set of 17, only 15 left"), left_of(17, "set of 17 in a case")
    (15, None)
    """
    for gone in (*_SHORT_AFTER.finditer(text), *_SHORT_BEFORE.finditer(text)):
        if _number(gone["n"]) < set_of:  # "set of 13 missing the 3/8"
            return set_of - _number(gone["n"])
    sizes = _SIZES_GONE.search(text)
    if sizes is not None:
        return _within(set_of - len(re.findall(_SIZE, sizes["sizes"])), set_of)
    left = _LEFT.search(text)
    return _within(_number(left["n"]), set_of) if left is not None else None


def _within(has: int, set_of: int) -> int | None:
    return has if 0 <= has < set_of else None


def _number(text: str) -> int:
    return number_of(text, _LOTS)
