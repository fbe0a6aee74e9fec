"""One line or sentence taken apart: its tokens, clauses, and the things it names."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kitreckon.reading.chart import Mention, mentions_in
from kitreckon.reading.clauses import MEASURES, Clause, Joints, clauses_of
from kitreckon.reading.codes import Codes
from kitreckon.reading.lexicon import ASIDE, MACHINE, NOTHING, Lexicon
from kitreckon.reading.openings import Openings
from kitreckon.reading.taken_up import taken_up
from kitreckon.reading.tokens import Token, fold, scan
from kitreckon.reading.turns import Turns

HEAD = frozenset({"start", "comma", "stop", "paren"})
_SHORTEST_BED = 12  # inches between centres
_LEAST = 0.5
_PLAIN = 0.7
_JOINED = frozenset({"with", "comma"})
_IDLE = re.compile(  # "Lot 214 - 8in chuck", "the rest of the haul"
    r"^\s*lot\s?#?\s?\d{1,5}[a-z]?\s*(?:[-:.,]\s*(?=\S)|(?=\())|\bthe rest (?:of|goes|stays)\b"
)
_IS = frozenset({"is", "are", "was", "were"})
_SPARE = frozenset({"spare", "extra", "replacement", "new"})
_ORDER: tuple[frozenset[str], ...] = (
    HEAD,
    frozenset({"with"}),
    frozenset({"verb"}),
    frozenset({"of"}),
    frozenset({"that", "from"}),
    frozenset({"for"}),
    frozenset({"lack"}),
)


@dataclass(frozen=True, slots=True)
class Passage:
    """A line or sentence with what was found in it; offsets count in ``shown``."""

    shown: str
    low: str
    tokens: list[Token]
    clauses: list[Clause]
    mentions: list[Mention]
    then: str = ""  # the sentence after it, in small letters

    def link(self, mention: Mention) -> str:
        """Return how the clause of a mention is joined to what stands before it."""
        return self.clauses[mention.clause].link

    def words(self, mention: Mention) -> str:
        """Return the words of a mention as typed."""
        return self.shown[mention.start : mention.end]

    def named(self) -> list[Mention]:
        """Return the mentions that are things: no whole machines, no remarks."""
        return [m for m in self.mentions if m.target not in {MACHINE, ASIDE}]


class Taker:
    """Takes lines apart with the catalogue's words and the rules."""

    def __init__(self, lexicon: Lexicon, rules: Mapping[str, Any]) -> None:
        self._lexicon = lexicon
        self._turns = Turns(rules, lexicon)
        self._joints = Joints(rules)
        self._codes = Codes.of(rules)
        self._doubtful = frozenset(map(str, rules.get("doubtful", ())))
        self._own_parts = frozenset(lexicon.words_of(str(w)) for w in rules.get("own_parts", ()))
        self._openings = Openings.of(rules, lexicon)

    def words_of(self, text: str) -> tuple[str, ...]:
        """Return the forms of the words of a phrase."""
        return self._lexicon.words_of(text)

    def take(self, shown: str) -> Passage:
        """Take one cleaned line apart."""
        shown = fold(shown)
        low = shown.lower()
        if len(low) != len(shown):  # a few letters of other scripts change length
            shown = low
        low = _IDLE.sub(lambda match: " " * len(match[0]), low)
        tokens = scan(low, self._codes.find(low))
        clauses = clauses_of(tokens, low, self._lexicon, self._joints)
        mentions = [
            mention
            for number, clause in enumerate(clauses)
            for mention in mentions_in(clause, number, self._lexicon, self._turns)
        ]
        mentions.extend(self._codes.mentions(clauses, mentions))
        if not any(m.target not in {MACHINE, ASIDE} and not _bare(m, tokens) for m in mentions):
            mentions = [*self._codes.pairs(clauses), *mentions]
        mentions.extend(taken_up(clauses, mentions, self._lexicon))
        mentions = _without_bare_mounts(mentions, tokens, clauses)
        mentions.sort(key=lambda mention: mention.start)
        mentions = self._all_refined(mentions, clauses)
        mentions = [
            _specified(m, clauses[m.clause], self._doubtful, self._own_parts) for m in mentions
        ]
        mentions = [self._with_the_last(m, mentions, clauses) for m in mentions]
        mentions = [self._openings.weighed(m, clauses, mentions) for m in mentions]
        return Passage(shown, low, tokens, clauses, mentions)

    def _all_refined(self, mentions: list[Mention], clauses: Sequence[Clause]) -> list[Mention]:
        out: list[Mention] = []
        used: set[int] = set()
        for mention in mentions:
            if id(mention) in used:
                continue
            refined, eaten = self._refined(mention, mentions, clauses)
            used.update(map(id, eaten))
            out.append(refined)
        return out

    def _refined(
        self, mention: Mention, mentions: Sequence[Mention], clauses: Sequence[Clause]
    ) -> tuple[Mention, list[Mention]]:
        """Return the mention as what stands right after it makes it, and what that used up."""
        number = mention.clause + 1
        if number >= len(clauses) or mention.target in NOTHING:
            return mention, []
        following = [m for m in mentions if m.clause == number]
        own = [m for m in mentions if m.clause == mention.clause]
        if own[-1] is not mention:
            return mention, []
        link = clauses[number].link
        if link in {"comma", "paren", "with"}:
            fuller = self._fuller(mention, clauses[number], following)
            if fuller is not None:
                return fuller, following
        if link in {"for", "of"} and following:
            return self._named_for(mention, following[0], clauses), []
        says = link in {"comma", "paren"} or (link == "verb" and clauses[number].word in _IS)
        if following and mention.open and says and self._completes(mention, following[0]):
            return _completed(mention, following[0], clauses[number]), [following[0]]
        return mention, []

    def _named_for(self, mention: Mention, then: Mention, clauses: Sequence[Clause]) -> Mention:
        """Return the chuck key of "key for the chuck"; the mention where it is no such thing."""
        slots = clauses[mention.clause].slots[mention.first : mention.last]
        got = self._turns.turned(then.target, [slot.form for slot in slots][-1:])
        if got is None:
            return mention
        return replace(
            mention, targets=((got[0], 1.0),), open=False, describing=False,
            turned=slots[-1].text, before=then.target,
        )  # fmt: skip

    def _with_the_last(
        self, mention: Mention, mentions: Sequence[Mention], clauses: Sequence[Clause]
    ) -> Mention:
        """Return the holders of "quick change post with 6 holders" as the holders of that post."""
        if not mention.open or clauses[mention.clause].link not in _JOINED:
            return mention
        before = [m for m in mentions if m.clause == mention.clause - 1 and m.target not in NOTHING]
        slots = clauses[mention.clause].slots[mention.first : mention.last]
        if not before or before[-1].open:
            return mention
        got = self._turns.turned(before[-1].target, [slot.form for slot in slots], particular=True)
        if got is None or got[0] not in dict(mention.targets):
            return mention
        return replace(
            mention, targets=((got[0], 1.0),), open=False,
            turned=slots[0].text, before=before[-1].target,
        )  # fmt: skip

    def _completes(self, mention: Mention, then: Mention) -> bool:
        """Whether "3 jaw" after "chuck," only says which chuck, with no noun of its own."""
        words = then.items[-1].phrase.words if then.items else ()
        if then.open or then.target not in dict(mention.targets):
            return False
        alone = (self._lexicon.find((word,)) for word in words)
        return not any(
            phrase and phrase.open and then.target in dict(phrase.targets)
            for phrase in alone
            if phrase and not phrase.describing
        )

    def _fuller(self, mention: Mention, clause: Clause, named: Sequence[Mention]) -> Mention | None:
        """Return "taper shank drill" for "drill (taper shank)"."""
        forms = [
            slot.form
            for slot in clause.slots
            if slot.known
            and slot.number is None
            and (not slot.filler or (slot.mount and mention.open))
        ]
        if not 1 <= len(forms) <= 4 or not mention.items or named:
            return None
        words = mention.items[-1].phrase.words
        for head in (words, words[-1:]) if mention.open else (words,):
            phrase = self._lexicon.find((*forms, *head))
            if phrase is None or phrase.open or phrase.targets[0][0] in {MACHINE, ASIDE}:
                continue
            if phrase.targets[0][0] != mention.target and len(phrase.words) > len(head):
                return replace(mention, targets=phrase.targets, open=False, words=len(phrase.words))
        return None


def _of_the_bed(mention: Mention, clause: Clause) -> bool:
    """Whether "centers" only tells how long the bed is: "13 x 40 centers", "centres 36"."""
    if mention.words != 1 or not mention.open:
        return False
    near = (f for f in clause.facts if f.kind in MEASURES and 0 <= mention.start - f.end <= 1)
    beside = (
        *clause.slots[max(0, mention.first - 1) : mention.first],
        *clause.slots[mention.last : mention.last + 1],
    )
    return any(near) or any((slot.number or 0) >= _SHORTEST_BED for slot in beside)


def _completed(mention: Mention, then: Mention, clause: Clause) -> Mention:
    """Return the three-jaw of "chuck, 3 jaw", of "two chucks, one 3 jaw"."""
    if clause.slots and clause.slots[0].text in {"one", "a", "an"}:
        return then  # the count before was of all of them
    return replace(mention, targets=((then.target, 1.0),), open=False, words=2)


def _bare(mention: Mention, tokens: Sequence[Token]) -> bool:
    """Whether a name is only a mount: the R8 of "R8 to ER25"."""
    return mention.words == 1 and any(
        token.kind == "mount" and token.start == mention.start for token in tokens
    )


def _without_bare_mounts(
    mentions: list[Mention], tokens: Sequence[Token], clauses: Sequence[Clause]
) -> list[Mention]:
    """Leave out names that are only a mount, where anything else is named: "fly cutter, R8".

    A series of holders stands for its post where holders follow: "AXA with 12 holders".
    """
    series = {t.start for t in tokens if t.kind == "mount" and str(t.value).endswith("XA")}
    rest = [
        m
        for m in mentions
        if not _bare(m, tokens)
        or (
            m.start in series and [c.link for c in clauses[m.clause + 1 : m.clause + 2]] == ["with"]
        )
    ]
    return rest or mentions


def _specified(
    mention: Mention,
    clause: Clause,
    doubtful: frozenset[str],
    own_parts: frozenset[tuple[str, ...]],
) -> Mention:
    """Return a part of the machine as a remark where it only says its own taper or nose."""
    own = mention.words == 1 or (mention.items and mention.items[-1].phrase.words in own_parts)
    spare = any(slot.form in _SPARE for slot in clause.slots)
    if mention.target in doubtful and mention.open and own and not spare:
        return replace(mention, targets=((ASIDE, 1.0),), open=False)
    if mention.target.startswith("centre-") and _of_the_bed(mention, clause):
        return replace(mention, targets=((ASIDE, 1.0),), open=False)
    mounted = any(token.kind == "mount" for token in clause.facts)
    if mention.target in doubtful and mention.words <= 2 and mounted:
        return replace(mention, targets=((ASIDE, 1.0),), open=False)
    return mention


def first_thing(passage: Passage) -> Mention | None:
    """Return the mention a line is about, None when it names nothing but machines and remarks.

    What stands at the head goes before what is only with it; a word that leaves the kind open
    yields to a plain name elsewhere when it is likely no name at all.
    """
    named = [mention for mention in passage.named() if not idle(mention)]
    for links in _ORDER:
        for mention in named:
            head = mention.clause == 0 and links is HEAD  # "without the stand that I keep"
            if passage.link(mention) not in links and not head:
                continue
            if _feeble(mention) and any(not _feeble(m) and m.target not in NOTHING for m in named):
                continue
            return mention
    return named[0] if named else None


def idle(mention: Mention) -> bool:
    """Whether a mention is only an adjective: "magnetic", "boring"."""
    return mention.describing and mention.open and mention.targets[0][1] < _LEAST


def _feeble(mention: Mention) -> bool:
    if mention.describing and mention.targets[0][1] < _PLAIN:
        return True
    likely = sum(share for _, share in mention.targets)
    return mention.open and mention.words == 1 and likely <= 0.55


def kinds_of(mentions: Iterable[Mention]) -> list[Mention]:
    """Return the mentions whose likeliest meaning is a kind."""
    return [mention for mention in mentions if mention.target not in NOTHING]
