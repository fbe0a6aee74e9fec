"""Forms of what tells whether a thing is there, made of the phrases of the rules."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from kitreckon.reading.phrases import (
    Either,
    Followed,
    Phrases,
    Search,
    Span,
    by,
    past_spaces,
    within,
)
from kitreckon.reading.verbs import Verbs

_NOTHING = re.compile("")
_TOWARDS = re.compile(r"(?:to|with|at|on|onto|for|in|into|over to)\s+(?:the\s+|an?\s+)?")
_THEM = r"\s+(?:it|them|that|those|these|em|'em|both|the lot|the pair|one|his|mine)(?![\w'])"
_AWAY = r"\s+(?:go|away|out|off|back|on|apart|separately)(?![\w'])"  # "let them go"
_ONE = r"\s+(?:one|some)(?![\w'])"
_FEW = re.compile(r"(?!(?:but|goes|comes|still|just)\b)[a-z']+\s+")
_BETTER = (
    r"\s+(?:an?\s+|any\s+|many\s+|much\s+)?(?:(?!either|other|another|ever|over|"
    r"under|after|however|later|together|rather|proper|further)[a-z]+er|"
    r"more(?! (?:is|are|was)\b)|less|worse)\b"
)
_ARTICLE = r"(?:(?:an?|the|its|one|two|three|both|\d+)\s+)?"
_NAMED = re.compile(
    r"(?<![\w'])(?:missing|lacking|lacks|needs|wanted|absent|not included|excluded|excludes|"
    r"not in the sale|also wanted|also needed|not for sale|sold|gone|keeping|what you don't get|"
    r"you don't get|wish list|still to find)\s*:|^\s*(?:also\s+)?(?:wanted|needed|missing)\s*,"
)


@dataclass(frozen=True, slots=True)
class Forms:
    """The forms, by what they say."""

    # before the thing
    none_of: Search  # "no", "without a"
    wants: Search  # "still looking for a"
    denied: Search  # "could never find the"
    taken: Search  # "my brother has the"
    parted_with: Search  # "sold the", "keeping the"
    lists: Search  # the same, where it goes on over the commas
    conditional: Search  # "if the"
    handing: Search  # "gave the", with "away" after the thing
    # after it
    gone: Search  # "walked years ago"
    by_it: Search  # "he sold it"
    told_of: ToldOf  # "that I will keep", right after it
    never: Search  # "was never included"
    moved: Search  # "went to my brother"
    may_come: Search  # "may yet turn up"
    surfacing: Search  # "turns up"
    # anywhere
    here: Search  # what sounds like a denial and is none
    given: Search  # "comes with a", right before the thing
    headings: Phrases  # what begins the heading of a list that is denied
    other_machine: re.Pattern[str]  # "for the lathe I sold", "then sold the lathe,"

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> Forms:
        """Make the forms from the rules."""
        lists = _Lists(rules.get("presence") or {}, Verbs(rules))
        denials, wants = lists.of("denials"), lists.of("wants")
        return cls(
            none_of=Either(lists.of("none_of", "once"), _NAMED),
            wants=wants,
            denied=_within(denials, 3, lists.of("grants")),
            taken=_within(lists.of("takers"), 2, lists.of("takings")),
            parted_with=lists.of("keeping", "leaving"),
            lists=Either(lists.of("lists", "keeping", "leaving"), _NAMED),
            conditional=Followed(lists.of("hedges"), by(r"\s+(?:the\s+|an?\s+|his\s+|my\s+)?$")),
            handing=Followed(
                lists.of("handing"),
                by(r"\s+(?:the|my|his|her|our|both|all)\s+(?:[\w-]+\s+){0,2}$"),
            ),
            gone=lists.of("going", "away", "leaving", "once_after"),
            by_it=_by_it(lists),
            told_of=ToldOf(lists.of("takers"), lists.of("keeping", "leaving", "takings")),
            never=_within(denials, 3, lists.of("comings")),
            moved=_within(lists.of("moves"), 3, lists.of("others"), _TOWARDS),
            may_come=_within(lists.of("hedges"), 3, lists.of("surfacings")),
            surfacing=lists.of("surfacings"),
            here=_here(lists),
            given=Followed(lists.of("given"), by(rf":?\s+{_ARTICLE}(?:[\w/\"'.-]+\s+){{0,2}}$")),
            headings=lists.of("headings"),
            other_machine=_of_a_machine(lists.phrases("machines")),
        )


class _Lists:
    """The lists of the rules as phrases."""

    def __init__(self, lists: Mapping[str, Any], verbs: Verbs) -> None:
        self._lists = lists
        self._verbs = verbs

    def phrases(self, *names: str) -> list[str]:
        return self._verbs.spread(one for name in names for one in self._lists.get(name, ()))

    def of(self, *names: str) -> Phrases:
        return Phrases(self.phrases(*names))


def _within(first: Phrases, gap: int, then: Phrases, joint: re.Pattern[str] = _NOTHING) -> Followed:
    """Return the form of one phrase, a few words, a joint, and another phrase.

    "never included" and "was not ever found" are a denial and a coming.
    """
    return Followed(first, within(gap, _FEW, then, joint))


def _by_it(lists: _Lists) -> Search:
    """Return what denies a thing that "it" or "them" takes up again: "he sold it"."""
    return Either(
        Followed(lists.of("leaving", "keeping"), by(_THEM)),
        Followed(_within(lists.of("takers"), 1, lists.of("takings")), by(_THEM)),
        Followed(lists.of("parting"), by(_THEM + _AWAY)),
        Followed(lists.of("wants"), by(_ONE)),
        Followed(_within(lists.of("denials"), 2, lists.of("grants")), by(_THEM)),
    )


class ToldOf:
    """What denies a thing right before it: "a vise that I will keep", "the one he sold"."""

    _lead = re.compile(r"\s*,?\s*(?:(?:that|which)\s+)?")
    _pronoun = re.compile(r"(?:i|we|he|she|they)(?:'ll|'m|'s|'ve|'d)?(?=\s)")
    _owner = re.compile(r"(?:my|his|her|our|the|their)\s+")
    _word = re.compile(r"\w+\s+")
    _ends = re.compile(
        r"(?=\s*(?:$|[,.;:!)]|(?:for|with)\s+(?:my|his|her|me|another|the)\b|so\b|but\b|and\b))"
    )
    _gap = 4

    def __init__(self, takers: Phrases, said: Phrases) -> None:
        self._takers = takers
        self._said = said

    def match(self, text: str) -> Span | None:
        """Return what is said at the beginning of a text."""
        lead = self._lead.match(text)
        start = lead.end() if lead is not None else 0
        for teller in self._tellers(text, start):
            place = past_spaces(text, teller)
            for _ in range(self._gap + 1):
                if place is None:
                    break
                for end in self._said.starting(text, place):
                    if self._ends.match(text, end):
                        return Span(0, end)
                few = _FEW.match(text, place)
                place = few.end() if few is not None else None
        return None

    def _tellers(self, text: str, start: int) -> list[int]:
        """Return where the one who tells may end: "he", "my brother", "his old friend"."""
        pronoun = self._pronoun.match(text, start)
        if pronoun is not None:
            return [pronoun.end()]
        owner = self._owner.match(text, start)
        if owner is None:
            return []
        word = self._word.match(text, owner.end())
        places = [owner.end(), *([word.end()] if word is not None else [])]
        return [end for place in places for end in self._takers.starting(text, place)]


def _here(lists: _Lists) -> Search:
    """Return what sounds like a denial and is none: "never sold", "won't find a better"."""
    denials = lists.of("denials")
    return Either(
        lists.of("here"),
        _within(denials, 2, lists.of("leaving")),
        Followed(_within(denials, 2, lists.of("grants")), by(_BETTER)),
        _within(denials, 1, lists.of("flipped")),
    )


def _of_a_machine(names: Sequence[str]) -> re.Pattern[str]:
    """Return the pattern of a clause that tells what became of another machine."""
    named = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    machine = rf"(?:the|a|an|my|his|another|that)\s+(?:[\w-]+\s+)?\b(?:{named})(?![\w'])"
    teller = r"(?:(?:that|which)\s+)?(?:i|we|he|she|they)\b"
    ends = r"(?=\s*(?:$|[,.;:)(]|so\b|last\b|on\b|years\b))"
    return re.compile(
        rf"\b(?:for|from|off|of|to fit|fits|fit)\s+{machine}\s+{teller}[^,.;:()]*"
        rf"|\b(?:now|since|as|after|because|that)\s+(?:the|my)\s+(?:{named})"
        r"(?:'s|\s+is|\s+was|\s+has been)\s+(?:now\s+)?(?:sold|gone)"
        rf"|\b(?:sold|scrapped|lost|moved|traded)\s+{machine}{ends}"
    )
