"""How many pieces a set has, and how many are there: "set of 18, 2 missing", "9 of 11"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import Clause
from kitreckon.reading.number_words import TWENTY, either, number_of
from kitreckon.reading.passage import Passage, kinds_of
from kitreckon.reading.tokens import Token, lengths_in

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

_SIZES = re.compile(
    r"\bsizes?\s+(?:#|no\.?\s?)?(\d{1,2})\s?(?:-|to|thru|through)\s?(\d{1,2})\b(?![/\"])"
)
_SIZE_RANGE = re.compile(  # "number drills 1-60", "letter drills A to Z"
    r"\bnumber(?:ed)?\s(?:size\s)?(?:twist\s)?drills?,?\s#?(\d{1,2})\s?(?:-|to|thru|through)\s?#?(\d{1,2})\b"
    r"|\b(?:drills?|reamers?)[, ]+([a-z])\s?(?:-|to|thru|through)\s?([a-z])\b"
)
_SET_OF = re.compile(
    rf"\b(?:set|kit|box|pack)s?\s+of\s+(?P<n>\d{{1,3}}|{either(TWENTY)})\b(?!\s?[/\"]|\s?mm|\s?in(?!\s[a-z]))"
)
_STEPS = re.compile(
    r"(?P<low>\d{1,2}/\d{1,2}|\d{1,2})\s?(?:\"|in\b)?\s?(?:to|-|thru|through)\s?"
    r"(?P<high>(?:\d{1,2}[- ])?\d{1,2}/\d{1,2}|\d{1,2})\s?(?:\"|in\b)?\s+(?:by|x|in)\s+"
    r"(?P<step>\d{1,3})(?:ths|nds|th)"
)
_MOST = 9_999


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


def set_size(
    passage: Passage, mention: Mention, clause: Clause, following: Sequence[Clause]
) -> int | None:
    """Return how many pieces a set has by what is said of it, None where nothing is."""
    for part in (clause, *following):
        for token in part.facts:
            if token.kind == "setof" and (part is not clause or _belongs(token, mention, clause)):
                first = re.split(r"[\s-]+|(?<=\d)(?=[a-z])", token.text)[0]
                number = number_of(first)
                return number if 1 < number <= _MOST else None
    scope_end = told_until(passage, mention, (following[-1] if following else clause).end)
    said = _SET_OF.search(passage.low, mention.start, scope_end)
    if said is not None:
        number = number_of(said["n"])
        own = {word for item in mention.items for word in item.phrase.words}
        return number if number > 1 and said["n"] not in own else None
    steps = _STEPS.search(passage.low, mention.start)
    if steps is not None and steps.end() <= (following[-1].end if following else clause.end):
        return _stepped(steps)
    sizes = _SIZES.search(passage.low, mention.end) or _SIZE_RANGE.search(passage.low)
    return _numbered(sizes) if sizes is not None else None


def _numbered(sizes: re.Match[str]) -> int | None:
    """Return how many sizes "sizes 1 to 60" or "A to Z" are."""
    low, high = (end for end in sizes.groups() if end is not None)
    count = 1 + (int(high) - int(low) if low.isdigit() else ord(high) - ord(low))
    return count if 1 < count <= 80 else None


def told_until(passage: Passage, mention: Mention, end: int) -> int:
    """Return where the next thing's words begin, ``end`` where none is named before it."""
    for other in kinds_of(passage.mentions):
        if other.start >= mention.end:
            apart = other.clause != mention.clause and passage.link(other) == "with"
            return min(end, passage.clauses[other.clause].start) if apart else end
    return end


def _stepped(match: re.Match[str]) -> int | None:
    """Return how many sizes "1/8 to 7/8 by 16ths" is."""
    ends = lengths_in(match["low"]) + lengths_in(match["high"])
    if len(ends) != 2 or not 2 <= int(match["step"]) <= 128:
        return None
    count = (ends[1].amount - ends[0].amount) * int(match["step"]) + 1
    return int(count) if count.denominator == 1 and 1 < count <= 200 else None


def _belongs(token: Token, mention: Mention, clause: Clause) -> bool:
    return token.end <= mention.end or not any(
        slot.known and not slot.filler and slot.number is None
        for slot in clause.slots
        if mention.end < slot.start < token.start
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
