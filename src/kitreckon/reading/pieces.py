"""A thing named on a line, made a piece: how many, how large, in what state, how sure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from kitreckon.catalogue.model import Kind
from kitreckon.reading.absence import Absence, following_clauses
from kitreckon.reading.chart import Mention
from kitreckon.reading.clauses import Clause
from kitreckon.reading.confidence import Scale, Signs
from kitreckon.reading.counts import count_of
from kitreckon.reading.habits import Habits
from kitreckon.reading.lexicon import NOTHING, THING
from kitreckon.reading.model import Likely, ReadPiece
from kitreckon.reading.mounts import mount_of
from kitreckon.reading.passage import HEAD, Passage, idle, kinds_of
from kitreckon.reading.sizes import size_of, sizes_of_each
from kitreckon.reading.state import States
from kitreckon.reading.why import reasons_of

_JOINED = frozenset({"with", "comma"})
_MORE = re.compile(
    r"\b(?:spare|extra|soft|outside|inside|reverse|sets?|pairs?|other|and|plus|with)\b|[&+]"
)
_USUAL_LENGTH = 6  # words
_SEATED = frozenset({"chuck-mount", "spindle-socket", "tailstock-socket", "spindle-nose"})


def seats_of(kinds: Mapping[str, Kind], kind: str) -> tuple[str, ...]:
    """Return where a kind goes; nothing for one that is not in the catalogue."""
    return tuple(kinds[kind].seats) if kind in kinds else ()


class Maker:
    """Makes pieces of mentions."""

    def __init__(self, kinds: Mapping[str, Kind], rules: Mapping[str, Any]) -> None:
        self._kinds = kinds
        self._states = States.of(rules)
        self._absence = Absence(kinds, rules)
        self._habits = Habits.of(rules)
        self._scale = Scale.of(rules)
        self._of_a_chuck = frozenset(map(str, rules.get("bracketed", ())))
        self._held_by = {str(k): str(by) for k, by in (rules.get("held_by") or {}).items()}
        self.parts_of = {
            str(kind): frozenset(map(str, parts))
            for kind, parts in (rules.get("belongs") or {}).items()
        }

    def piece(self, passage: Passage, mention: Mention, *, listed: bool = False) -> ReadPiece:
        """Return the piece a mention stands for.

        ``listed`` where many things are named as a matter of course, as in an advert: that
        others stand beside it then speaks neither for nor against it.
        """
        own = passage.clauses[mention.clause]
        parts = self.parts_of.get(mention.target, frozenset())
        scope = [own, *following_clauses(passage, mention, parts)]
        qty, set_of, set_has = count_of(passage, mention, scope[1:], self._habits)
        mount, series = self._mount(passage, mention, scope)
        text = _own_text(passage, mention, scope, passage.mentions)
        with_parts = _own_text(passage, mention, scope, kinds_of(passage.mentions))
        sizes = sizes_of_each(passage, mention, scope, qty) if set_of is None else ()
        size = None
        if set_has is None and not sizes:  # "set of 13, missing the 3/8"
            size = size_of(passage, mention, scope, self._habits, set_of, parts)
        sure = self._sure(passage, mention, listed=listed)
        others = _others(mention, sure)
        absent = set_has is None and self.absent(passage, mention)
        gone_why = (self._absence.why(passage, mention),) if absent else ()
        return ReadPiece(
            kind=mention.target,
            qty=qty,
            set_of=set_of,
            set_has=set_has,
            sizes=sizes,
            size=size,
            mount=mount,
            series=series,
            back=self._states.back(text),
            condition=self._states.condition(text),
            parts_missing=() if absent else tuple(self.parts_gone(passage, mention)),
            unsafe=self._states.danger(with_parts),
            state="absent" if absent else "here",
            confidence=round(sure, 4),
            taken=self._scale.takes(sure, is_open=bool(others)),
            others=others,
            why=(*reasons_of(passage, mention), *gone_why),
            text=passage.shown[own.start : scope[-1].end].strip(" ,;.("),
        )

    def _mount(
        self, passage: Passage, mention: Mention, scope: Sequence[Clause]
    ) -> tuple[str | None, str | None]:
        """Return the mount and the series that a line tells of a thing."""
        kind = mention.target
        before = passage.clauses[mention.clause - 1 : mention.clause]
        mount, series = mount_of(kind, scope, self._habits, passage.low)
        if _mount_before(passage, mention):
            mount = mount_of(kind, [*before, *scope], self._habits, passage.low)[0]
        if series is None and mention.before and passage.link(mention) in _JOINED:
            series = mount_of(kind, before, self._habits, passage.low)[1]
        if _SEATED & set(seats_of(self._kinds, kind)):  # "on a 2MT arbor" is the chuck's mount
            nexts = passage.clauses[mention.clause + 1 : mention.clause + 2]
            joined = [c for c in nexts if c.link in {"with", "from", "for"}]
            joined += self._of_its_parts(passage, mention)
            mount = mount_of(kind, [*scope, *joined], self._habits, passage.low)[0]
        if kind in self._held_by and mount is None and series is None:
            series = self._series_of_chuck(passage, mention, self._held_by[kind])
        return mount, series

    def _series_of_chuck(self, passage: Passage, mention: Mention, holder: str) -> str | None:
        """Return ER25 for the collets of "ER25 collet chuck MT2 with 10 collets"."""
        before = [m for m in kinds_of(passage.mentions) if m.end <= mention.start]
        chuck = next((m for m in reversed(before) if m.target == holder), None)
        if chuck is None:
            return None
        clauses = passage.clauses[chuck.clause : max(mention.clause, chuck.clause + 1)]
        return mount_of(holder, clauses, self._habits, passage.low)[1]

    def of_its_chuck(self, passage: Passage, mention: Mention) -> Mention:
        """Return collets of no named sort as those of the collet chuck that stands before them."""
        open_to = {kind for kind, _ in mention.targets}
        for kind, holder in self._held_by.items():
            told = kind in open_to and mention.target != kind
            if told and self._series_of_chuck(passage, mention, holder) is not None:
                return mention.meaning(kind)
        return mention

    def _sure(self, passage: Passage, mention: Mention, *, listed: bool) -> float:
        """Return the chance that the mention is what it is read as."""
        signs = signs_of(passage, mention)
        if listed:
            signs = replace(signs, others=0, thing=0, length=min(signs.length, _USUAL_LENGTH))
        return self._scale.sure(signs)

    def _of_its_parts(self, passage: Passage, mention: Mention) -> list[Clause]:
        """Return the clauses that name only what belongs to a thing: "face mill, R8 arbor"."""
        parts = self.parts_of.get(mention.target, frozenset())
        out = []
        for number in range(mention.clause + 1, len(passage.clauses)):
            inside = [m for m in kinds_of(passage.mentions) if m.clause == number and not idle(m)]
            if any(kind not in parts for m in inside for kind, _ in m.targets[:1]):
                break
            out.append(passage.clauses[number])
        return out

    def parts_gone(self, passage: Passage, mention: Mention) -> dict[str, list[Mention]]:
        """Return the parts said to be missing of a thing, each with the mentions that say so."""
        kind = self._kinds.get(mention.target)
        if kind is None or not kind.parts:
            return {}
        gone: dict[str, list[Mention]] = {}
        for number in range(mention.clause, len(passage.clauses)):
            clause = passage.clauses[number]
            start = mention.end if number == mention.clause else clause.start - len(clause.word) - 1
            nexts = passage.clauses[number + 1 : number + 2]
            said = nexts if nexts and nexts[0].link == "verb" else [clause]  # "plates are missing"
            part = self._states.part_missing(kind, passage.low[max(0, start) : said[0].end])
            inside = [
                m
                for m in kinds_of(passage.mentions)
                if m.clause == number and m.start >= mention.end and not idle(m)
            ]
            if part is None and inside and number != mention.clause:
                break
            if part is not None:
                gone.setdefault(part, []).extend(inside)
        return gone

    def tells_state(self, passage: Passage, mention: Mention) -> bool:
        """Whether jaws or a key are named only to tell the state of their chuck: "jaws worn"."""
        before = [m for m in kinds_of(passage.mentions) if m.end <= mention.start]
        if not before or mention.target not in self._of_a_chuck or "chuck" not in before[-1].target:
            return False
        between = passage.low[before[-1].end : mention.start]
        more = _MORE.search(passage.low[before[-1].end : mention.end])
        return more is None and self._states.tells(between, passage.low[mention.end :])

    def danger(self, text: str) -> str:
        """Return the word of danger in a text, "" where there is none."""
        return self._states.danger(text)

    def refuses(self, reply: str) -> bool:
        """Whether the answer to "Collets?" says that there are none."""
        return self._absence.presence.denied_after(reply) is not None

    def heads_absent(self, text: str) -> bool:
        """Whether a heading says that what follows is not there."""
        presence = self._absence.presence
        return presence.lists(text) or presence.denies(text.rstrip(": "))

    def under_denial(self, passage: Passage, mention: Mention) -> bool:
        """Whether a thing stands under a heading that denies it: "Not included: ..."."""
        return self._absence.under_denial(passage, mention)

    def absent(self, passage: Passage, mention: Mention) -> bool:
        """Whether the text says that the thing is not there."""
        return self._absence.says(passage, mention)


def _mount_before(passage: Passage, mention: Mention) -> bool:
    """Whether a mount alone stands in the clause before: "R8 - JT3 arbor"."""
    if not mention.clause or passage.link(mention) != "comma":
        return False
    before = passage.clauses[mention.clause - 1]
    mounts = [token for token in before.facts if token.kind == "mount"]
    return len(mounts) == len(before.facts) == 1 and all(slot.mount for slot in before.slots)


def _own_text(
    passage: Passage, mention: Mention, scope: Sequence[Clause], rivals: Sequence[Mention]
) -> str:
    """Return what is said of a mention, up to the next of its rivals."""
    inside = [m for m in passage.mentions if m.clause == mention.clause and m is not mention]
    start = max((m.end for m in inside if m.end <= mention.start), default=scope[0].start)
    heads = [
        m.start
        for m in rivals
        if m.start >= mention.end and passage.link(m) in HEAD | {"with"} and not idle(m)
    ]
    end = min(heads, default=len(passage.low))
    return passage.low[start:end]


def signs_of(passage: Passage, mention: Mention) -> Signs:
    """Return what speaks for and against the reading of a mention."""
    link = passage.link(mention)
    rest = [m for m in passage.mentions if m is not mention]
    return Signs(
        share=mention.targets[0][1],
        words=mention.words,
        strength=mention.strength,
        slips=mention.slips,
        loose=mention.loose,
        trailing=mention.trailing,
        strange=mention.strange,
        aside=0 if link in HEAD else 1 if link in {"with", "of", "verb"} else 2,
        turned=1 if mention.turned else 0,
        modified=1 if mention.modified else 0,
        thing=sum(1 for m in rest if m.target == THING),
        others=len(kinds_of(rest)),
        length=sum(len(clause.slots) for clause in passage.clauses),
    )


def _others(mention: Mention, sure: float) -> tuple[Likely, ...]:
    rest = [(kind, part) for kind, part in mention.targets[1:] if kind not in NOTHING]
    left = max(1.0 - mention.targets[0][1], sum(part for _, part in rest)) or 1.0
    return tuple(
        Likely(kind, round(min(sure, (1.0 - sure) * part / left), 4)) for kind, part in rest
    )
