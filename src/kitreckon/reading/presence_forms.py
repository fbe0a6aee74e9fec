"""Patterns of what tells whether a thing is there, made of the phrases of the rules."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from kitreckon.reading.phrases import WORD_ENDS, Verbs, pattern_of

_TOWARDS = r"(?:to|with|at|on|onto|for|in|into|over to)\s+(?:the\s+|an?\s+)?"
_THEM = r"(?:it|them|that|those|these|em|'em|both|the lot|the pair|one|his|mine)(?![\w'])"
_AWAY = r"(?:go|away|out|off|back|on|apart|separately)(?![\w'])"  # "let them go"
_FEW = r"(?:(?!(?:but|goes|comes|still|just)\b)[a-z']+\s+)"
_BETTER = (
    r"\s+(?:an?\s+|any\s+|many\s+|much\s+)?(?:(?!either|other|another|ever|over|"
    r"under|after|however|later|together|rather|proper|further)[a-z]+er|"
    r"more(?! (?:is|are|was)\b)|less|worse)\b"
)
_ARTICLE = r"(?:(?:an?|the|its|one|two|three|both|\d+)\s+)?"
_HEADINGS = (
    r"missing|lacking|lacks|needs|wanted|absent|not included|excluded|excludes|not in the sale|"
    r"also wanted|also needed|not for sale|sold|gone|keeping|what you don't get|"
    r"you don't get|wish list|still to find"
)


@dataclass(frozen=True, slots=True)
class Forms:
    """The patterns, by what they say."""

    # before the thing
    none_of: re.Pattern[str]  # "no", "without a"
    wants: re.Pattern[str]  # "still looking for a"
    denied: re.Pattern[str]  # "could never find the"
    taken: re.Pattern[str]  # "my brother has the"
    parted_with: re.Pattern[str]  # "sold the", "keeping the"
    lists: re.Pattern[str]  # the same, where it goes on over the commas
    conditional: re.Pattern[str]  # "if the"
    handing: re.Pattern[str]  # "gave the", with "away" after the thing
    # after it
    gone: re.Pattern[str]  # "walked years ago"
    by_it: re.Pattern[str]  # "he sold it"
    told_of: re.Pattern[str]  # "that I will keep", right after it
    never: re.Pattern[str]  # "was never included"
    moved: re.Pattern[str]  # "went to my brother"
    may_come: re.Pattern[str]  # "may yet turn up"
    surfacing: re.Pattern[str]  # "turns up"
    # anywhere
    here: re.Pattern[str]  # what sounds like a denial and is none
    given: re.Pattern[str]  # "comes with a", right before the thing
    headings: re.Pattern[str]  # what begins the heading of a list that is denied
    other_machine: re.Pattern[str]  # "for the lathe I sold", "then sold the lathe,"

    @classmethod
    def of(cls, rules: Mapping[str, Any]) -> Forms:
        """Make the patterns from the rules."""
        texts = _Texts(rules.get("presence") or {}, Verbs(rules))
        named = rf"(?<![\w'])(?:{_HEADINGS})\s*:|^\s*(?:also\s+)?(?:wanted|needed|missing)\s*,"
        none_of = f"{texts.of('none_of', 'once')}|{named}"
        wants = texts.of("wants")
        parted_with = texts.of("keeping", "leaving")
        denied = texts.composed("denials", "grants", 3)
        taken = texts.composed("takers", "takings", 2)
        gone = texts.of("going", "away", "leaving", "once_after")
        never = texts.composed("denials", "comings", 3)
        return cls(
            none_of=re.compile(none_of),
            wants=re.compile(wants),
            denied=re.compile(denied),
            taken=re.compile(taken),
            parted_with=re.compile(parted_with),
            lists=re.compile(f"{texts.of('lists', 'keeping', 'leaving')}|{named}"),
            conditional=re.compile(rf"{texts.of('hedges')}\s+(?:the\s+|an?\s+|his\s+|my\s+)?$"),
            handing=re.compile(
                rf"{texts.of('handing')}\s+(?:the|my|his|her|our|both|all)\s+(?:[\w-]+\s+){{0,2}}$"
            ),
            gone=re.compile(gone),
            by_it=_by_it(texts),
            told_of=_told_of(texts),
            never=re.compile(never),
            moved=re.compile(texts.composed("moves", "others", 3, _TOWARDS)),
            may_come=re.compile(texts.composed("hedges", "surfacings", 3)),
            surfacing=re.compile(texts.of("surfacings")),
            here=_here(texts),
            given=re.compile(rf"{texts.of('given')}:?\s+{_ARTICLE}(?:[\w/\"'.-]+\s+){{0,2}}$"),
            headings=re.compile(texts.of("headings")),
            other_machine=_of_a_machine(texts.of("machines")),
        )


class _Texts:
    """Texts of patterns made of the lists of the rules."""

    def __init__(self, lists: Mapping[str, Any], verbs: Verbs) -> None:
        self._lists = lists
        self._verbs = verbs
        self._made: dict[frozenset[str], str] = {}

    def of(self, *names: str) -> str:
        made = self._made.get(frozenset(names))
        if made is None:
            phrases = (phrase for name in names for phrase in self._lists.get(name, ()))
            made = self._made[frozenset(names)] = pattern_of(self._verbs.spread(phrases))
        return made

    def composed(self, first: str, then: str, gap: int, joint: str = "") -> str:
        """Return the text of a pattern: one of a list, a few words, a joint, one of another list.

        "never included" and "was not ever found" are a denial and a coming.
        """
        return rf"{self.of(first)}\s+{_FEW}{{0,{gap}}}?{joint}{self.of(then)}"


def _by_it(texts: _Texts) -> re.Pattern[str]:
    """Return what denies a thing that "it" or "them" takes up again: "he sold it"."""
    return re.compile(
        rf"{texts.of('leaving', 'keeping')}\s+{_THEM}"
        rf"|{texts.of('takers')}\s+{_FEW}{{0,1}}?{texts.of('takings')}\s+{_THEM}"
        rf"|{texts.of('parting')}\s+{_THEM}\s+{_AWAY}"
        rf"|{texts.of('wants')}\s+(?:one|some)(?![\w'])"
        rf"|{texts.of('denials')}\s+{_FEW}{{0,2}}?{texts.of('grants')}\s+{_THEM}"
    )


def _told_of(texts: _Texts) -> re.Pattern[str]:
    """Return what denies a thing right before it: "a vise that I will keep", "the one he sold"."""
    who = rf"(?:i|we|he|she|they|(?:my|his|her|our|the|their)\s+(?:\w+\s+)?{texts.of('takers')})"
    ends = r"(?=\s*(?:$|[,.;:!)]|(?:for|with)\s+(?:my|his|her|me|another|the)\b|so\b|but\b|and\b))"
    said = texts.of("keeping", "leaving", "takings")
    return re.compile(
        rf"\s*,?\s*(?:(?:that|which)\s+)?{who}(?:'ll|'m|'s|'ve|'d)?\s+{_FEW}{{0,4}}?{said}{ends}"
    )


def _here(texts: _Texts) -> re.Pattern[str]:
    """Return what sounds like a denial and is none: "never sold", "won't find a better"."""
    denied = rf"{texts.of('denials')}\s+"
    return re.compile(
        f"{texts.of('here')}|{denied}{_FEW}{{0,2}}?{texts.of('leaving')}"
        f"|{denied}{_FEW}{{0,2}}?{texts.of('grants')}{_BETTER}"
        f"|{denied}{_FEW}{{0,1}}?{texts.of('flipped')}"
    )


def _of_a_machine(machines: str) -> re.Pattern[str]:
    """Return the pattern of a clause that tells what became of another machine."""
    machine = rf"(?:the|a|an|my|his|another|that)\s+(?:[\w-]+\s+)?{machines}"
    teller = r"(?:(?:that|which)\s+)?(?:i|we|he|she|they)\b"
    ends = r"(?=\s*(?:$|[,.;:)(]|so\b|last\b|on\b|years\b))"
    owned = machines.removesuffix(WORD_ENDS)  # "the lathe's sold"
    return re.compile(
        rf"\b(?:for|from|off|of|to fit|fits|fit)\s+{machine}\s+{teller}[^,.;:()]*"
        rf"|\b(?:now|since|as|after|because|that)\s+(?:the|my)\s+{owned}"
        r"(?:'s|\s+is|\s+was|\s+has been)\s+(?:now\s+)?(?:sold|gone)"
        rf"|\b(?:sold|scrapped|lost|moved|traded)\s+{machine}{ends}"
    )
