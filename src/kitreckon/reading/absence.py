"""Which of the things a sentence names it says are not there."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from kitreckon.catalogue.model import Kind
from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import Clause
from kitreckon.reading.lexicon import THING
from kitreckon.reading.passage import HEAD, Passage, kinds_of
from kitreckon.reading.presence import Presence
from kitreckon.reading.surroundings import Place, Surroundings
from kitreckon.reasons import Reason, because

_SIZE = (
    r"(?:\s\d[\w/.\"-]*(?:\s?(?:in|mm|inch)\b\.?)?)?"
    r"(?P<for>(?:\s(?:for|to suit|to fit) (?:it|this|(?:an?|the|my) [\w \"/-]{1,24}?))?)"
)
# what joins the things of a list: "no steady or follow rest", "missing: steady, follow rest"
_JOINED = re.compile(
    rf"{_SIZE}\s*(?:\([^)]*\)\s*)?(?P<word>and|or|nor|&|\+|along with|together with|as well as)\s+"
    r"(?P<a>an?\s+|\d+\s+|some\s+)?(?:the\s+)?(?:[\w/\"'-]+\s+){0,3}"
)
_COMMA = re.compile(
    rf"{_SIZE}\s*(?:\([^)]*\)\s*)?,\s*(?:(?P<word>and|or|nor|then|&|\+)\s+)?"
    r"(?P<a>an?\s+|\d+\s+|some\s+)?(?:the\s+|my\s+)?(?:[\w/\"'-]+\s+){0,3}"
)
_NEW_CLAUSE = re.compile(
    r"\b(?:is|are|was|were|has|have|had|comes?|came|i|we|he|she|they|you|it)\b"
)
# "the gears went with it, as did the guard"
_ALIKE = re.compile(
    r"\bditto\s+(?:for\s+)?(?:the\s+|my\s+|an?\s+)?$"
    r"|\bsame (?:goes )?for (?:the\s+|my\s+|an?\s+)?$"
    r"|\b(?:as|so|nor|neither)\s+(?:did|do|does|is|are|has|have|was|were)\s+(?:all\s+|both\s+)?(?:the\s+|my\s+|an?\s+)?(?:\w+\s+)?$"
)
_BESIDE = re.compile(  # "the four jaw was stolen along with the steady"
    r"\b(?:along with|together with|as well as)\s+(?:the\s+|its\s+|his\s+|my\s+)?$"
)
_PARTLY = re.compile(  # "some of the gears are missing"
    r"\b(?:some|most|many|few|couple|half|one|two|three|four|\d+) of (?:the|its|my|these)\s+$"
    r"|\bnot an?\s(?:full|complete|whole)\s(?:\w+\s)?$"
)
_NOT_A = re.compile(r"\bnot an?\s$")  # "not a lot of tooling"
_MUCH = ("lot ", "full ", "complete ")
_OF_ONE = re.compile(
    r"[,(](?!.*\b(?:are|were|have|all|both|to be)\b)|"
    r"\b(?:is|was|has|isn't|wasn't|hasn't|isnt|wasnt|hasnt|which|it (?:is|was|has))\b"
)
_TOLD_OF_IT = re.compile(
    r"(?:'s|'re|\s+(?:is|are|was|were|has|needs|works?|runs?))\b(?! also\b| too\b)"
)
_ENDING = re.compile(r"\s*,?\s*(or|nor)\s+(?:anything|whatever|any|such|the like|so)\b")
_ALL_OF_IT = re.compile(r"\b(?:tooling|tools|accessories|extras)\b([^.;()]*)$")
_HEADING_LIMIT = 100  # letters
_EARLIER = 40


@dataclass(frozen=True, slots=True)
class _Run:
    """Things named one after the other as a list, and what joins each to the one before."""

    mentions: list[Mention]
    joints: list[str]  # "and", "or", "," ...; one less than the mentions
    start: int  # where the words before the list begin

    @property
    def ends_in(self) -> str:
        return self.joints[-1] if self.joints else ""


class Absence:
    """Tells which things are said not to be there."""

    def __init__(self, kinds: Mapping[str, Kind], rules: Mapping[str, Any]) -> None:
        self._parts = {
            kind.id: tuple(name.lower() for part in kind.parts for name in part.names)
            for kind in kinds.values()
        }
        self._headings = frozenset(map(str, rules.get("headings", ())))
        self.presence = Presence(rules)
        self.surroundings = Surroundings(rules, self.presence.forms)

    def says(self, passage: Passage, mention: Mention) -> bool:
        """Whether the text says that the thing is not there."""
        if self.ruled(passage, mention):
            return True
        return not _of_another(passage, mention) and self.surroundings.deny(
            place_of(passage, mention)
        )

    def why(self, passage: Passage, mention: Mention) -> Reason:
        """Return why a thing is taken for not there: a phrase says so, or the words round it."""
        if self.ruled(passage, mention):
            return because("read-absent")
        words = self.surroundings.telling(place_of(passage, mention))
        return because("read-absent-weighed", words=", ".join(words))

    def ruled(self, passage: Passage, mention: Mention) -> bool:
        """Whether a phrase of the rules says that the thing is not there."""
        alike = self._as_another(passage, mention)
        if alike is not None:
            return alike
        if _only_some(passage.low, mention.start):
            return False
        low = self.presence.heard(passage.low)
        if self.under_denial(passage, mention) or self._in_brackets_of_denial(low, mention):
            return True
        run = _run_of(passage, mention, low)
        place = next(i for i, m in enumerate(run.mentions) if m.start == mention.start)
        after = _after(passage, mention, low)
        stays = self.presence.stays(after)
        if self._denied_before(low, run, place, stays=stays):
            return True
        before = low[run.start : run.mentions[0].start]
        if self.presence.may_come(before, after) or self.presence.handed_over(before, after):
            return True
        if stays or _of_another(passage, mention):
            return False
        return self._denied_after(passage, mention, after) or self._denied_with(
            passage, low, run, place
        )

    def _as_another(self, passage: Passage, mention: Mention) -> bool | None:
        """Return what is said by "as did the" or "along with the", None where neither stands."""
        earlier = [m for m in kinds_of(passage.mentions) if m.end <= mention.start]
        between = passage.low[earlier[-1].end : mention.start] if earlier else ""
        if _ALIKE.search(between) or _BESIDE.search(between):
            return self.ruled(passage, earlier[-1])
        run = _run_of(passage, mention, passage.low)
        first = mention if "," in run.joints else run.mentions[0]
        head = _ALIKE.search(passage.low[: first.start])
        if head is None or any(m.end <= first.start for m in earlier):
            return None  # "the lathe is gone and so are the chucks and collets"
        return self.presence.denied_after(passage.low[: head.start()]) is not None

    def under_denial(self, passage: Passage, mention: Mention) -> bool:
        """Whether a mention stands in a list whose heading denies it: "what does not go: ..."."""
        colon = passage.low.rfind(":", 0, mention.start)
        if colon < 0:
            return False
        start = max(passage.low.rfind(mark, 0, colon) for mark in (":", ";", ". ")) + 1
        heading = passage.low[start:colon]
        opened = heading.rfind("(")
        if opened > heading.rfind(")") and ")" in passage.low[colon : mention.start]:
            return False  # "clamp set (todo: an 18mm key), vise"
        if len(heading) > _HEADING_LIMIT or any(
            start <= m.start < colon and m.target not in self._headings and not m.open
            for m in kinds_of(passage.mentions)
            if m.end <= mention.start
        ):
            return False
        return self.presence.denies(heading)

    def _in_brackets_of_denial(self, low: str, mention: Mention) -> bool:
        """Whether a thing is one of those of "the tooling has been sold (vise, collets)"."""
        opened = low.rfind("(", 0, mention.start)
        if opened < 0 or ")" in low[opened : mention.start]:
            return False
        tooling = _ALL_OF_IT.search(low[:opened])
        return tooling is not None and self.presence.denied_after(tooling[1]) is not None

    def _denied_before(self, low: str, run: _Run, place: int, *, stays: bool) -> bool:
        """Whether what stands before the thing, or before its list, denies it."""
        first = run.mentions[0].start
        before = low[run.start : first]
        if "," in run.joints[:place] and not self.presence.runs_on(before, run.ends_in):
            last = max(i for i, joint in enumerate(run.joints[:place]) if joint == ",")
            before = low[run.mentions[last].end : run.mentions[last + 1].start]
        if "and a" in run.joints[:place] and not self.presence.goes_on(before):
            return False  # "no bars and a fly cutter"
        if place and _TOLD_OF_IT.match(low, run.mentions[place].end):
            return False  # "never found the steady, and the lamp's cracked"
        earlier = low[max(0, run.start - _EARLIER) : run.start]
        return self.presence.denied_before(before, stays=stays, earlier=earlier)

    def _denied_after(self, passage: Passage, mention: Mention, after: str) -> bool:
        between = self.presence.denied_after(after)
        if between is not None and not self._names_part(mention.target, between):
            return True
        later = [m for m in kinds_of(passage.mentions) if m.start >= mention.end]
        if any(m.clause == mention.clause for m in later):
            return False
        nexts = [m for m in later if m.clause == mention.clause + 1 and passage.link(m) == "with"]
        entry = passage.low[: passage.clauses[mention.clause + 1].end] if nexts else ""
        return self.presence.sold_at_end(entry.rstrip(" ,;."))

    def _denied_with(self, passage: Passage, low: str, run: _Run, place: int) -> bool:
        """Whether a list of things, and this one with it, is denied: "A, B and C are gone"."""
        rest = run.joints[place:]
        if not rest or (set(rest) == {","}) or run.ends_in == ",":
            return False
        last = run.mentions[-1]
        after = _after(passage, last, low)
        between = self.presence.denied_after(after)
        if between is None or _OF_ONE.search(between) or _OF_ONE.match(after.lstrip()):
            return False
        return not self._names_part(last.target, between)

    def _names_part(self, kind: str, text: str) -> bool:
        """Whether a text ends in a part of the kind: the handle of "vise, handle lost"."""
        ends = " ".join(text.replace(",", " ").split()[-2:])
        return any(ends == name or ends.endswith(f" {name}") for name in self._parts.get(kind, ()))


def _only_some(low: str, start: int) -> bool:
    """Whether it is said of a part only: "some of the gears", "not a lot of tooling"."""
    much = low.startswith(_MUCH, start) and _NOT_A.search(low, 0, start) is not None
    return much or _PARTLY.search(low, 0, start) is not None


def _of_another(passage: Passage, mention: Mention) -> bool:
    """Whether a thing only tells what another is for: "the key for the chucks is lost"."""
    earlier = any(m.end <= mention.start for m in kinds_of(passage.mentions))
    return earlier and passage.link(mention) == "for"


def place_of(passage: Passage, mention: Mention) -> Place:
    """Return where a thing stands among the others of its sentence."""
    others = tuple((m.start, m.end) for m in kinds_of(passage.mentions) if m is not mention)
    return Place(passage.low, mention.start, mention.end, others, passage.then)


def _after(passage: Passage, mention: Mention, low: str) -> str:
    """Return the words after a mention that may tell of it."""
    following = following_clauses(passage, mention)
    end = (following or [passage.clauses[mention.clause]])[-1].end
    things = [m for m in kinds_of(passage.mentions) if m.start >= mention.end]
    later = [m for m in things if not _of_another(passage, m)]  # "the key for the chucks is lost"
    after = low[mention.end : min([end, *(m.start for m in later)])]
    number = mention.clause + 1
    if number < len(passage.clauses) and passage.clauses[number].link == "lack":
        after = after.rstrip().removesuffix(passage.clauses[number].word)  # "chuck no key"
    return after


def _run_of(passage: Passage, mention: Mention, low: str) -> _Run:
    """Return the list of things that a mention stands in."""
    things = kinds_of(passage.mentions)
    place = next((i for i, m in enumerate(things) if m.start == mention.start), -1)
    if place < 0:
        earlier = [m.end for m in things if m.end <= mention.start]
        return _Run([mention], [], max(earlier, default=0))
    first = place
    joints: list[str] = []
    while first > 0 and (joint := _joint(low, things[first - 1], things[first])):
        joints.insert(0, joint)
        first -= 1
    last = place
    while last + 1 < len(things) and (joint := _joint(low, things[last], things[last + 1])):
        joints.append(joint)
        last += 1
    if joints and (ending := _ENDING.match(low, things[last].end)):
        joints.append(ending[1])  # "no collets, cutters or whatever"
    return _Run(things[first : last + 1], joints, things[first - 1].end if first else 0)


def _joint(low: str, one: Mention, other: Mention) -> str:
    """Return what joins two things of a list, "" where they are none."""
    if one.end > other.start:
        return ""
    between = low[one.end : other.start]
    match = _JOINED.fullmatch(between) or _COMMA.fullmatch(between)
    if match is None or _NEW_CLAUSE.search(between, match.end("for")):
        return ""
    if match["a"] and match["word"] and match["word"] not in {"or", "nor"}:
        return "and a"
    return match["word"] or ","


def following_clauses(
    passage: Passage, mention: Mention, parts: frozenset[str] = frozenset()
) -> list[Clause]:
    """Return the clauses after a mention that say something of it: those that name nothing else.

    A bare word for one of its ``parts`` is nothing else: "chuck, key type, 1-13 mm".
    """
    things = kinds_of(passage.mentions)
    if any(m.clause == mention.clause and m.start > mention.start for m in things):
        return []
    named = {m.clause for m in things if not _says_of(m, parts)}
    named |= {m.clause for m in passage.mentions if m.target == THING and not m.describing}
    out = []
    for number in range(mention.clause + 1, len(passage.clauses)):
        clause = passage.clauses[number]
        if number in named and clause.link in HEAD:
            break
        if number not in named:
            out.append(clause)
    return out


def _says_of(mention: Mention, parts: frozenset[str]) -> bool:
    """Whether a later mention rather tells of the thing before it than of another."""
    if not mention.open:
        return False
    return mention.describing or any(kind in parts for kind, _ in mention.targets)
