"""One line or sentence taken apart: its tokens, clauses, and the things it names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from kitreckon.reading.chart import NOTHING, Mention, Turns, mentions_in
from kitreckon.reading.clauses import Clause, Joints, clauses_of
from kitreckon.reading.codes import Codes
from kitreckon.reading.lexicon import ASIDE, MACHINE, Lexicon
from kitreckon.reading.openings import Openings
from kitreckon.reading.tokens import Token, fold, scan

HEAD = frozenset({"start", "comma", "stop", "paren"})
_ORDER: tuple[frozenset[str], ...] = (
    HEAD,
    frozenset({"with"}),
    frozenset({"of"}),
    frozenset({"that", "from"}),
    frozenset({"for"}),
)


@dataclass(frozen=True, slots=True)
class Passage:
    """A line or sentence with what was found in it; offsets count in ``shown``."""

    shown: str
    low: str
    tokens: list[Token]
    clauses: list[Clause]
    mentions: list[Mention]

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
        self._openings = Openings.of(rules, lexicon)

    def take(self, shown: str) -> Passage:
        """Take one cleaned line apart."""
        shown = fold(shown)
        low = shown.lower()
        if len(low) != len(shown):  # a few letters of other scripts change length
            shown = low
        tokens = scan(low, self._codes.find(low))
        clauses = clauses_of(tokens, low, self._lexicon, self._joints)
        mentions = [
            mention
            for number, clause in enumerate(clauses)
            for mention in mentions_in(clause, number, self._lexicon, self._turns)
        ]
        mentions.extend(self._codes.mentions(clauses, mentions))
        mentions.sort(key=lambda mention: mention.start)
        mentions = [self._refined(m, mentions, clauses) for m in mentions]
        mentions = [self._openings.weighed(m, clauses, mentions) for m in mentions]
        return Passage(shown, low, tokens, clauses, mentions)

    def _refined(
        self, mention: Mention, mentions: Sequence[Mention], clauses: Sequence[Clause]
    ) -> Mention:
        """Return the mention as what stands right after it makes it."""
        number = mention.clause + 1
        if number >= len(clauses) or mention.target in NOTHING:
            return mention
        following = [m for m in mentions if m.clause == number]
        own = [m for m in mentions if m.clause == mention.clause]
        if not following or own[-1] is not mention:
            return mention
        link, then = clauses[number].link, following[0]
        if link in {"for", "of"}:
            slots = clauses[mention.clause].slots[mention.first : mention.last]
            got = self._turns.turned(then.target, [slot.form for slot in slots][-1:])
            if got is not None:
                return replace(
                    mention, targets=((got[0], 1.0),), open=False, turned=slots[-1].text,
                    before=then.target,
                )  # fmt: skip
        if mention.open and link in {"comma", "paren"} and _completes(mention, then):
            return replace(mention, targets=((then.target, 1.0),), open=False, words=2)
        return mention


def _completes(mention: Mention, then: Mention) -> bool:
    """Whether "3 jaw" after "chuck," only says which chuck."""
    head = mention.items[-1].phrase.words[-1] if mention.items else ""
    words = then.items[-1].phrase.words if then.items else ()
    return then.target in dict(mention.targets) and head not in words and not then.open


def first_thing(passage: Passage) -> Mention | None:
    """Return the mention a line is about, None when it names nothing but machines and remarks.

    What stands at the head goes before what is only with it; a word that leaves the kind open
    yields to a plain name elsewhere when it is likely no name at all.
    """
    named = passage.named()
    for links in _ORDER:
        for mention in named:
            if passage.link(mention) not in links:
                continue
            if _feeble(mention) and any(not _feeble(m) and m.target not in NOTHING for m in named):
                continue
            return mention
    return named[0] if named else None


def _feeble(mention: Mention) -> bool:
    return (
        mention.open and mention.words == 1 and sum(share for _, share in mention.targets) <= 0.55
    )


def kinds_of(mentions: Iterable[Mention]) -> list[Mention]:
    """Return the mentions whose likeliest meaning is a kind."""
    return [mention for mention in mentions if mention.target not in NOTHING]
