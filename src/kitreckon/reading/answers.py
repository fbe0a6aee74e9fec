"""What an advert's questions and headings make of what stands under them."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

from kitreckon.reading.passage import Passage, kinds_of
from kitreckon.reading.pieces import Maker

_REFUSAL = re.compile(
    r"\s*(?:no|nope|sorry|afraid not|not any|gone|long gone|sold|missing|none|nowhere|lost|never|"
    r"not included|no longer|not that i|went|dream on|fat chance|sadly not|alas)\b(?!\s*\d)"
    r"(?=\s*(?:$|[,.;!]|but\b|i\b|sorry|have|know|am|can))|"
    r"\s*(?:never|not|don't|do not|haven't|doesn't|didn't|isn't|won't)\b[^.;!?]{0,24}"
    r"\b(?:one|any|it|them|have|there|included|got|here)\s*(?:$|[,.;!])"
)
_HERE_AFTER_ALL = re.compile(r"\b(?:comes?|included?|is|are|has|have|with it|still here)\b")
_SOUGHT = re.compile(  # "Has anybody a spare follow rest?"
    r"\s*(?:(?:does|has|have|can|could|would|is)\s+)?(?:any(?:one|body)|someone|somebody)\b"
    r"(?!.*\b(?:need|want|wants|interested|after|looking|know|tell|think|worth)\b)"
)
_TAKEN_BACK = re.compile(  # "There was a steady; there isn't now."
    r"\s*(?:(?:but|sadly|alas|well|and)\s+)?(?:it|they|that|those|there)\s*"
    r"(?:'(?:s|re) (?:not|gone)|(?:is|are) gone|went|"
    r"never (?:came|was|were|did|had|turned up|made it)|"
    r"(?:is|are|was|were|has|have|had|does|did|do|will|wo)(?:n't|nt| not))\b"
    r"(?:\s+(?:one|any|now|any ?more|there|here|in it|on it|with it|come|included|turn up))*\s*$"
)
_OFFERED = re.compile(r"\s*any(?:body|one) (?:want|need|interested|after|looking)\b")
_LONGEST_QUESTION = 12  # words
_HEADING_WORDS = 5
_ASKED = 3  # things
_TAKEN = 2  # things of a sentence that the next one can take back
_LIST = 2  # ticked lines that make a list one that is ticked off
_SPEAKER = re.compile(r"\s*(?:a|ans|answer|reply|seller|him|her|me)\s*(?:[.:)-]|(?=\s))\s*")
_GRANTED = re.compile(r"\s*(?:yes|yep|yeah|sure|it does|of course)\b")
_QUESTION = re.compile(
    r"\s*(?:has|have|does|do|did|is|are|can|could|would|will|any|anyone|anybody|who|what|where|how)\b"
)


# how a list is ticked off: the mark of what is there, and of what is not
_TICKS = tuple(
    (re.compile(ticked), re.compile(not_ticked))
    for ticked, not_ticked in (
        (r"^\s*\[\s*[xvy]\s*\]", r"^\s*\[\s*\]"),
        (r"^\s*\+\s", r"^\s*-\s"),
        (r"^\s*[✓✔☑]|[✓✔☑]\s*$", r"^\s*[✗✘☐]|[✗✘☐]\s*$"),
        (r"\W(?:y|yes)\W*$", r"\W(?:n|no)\W*$"),
    )
)
_DITTO = re.compile(r"\s*(?:ditto\b|likewise\b|same (?:goes|with|for|again|story)\b)")


@dataclass(frozen=True, slots=True)
class Answers:
    """Which sentences, by their place, are refused, asked, or asked and left without an answer.

    ``alike`` are those of which all is said that was said of the thing before: "ditto the steady".
    """

    refused: frozenset[int]
    asked: frozenset[int]
    open: frozenset[int]
    alike: frozenset[int]


def answers_of(passages: Sequence[Passage], marks: Sequence[str], maker: Maker) -> Answers:
    """Return what questions, their answers and headings say of the sentences."""
    asked = {place for place, mark in enumerate(marks) if "?" in mark}
    replies = {
        place: _SPEAKER.sub("", passages[place + 1].low)
        for place in asked
        if place + 1 < len(passages)
    }
    refused = {
        place
        for place, reply in replies.items()
        if (_short(passages[place]) and _REFUSAL.match(reply))
        or (not _named(passages[place + 1]) and maker.refuses(reply))
    }
    granted = {place for place, reply in replies.items() if _GRANTED.match(reply)}
    refused |= {
        place
        for place, (passage, then) in enumerate(itertools.pairwise(passages))
        if _TAKEN_BACK.match(then.low) and 0 < len(kinds_of(passage.mentions)) <= _TAKEN
    }
    refused |= _below_a_refusing_heading(passages, marks, maker)
    refused |= _not_ticked(passages)
    refused |= {place for place in asked if _SOUGHT.match(passages[place].low)}
    asked -= {place for place in asked if _OFFERED.match(passages[place].low)}
    left = {place for place in asked - granted - refused if _asks(passages[place])}
    alike = {place for place, passage in enumerate(passages) if _DITTO.match(passage.low)}
    return Answers(frozenset(refused), frozenset(asked), frozenset(left), frozenset(alike))


def _short(passage: Passage) -> bool:
    """Whether a question asks after a thing or two: no list that ends in "3 axis? no, 2"."""
    return len(kinds_of(passage.mentions)) <= _ASKED


def _asks(passage: Passage) -> bool:
    """Whether a sentence is a question, and no running text that ends in doubt: "i think??"."""
    short = len(passage.low.split()) <= _LONGEST_QUESTION
    return short and _QUESTION.match(passage.low) is not None


def _named(passage: Passage) -> bool:
    return bool(kinds_of(passage.mentions))


def _not_ticked(passages: Sequence[Passage]) -> set[int]:
    """Return the lines of a list that are not ticked, where others are."""
    out: set[int] = set()
    for yes, no in _TICKS:
        ticked = {place for place, passage in enumerate(passages) if yes.search(passage.low)}
        left = {place for place, passage in enumerate(passages) if no.search(passage.low)}
        if len(ticked) >= _LIST:
            out |= left - ticked
    return out


_BULLET = re.compile(r"[-*+•>]\s")


def _heads(passages: Sequence[Passage], marks: Sequence[str], place: int) -> bool:
    """Whether a short line without a thing stands over a list: "STILL TO FIND"."""
    passage = passages[place]
    short = 0 < len(passage.shown.split()) <= _HEADING_WORDS and "\n" in marks[place]
    below = passages[place + 1].low.lstrip() if place + 1 < len(passages) else ""
    over_a_list = passage.shown.isupper() or _BULLET.match(below) is not None
    return short and not _named(passage) and over_a_list


def _below_a_refusing_heading(
    passages: Sequence[Passage], marks: Sequence[str], maker: Maker
) -> set[int]:
    """Return the list lines under "Not included:" and what follows "Wanted: a steady;"."""
    out: set[int] = set()
    under = running = False
    for place, (passage, mark) in enumerate(zip(passages, marks, strict=True)):
        text = passage.low.strip()
        if text.endswith(":") or _heads(passages, marks, place):
            under = maker.heads_absent(text)
        elif under or (running and not _HERE_AFTER_ALL.search(text)):
            out.add(place)
        heading, colon, _ = text.partition(":")
        aside = heading.rfind("(") > heading.rfind(")")  # "(todo: an 18mm key); vise"
        denied = bool(colon) and not aside and maker.heads_absent(heading + ":")
        running = (denied or (running and not colon)) and mark == ";"
        if mark.count("\n") > 1:
            under = False
    return out
