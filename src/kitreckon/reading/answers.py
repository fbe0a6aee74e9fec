"""What an advert's questions and headings make of what stands under them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from kitreckon.reading.passage import Passage
from kitreckon.reading.pieces import Maker

_REFUSAL = re.compile(
    r"\s*(?:no|nope|sorry|afraid not|not any|gone|long gone|sold|missing|none|nowhere|lost|never|"
    r"not included|no longer|not that i)\b(?!\s*\d)"
    r"(?=\s*(?:$|[,.;!]|but\b|i\b|sorry|have|know|am|can))|"
    r"\s*(?:never|not|don't|do not|haven't|doesn't|didn't|isn't|won't)\b[^.;!?]{0,24}"
    r"\b(?:one|any|it|them|have|there|included|got|here)\s*(?:$|[,.;!])"
)
_GRANTED = re.compile(r"\s*(?:yes|yep|yeah|sure|it does|of course)\b")
_QUESTION = re.compile(
    r"\s*(?:has|have|does|do|did|is|are|can|could|would|will|any|anyone|anybody|who|what|where|how)\b"
)


@dataclass(frozen=True, slots=True)
class Answers:
    """Which sentences, by their place, are refused, asked, or asked and left without an answer."""

    refused: frozenset[int]
    asked: frozenset[int]
    open: frozenset[int]


def answers_of(passages: Sequence[Passage], marks: Sequence[str], maker: Maker) -> Answers:
    """Return what questions, their answers and headings say of the sentences."""
    asked = {place for place, mark in enumerate(marks) if "?" in mark}
    replies = {place: passages[place + 1].low for place in asked if place + 1 < len(passages)}
    refused = {place for place, reply in replies.items() if _REFUSAL.match(reply)}
    granted = {place for place, reply in replies.items() if _GRANTED.match(reply)}
    refused |= _below_a_refusing_heading(passages, marks, maker)
    left = {place for place in asked - granted - refused if _QUESTION.match(passages[place].low)}
    return Answers(frozenset(refused), frozenset(asked), frozenset(left))


def _below_a_refusing_heading(
    passages: Sequence[Passage], marks: Sequence[str], maker: Maker
) -> set[int]:
    """Return the list lines under "Not included:" and the like."""
    out: set[int] = set()
    under = False
    for place, (passage, mark) in enumerate(zip(passages, marks, strict=True)):
        text = passage.low.strip()
        if text.endswith(":"):
            under = maker.heads_absent(text)
        elif under:
            out.add(place)
        if mark.count("\n") > 1:
            under = False
    return out
