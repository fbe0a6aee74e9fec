"""One sentence of an advert: which faults of the machine it tells, and whether they are so."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from kitreckon.quantities import clean_text
from kitreckon.reading.fault_words import (
    ADVICE,
    AFTER_DENIED,
    AND,
    ARTICLES,
    AVAILABLE,
    BREAKS,
    CONDITIONS,
    DEGREES,
    DENIALS,
    ELSEWHERE,
    FILLERS,
    GOES_ON,
    GOOD,
    HAVING,
    HEDGES,
    HOLDS,
    INSIDE,
    MACHINE,
    MENDED,
    MILD,
    NEAR,
    NOT_DONE,
    PREFIXES,
    RUNS_ON,
    SLACK,
    VERBS,
)
from kitreckon.reading.tellings import Tellings, Told, tokens_of


@dataclass(frozen=True, slots=True)
class SaidFinding:
    """A finding that an advert tells, in its words; not ``sure`` where it may be meant otherwise.

    ``danger`` is one that can hurt someone.
    """

    kind: str
    text: str
    sure: bool = True
    danger: bool = False


@dataclass(frozen=True, slots=True)
class _Span:
    """Words ``start`` to ``end`` of a stretch; ``name`` of a part or thing."""

    start: int
    end: int
    name: tuple[str, ...] = ()


class Sentence:
    """The stretches of one sentence, and what they tell."""

    def __init__(self, text: str, tellings: Tellings) -> None:
        self.text = text
        self.tellings = tellings
        self.elsewhere = bool(ELSEWHERE.search(text))
        tokens = tokens_of(text)
        self.words = [word.text for word in tokens]
        self.places = [(word.start, word.end) for word in tokens]
        self.things = self._things()
        self._beginning = {thing.start: thing for thing in self.things}

    def said(self) -> Iterator[SaidFinding]:
        """Yield what is told, in order; of what is elsewhere only a danger, to be asked about."""
        for at in range(len(self.words)):
            for told, fault in self._faults(at):
                if self.elsewhere and not told.rule.danger:
                    continue
                for part in self._parts(told, fault):
                    if said := self._finding(told, fault, part):
                        yield said
                        break

    def _things(self) -> list[_Span]:
        """Return the parts and things named, the longest name at each place."""
        found: list[_Span] = []
        at = 0
        while at < len(self.words):
            names = self.tellings.things.get(self.words[at], ())
            name = next((n for n in names if tuple(self.words[at : at + len(n)]) == n), None)
            if name:
                found.append(_Span(at, at + len(name), name))
            at += len(name) if name else 1
        return found

    def _faults(self, at: int) -> Iterator[tuple[Told, _Span]]:
        """Yield what may be told from a word on: the longest phrase of each telling."""
        seen: set[int] = set()
        for told, phrase in self.tellings.by_word.get(self.words[at], ()):
            if id(told) not in seen and (end := self._matched(at, phrase)):
                seen.add(id(told))
                yield told, _Span(at, end, phrase)

    def _matched(self, at: int, phrase: tuple[str, ...]) -> int:
        """Return where a phrase that begins at a word ends, 0 where it does not stand there."""
        for place, word in enumerate(phrase):
            while place and at < len(self.words) and self.words[at] != word:
                if self.words[at] not in SLACK:
                    return 0
                at += 1
            if at >= len(self.words) or self.words[at] != word:
                return 0
            at += 1
        return at

    # Which part a fault is of

    def _parts(self, told: Told, fault: _Span) -> Iterator[_Span]:
        """Yield the parts a fault is told of, the nearest first; the fault where it is of all."""
        if not told.of:
            if self._of_machine(fault):
                yield fault
            return
        bound = self._after(told, fault)
        if bound is None or (bound.name not in told.of and self._has_subject(fault)):
            bound = self._before(told, fault) or bound
        if bound is None:
            return
        for part in (bound, *self._listed(bound, fault)):
            if part.name in told.of and self._is_whole(part):
                yield part

    def _of_machine(self, fault: _Span) -> bool:
        """Return whether what is told has the machine for its subject, said or left out."""
        for at in range(fault.start - 1, -1, -1):
            word = self.words[at]
            if word in BREAKS or word in AND:
                break
            if word not in MACHINE:
                return False
        denied = fault.name[0] in {"not", "no"}
        return not denied or self._ends(fault.end)

    def _ends(self, at: int) -> bool:
        """Return whether nothing that would turn the sense follows."""
        return at >= len(self.words) or self.words[at] in GOES_ON or self.words[at] in BREAKS

    def _after(self, told: Told, fault: _Span) -> _Span | None:
        """Return the part that follows: "crack in the bed", "no motor", "worn half nuts"."""
        at, inside = fault.end, ""
        while at < len(self.words) and at - fault.end <= 6:
            word = self.words[at]
            thing = self._thing_from(at, fault)
            if thing is not None:
                return self._following(told, fault, thing, inside)
            if word in BREAKS or word in VERBS or word in NEAR or word in DENIALS:
                return None
            if word in AND and not (inside or self._noun_list(at)):
                return None
            inside = word if word in INSIDE else inside
            at += 1
        return None

    def _following(self, told: Told, fault: _Span, thing: _Span, inside: str) -> _Span | None:
        """Return the part among what follows a fault; without a name where it is another's."""
        prefix = fault.name[0] in PREFIXES
        gone = prefix or fault.name in (("missing",), ("not", "have"))
        if gone and not inside and (last := self._last_named(thing)) is not thing:
            thing = last  # "missing the compound handle": of the handle
        if gone and len(fault.name) < 3 and not self._ends(self._list_end(thing)):
            return None
        if not inside and not prefix and self._has_subject(fault):
            return None
        if inside or thing.start - fault.end <= 2:
            for each in (thing, *self._listed_after(thing)):
                if each.name in told.of and self._is_whole(each):
                    return each
        return _Span(thing.start, thing.end) if inside in HOLDS else None

    def _noun_list(self, at: int) -> bool:
        """Return whether "and" joins two faults of one part: "cracks and chips in the bed"."""
        following = self.words[at + 1 : at + 3]
        return len(following) == 2 and following[1] in INSIDE

    def _has_subject(self, fault: _Span) -> bool:
        """Return whether a part stands right before, so that the fault is told of that."""
        at = fault.start - 1
        while at >= 0 and self.words[at] in FILLERS:
            at -= 1
        return any(thing.end == at + 1 for thing in self.things)

    def _before(self, told: Told, fault: _Span) -> _Span | None:
        """Return the part before: "half nuts are worn"; not one that only tells the place."""
        if fault.name[0] in PREFIXES and fault.name[0] != "need":
            return None
        if fault.name == ("need",) and not self._ends(fault.end):
            return None  # "the cross slide needs a clean"
        for thing in reversed(self.things):
            if thing.end > fault.start or self._place_only(thing):
                continue
            between = self.words[thing.end : fault.start]
            cut = max((n for n, w in enumerate(between) if w in BREAKS or w == ","), default=-1)
            goes_on = (
                FILLERS.union({"up"}).issuperset(between[cut + 1 :])
                and RUNS_ON.issuperset(BREAKS.intersection(between))
                and fault.name[0] not in PREFIXES
                and self._leads(thing)
            )
            if len(between) > 7 or not (cut < 0 or goes_on):
                return None
            return thing if thing.name in told.of else self._held_by(thing) or thing
        return None

    def _held_by(self, thing: _Span) -> _Span | None:
        """Return the part that stands before a place it is in: "power feed on the carriage"."""
        at = thing.start - 1
        while at >= 0 and self.words[at] in ARTICLES:
            at -= 1
        if at < 0 or self.words[at] not in HOLDS:
            return None
        return next((each for each in self.things if each.end == at), None)

    def _leads(self, thing: _Span) -> bool:
        """Return whether a thing begins what is said: "bed is good, only worn near the chuck"."""
        at = thing.start - 1
        while at >= 0 and self.words[at] in ARTICLES:
            at -= 1
        return at < 0 or self.words[at] in BREAKS or self.words[at] == ","

    def _place_only(self, thing: _Span) -> bool:
        at = thing.start - 1
        while at >= 0 and self.words[at] in ARTICLES:
            at -= 1
        return at >= 0 and self.words[at] in NEAR

    def _thing_from(self, at: int, fault: _Span) -> _Span | None:
        return self._beginning.get(at) if at >= fault.end else None

    def _is_whole(self, part: _Span) -> bool:
        """Return whether a part is the machine's own: no vise's bed."""
        owners = [thing for thing in self.things if thing.end == part.start]
        lacks = self.words[part.start - 1 : part.start]
        if lacks and lacks[0] in {"without", "minus", "missing", "lack"}:
            owners += [thing for thing in self.things if thing.end == part.start - 1]
        if self.words[part.end : part.end + 1] in (["of"], ["for"]):
            at = part.end + 1
            while at < len(self.words) and self.words[at] in ARTICLES:
                at += 1
            owners += [thing for thing in self.things if thing.start == at]
        earlier = next((t for t in reversed(self.things) if t.end <= part.start), None)
        if earlier is not None and HAVING.intersection(self.words[earlier.end : part.start]):
            between = self.words[earlier.end : part.start]
            owners += [] if BREAKS.union(AND).intersection(between) else [earlier]
        return not any(map(self._is_other, owners))

    def _is_other(self, thing: _Span) -> bool:
        return all(thing.name not in told.of for told in self.tellings.told)

    def _listed(self, part: _Span, fault: _Span) -> Iterator[_Span]:
        """Yield the parts named in one breath with a part: "half nuts and leadscrew are worn"."""
        if part.start >= fault.end:
            yield from self._listed_after(part)
            return
        while (earlier := self._joined_before(part)) is not None:
            yield earlier
            part = earlier

    def _joined_before(self, part: _Span) -> _Span | None:
        at = part.start - 1
        while at >= 0 and self.words[at] in ARTICLES:
            at -= 1
        if at < 0 or self.words[at] not in {"and", "&", "or"}:
            return None
        return next((t for t in self.things if t.end == at and not self._praised(t)), None)

    def _listed_after(self, part: _Span) -> list[_Span]:
        """Return the parts that follow in a bare list, to the end of what is said."""
        listed: list[_Span] = []
        at = part.end
        while at < len(self.words) and self.words[at] in AND:
            while at < len(self.words) and (self.words[at] in AND or self.words[at] in ARTICLES):
                at += 1
            thing = self._beginning.get(at)
            if thing is None:
                return []
            listed.append(thing)
            at = thing.end
        return listed if self._ends(at) else []

    def _last_named(self, part: _Span) -> _Span:
        """Return the last of the names that stand together as one."""
        while part.end in self._beginning:
            part = self._beginning[part.end]
        return part

    def _list_end(self, part: _Span) -> int:
        listed = self._listed_after(part)
        return listed[-1].end if listed else part.end

    # Whether it is so

    def _finding(self, told: Told, fault: _Span, part: _Span) -> SaidFinding | None:
        """Return the finding told, None where it is denied, put right or only spoken of."""
        start, end = min(part.start, fault.start), max(part.end, fault.end)
        danger = told.rule.danger
        if self._denied(fault, part, danger=danger) or self._spoken_of(start):
            return None
        needs = fault.name[0] == "need"
        mended = not needs and (self._mended(start, end, fault) or self._praised(part))
        if mended and not danger:
            return None
        around = self.words[max(0, start - 4) : end + 2]
        soft = bool(HEDGES.intersection(around)) or (not danger and bool(MILD.intersection(around)))
        soft = soft or bool(DEGREES.intersection(around))
        sure = not (mended or soft or told.telling.ask or self.elsewhere)
        return SaidFinding(told.rule.id, self._quoted(start, end), sure, danger)

    def _praised(self, part: _Span) -> bool:
        before = self.words[part.start - 1 : part.start]
        earlier = self.words[max(0, part.start - 3) : part.start - 1]
        return bool(GOOD.intersection(before)) and "need" not in earlier

    def _denied(self, fault: _Span, part: _Span, *, danger: bool) -> bool:
        """Return whether a word before or after takes the fault back; a degree never a danger."""
        following = self.words[fault.end : fault.end + 5]
        for place, word in enumerate(following[:4]):
            if word in AFTER_DENIED and not (word == "little" and following[place - 1] == "a"):
                last = following[place + 1 : place + 2]
                own = "," in following[:place] and last and last[0] not in BREAKS | {","}
                return not own and not (danger and word in DEGREES)  # "frayed, zero other faults"
            if word not in FILLERS and word not in {",", "very", "-"}:
                break
        places = [at for at in range(fault.start) if self._denies(at)]
        if danger:
            places = [at for at in places if self.words[at] not in DEGREES]
        return any(self._reaches(at, fault, part) for at in places)

    def _denies(self, at: int) -> bool:
        """Return whether a word denies what follows it: "a little" and "no doubt" do not."""
        word = self.words[at]
        if word == "little" or word == "less":
            return self.words[at - 1 : at] != ["a"]
        if word == "free":
            return self.words[at + 1 : at + 2] in (["of"], ["from"])
        return word in DENIALS and self.words[at + 1 : at + 2] not in (["only"], ["doubt"])

    def _reaches(self, at: int, fault: _Span, part: _Span) -> bool:
        """Return whether a denial at a word is of the fault, and not of what stands before it."""
        between = self.words[at + 1 : fault.start]
        if any(word in BREAKS for word in between):
            return False
        whole = self.words[at + 1 : max(part.end, fault.end)]
        if "," in between:
            verbs = any(word in VERBS for word in between)
            return not verbs and part.start >= fault.start and bool({"or", "nor"} & set(whole))
        joints = [at + 1 + n for n, word in enumerate(between) if word in {"and", "&", "with"}]
        for joint in joints:
            subject = joint < part.start < fault.start
            praised = joint < fault.start == joint + 1 <= part.start <= fault.end + 1
            if joint > at + 1 and (subject or praised):
                return False
        return True

    def _spoken_of(self, start: int) -> bool:
        """Return whether it is a condition or advice: "check for cracks", "does it have wear"."""
        at = start - 1
        while at >= 0 and self.words[at] not in BREAKS and self.words[at] != ",":
            word = self.words[at]
            if word == "if" and self.words[at + 1 : at + 3] == ["you", "look"]:
                return False  # "if you look closely there is a crack"
            if word in CONDITIONS or " ".join(self.words[at : at + 2]) in ADVICE:
                return True
            at -= 1
        first, second = [*self.words[at + 1 : at + 3], "", ""][:2]
        return first in {"do", "is", "are", "can"} and second in ARTICLES | {"it", "there"}

    def _mended(self, start: int, end: int, fault: _Span) -> bool:
        """Return whether the sentence says that it was put right."""
        for at, word in enumerate(self.words):
            new = word == "new" and self.words[at + 1 : at + 2] in (["one"], ["pair"], ["set"])
            new = new and not AVAILABLE.intersection(self.words[at + 2 : at + 4])
            if not (word in MENDED or new) or fault.start <= at < fault.end:
                continue
            if at >= end and self._names_another(at + 1):
                continue  # "half nuts worn but replaced the belt"
            low, high = (end, at) if at >= end else (at, start)
            if NOT_DONE.intersection(self.words[max(0, at - 4) : at]) or high - low > 10:
                continue
            if not any(low <= thing.start < high for thing in self.things):
                return True
        return False

    def _names_another(self, at: int) -> bool:
        """Return whether a thing is named right there, after its article."""
        while at < len(self.words) and self.words[at] in ARTICLES:
            at += 1
        return at in self._beginning

    def _quoted(self, start: int, end: int) -> str:
        """Return the words it rests on, as written, to the commas around them."""
        while start > 0 and self.words[start - 1] not in BREAKS and self.words[start - 1] != ",":
            start -= 1
        while end < len(self.words) and self.words[end] not in BREAKS and self.words[end] != ",":
            end += 1
        quoted = self.text[self.places[start][0] : self.places[end - 1][1]]
        return clean_text(" ".join(quoted.split()), 160)
