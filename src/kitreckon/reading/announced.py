"""A bare plural that only announces what is named right after it: "two chucks, a 3 jaw and a 4"."""

from __future__ import annotations

import itertools
import re

from kitreckon.reading.chart import Mention
from kitreckon.reading.passage import Passage, kinds_of

_OPENED = re.compile(  # between the plural and the first of them: "(one is a", ", "
    r"\s*[(:,-]+\s*(?:(?:an?|one|the|is|are|both|one of|\d[\w/.\"-]*|in|inch|mm)\s*){0,4}"
)
_GOES_ON = re.compile(  # between one and the next: ", one ", " and an 8in "
    r"[^;.]{0,24}?(?:,|and|&|\+|/|plus|one|other)[^;.]{0,16}"
)
_FIRST_HERE = re.compile(r"\s*[(:,-]?\s*\d\s?(?:jaws?)?\s*(?:,|and|&|\+|/)\s*")  # "(3 and 4 jaw)"


def named_after(passage: Passage, mention: Mention) -> int:
    """Return how many of the things that a bare plural counts are named one by one after it."""
    later = [m for m in kinds_of(passage.mentions) if m.start >= mention.end]
    own = passage.low[mention.start : mention.end]
    if not (own.endswith("s") and own.isalpha() and later):
        return 0
    if not mention.open:  # the 3 of "chucks (3 and 4 jaw)" was taken up by the plural itself
        first = passage.low[mention.end : later[0].start]
        return _run(passage, later, mention) if _FIRST_HERE.fullmatch(first) else 0
    kinds = {kind for kind, _ in mention.targets}
    first = passage.low[mention.end : later[0].start]
    if later[0].open or later[0].target not in kinds or not _OPENED.fullmatch(first):
        return 0
    return _run(passage, later, mention)


def _run(passage: Passage, later: list[Mention], mention: Mention) -> int:
    """Return how many of the later things go on with the first of them."""
    family = mention.target.partition("-")[0]
    count = 1
    for one, other in itertools.pairwise(later):
        between = passage.low[one.end : other.start]
        if other.target.partition("-")[0] != family or not _GOES_ON.fullmatch(between):
            break
        count += 1
    return count
