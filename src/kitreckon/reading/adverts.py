"""Whole adverts: split into sentences, the story and other machines left out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from kitreckon.quantities import clean_text
from kitreckon.reading.announced import named_after
from kitreckon.reading.answers import Answers, answers_of
from kitreckon.reading.asking import asking_in
from kitreckon.reading.chart import Mention
from kitreckon.reading.lexicon import MACHINE
from kitreckon.reading.model import ReadPiece, TextReading
from kitreckon.reading.passage import HEAD, Passage, Taker, idle, kinds_of
from kitreckon.reading.phrases import Phrases
from kitreckon.reading.pieces import Maker
from kitreckon.reading.sentences import sentences_of, unnumbered, unwrapped
from kitreckon.reading.tokens import ADVERT_LIMIT, LINE_LIMIT
from kitreckon.reasons import Reason

_COUNTED = HEAD | {"with", "of", "verb", "lack"}
_PLAIN_SHARE = 0.7
_LEAST_SHARE = 0.5
_MAY_BE_MEANT = 0.25
_SURE_SOMETHING = 0.8
_AMOUNT = re.compile(
    r"\b(?:some|any|quantity|qty|number|more|much|bits?|lots?|loads|heaps|plenty|sets?|box(?:es)?|drawers?|trays?|"
    r"variety|sundry|assorted|misc|miscellaneous|various|all the|little|other|his|extra|"
    r"good|no)\b[^,.;]{0,20}$"
)
_OR = re.compile(r"\b(?:or|nor)\s+(?:an?\s+|any\s+)?$")  # "no rotary table or dividing head"
_SPARE_ONE = re.compile(r"\b(?:extra|spare|second|another)\s+$")
_MORE = re.compile(r"\b(?:more|another|second|additional|better|bigger|larger|smaller)\b")
_THE = re.compile(r"\b(?:the|this|that|its)\s$")
_BOTH = 2
_OTHER_STOCK = frozenset(
    {"other stock", "i also sell", "also selling", "other listing", "my other"}
)
_MAY_KEEP = frozenset({"i will be", "my other"})  # "I will be taking the readout"


@dataclass(frozen=True, slots=True)
class _Settled:
    """A rule: open words of these kinds mean ``to`` where the advert names one of ``by``."""

    kinds: frozenset[str]
    by: frozenset[str]
    signs: tuple[str, ...]  # mounts named anywhere
    words: tuple[str, ...]  # words anywhere
    like: re.Pattern[str]  # a pattern of the text
    to: str
    otherwise: str  # "" where the word then stays open
    near: bool  # holds for its own sentence only

    @classmethod
    def of(cls, rule: Mapping[str, Any]) -> _Settled:
        return cls(
            frozenset(map(str, rule["open"])),
            frozenset(map(str, rule.get("by", ()))),
            tuple(map(str, rule.get("signs", ()))),
            tuple(map(str, rule.get("words", ()))),
            re.compile(str(rule.get("like", "(?!)"))),
            str(rule["to"]),
            str(rule.get("else", "")),
            str(rule.get("near", "no")) == "yes",
        )

    def kind(self, named: frozenset[str], mounts: frozenset[str], text: str) -> str:
        """Return what an open word means beside those kinds and mounts, "" where it stays open."""
        if any(word in text for word in self.words) or self.like.search(text):
            return self.to
        signed = any(mount.startswith(sign) for sign in self.signs for mount in mounts)
        return self.to if signed or named & self.by else self.otherwise


class Adverts:
    """Reads adverts with the line reader's tools."""

    def __init__(self, rules: Mapping[str, Any], taker: Taker, maker: Maker) -> None:
        self._taker = taker
        self._maker = maker
        self._elsewhere = Phrases(rules.get("elsewhere", ()))
        self._spares = Phrases(rules.get("spares", ()))
        self._bracketed = frozenset(map(str, rules.get("bracketed", ())))
        self._shapes = frozenset(map(str, rules.get("shapes", ())))
        self._beneath = frozenset(map(str, rules.get("beneath", ())))
        self._own_words = {
            str(kind): tuple(map(str, words))
            for kind, words in (rules.get("own_words") or {}).items()
        }
        self._doubtful = frozenset(map(str, rules.get("doubtful", ())))
        self._features = frozenset(taker.words_of(str(w)) for w in rules.get("features", ()))
        self._headings = frozenset(map(str, rules.get("headings", ())))
        self._settled = tuple(_Settled.of(rule) for rule in rules.get("settled", ()))
        self._both = frozenset(taker.words_of(str(word)) for word in rules.get("both", ()))

    def read(self, text: str, reasons: tuple[Reason, ...]) -> TextReading:
        """Read a whole advert."""
        cleaned = clean_text(text, ADVERT_LIMIT, lines=True)
        sentences = list(sentences_of(unwrapped(unnumbered(cleaned))))
        taken = [self._taker.take(clean_text(said, LINE_LIMIT)) for said, _ in sentences]
        thens = [*(passage.low for passage in taken[1:]), ""]
        passages = [replace(p, then=then) for p, then in zip(taken, thens, strict=False)]
        answers = answers_of(passages, [mark for _, mark in sentences], self._maker)
        kept = _last_word(self._pieces(passages, answers, cleaned.lower()))
        none = round(1.0 - max((piece.confidence for piece in kept), default=0.0), 4)
        machine = next((p.shown.strip() for p in passages if _names_machine(p)), "")
        asking = asking_in(cleaned)
        return TextReading(text, none, kept, (), reasons, machine, asking)

    def _pieces(self, passages: Sequence[Passage], answers: Answers, text: str) -> list[ReadPiece]:
        """Return the pieces as they are named, those said twice once."""
        counted = [
            (place, mention)
            for place, passage in enumerate(passages)
            if place not in answers.open
            for mention in self._counted(passage, alike=place in answers.alike)
            if not (place in answers.asked and mention.target in self._headings)
        ]
        named = frozenset(mention.target for _, mention in counted if not mention.open)
        mounts = frozenset(
            str(token.value) for p in passages for token in p.tokens if token.kind == "mount"
        )
        pieces: list[ReadPiece] = []
        for place, mention in counted:
            meanings = self._meanings(passages[place], mention, named, mounts, text)
            for meant in meanings:
                piece = self._maker.piece(passages[place], meant, listed=True)
                if len(meanings) == piece.qty == _BOTH:
                    piece = replace(piece, qty=1)  # "two chucks" that are one of each
                left = _unnamed(piece, mention, passages[place], pieces)
                piece = replace(piece, qty=left, state=_state(piece, place, answers, pieces))
                if left and not _said_before(piece, mention, passages[place], pieces):
                    pieces.append(piece)
        return pieces

    def _counted(self, passage: Passage, *, alike: bool) -> Iterator[Mention]:
        """Yield the mentions of things that are (or are said not to be) with the machine."""
        story = self._elsewhere.search(passage.low)
        told_by = passage.low[story.start() : story.end()] if story is not None else ""
        may_keep = told_by in _MAY_KEEP
        eaten: set[int] = set()
        for mention in kinds_of(passage.mentions):
            if id(mention) in eaten or idle(mention):
                continue
            absent = self._maker.absent(passage, mention)
            if absent and _only_a_socket(passage, mention):
                continue
            # what is not there has no parts that could be missing: "no steady, no spare jaws"
            gone_parts = {} if absent else self._maker.parts_gone(passage, mention)
            for gone in gone_parts.values():
                eaten.update(id(m) for m in gone if self._is_a_part(passage, m))
            told = story is not None and story.start() <= mention.start
            kept = told and may_keep and absent
            if story and told and not kept and self._stays_told(told_by, passage, mention):
                continue
            apart = absent and _OR.search(passage.low[: mention.start]) is not None
            if not apart and self._only_a_part(passage, mention):
                continue
            if self._no_name(passage, mention):
                continue
            if self._maker.tells_state(passage, mention):
                continue
            if self._in_passing(passage, mention) and not (absent or alike):
                continue
            yield mention

    def _is_a_part(self, passage: Passage, mention: Mention) -> bool:
        """Whether a name rather is of the part that is missing: the jaws of "2 jaws missing"."""
        jaws = mention.target.startswith("chuck-") and passage.words(mention).endswith("jaws")
        return mention.open or jaws or mention.target in self._bracketed

    def _stays_told(self, story: str, passage: Passage, mention: Mention) -> bool:
        """Whether a story names it only: no heading says of it that it is not to be had."""
        return story in _OTHER_STOCK or not self._maker.under_denial(passage, mention)

    def _in_passing(self, passage: Passage, mention: Mention) -> bool:
        """Whether a thing is named but not said to be with the machine."""
        clause = passage.clauses[mention.clause]
        if clause.link not in _COUNTED and not (
            mention.target in self._beneath and clause.word == "on"
        ):
            return True
        words = set(mention.items[-1].phrase.words) if mention.items else set()
        own = self._own_words.get(mention.target)
        if own and own[0] in words and words <= set(own):
            return not _SPARE_ONE.search(passage.low[: mention.start])
        return mention.describing and mention.open and _only_describes(passage, mention)

    def _no_name(self, passage: Passage, mention: Mention) -> bool:
        """Whether a word is a heading, a shape, or too open to be any one thing."""
        if mention.target in self._headings and _is_heading(passage, mention):
            return True
        feature = mention.items and mention.items[-1].phrase.words in self._features
        if feature and not self._spares.search(passage.low):
            return True
        if mention.target in self._headings and _only_tooling(passage, mention):
            return True
        plural = passage.words(mention).endswith("s")
        if mention.target in self._shapes and passage.link(mention) == "with" and not plural:
            return True
        likely = sum(share for _, share in mention.targets) >= _SURE_SOMETHING
        return mention.open and mention.targets[0][1] < _LEAST_SHARE and not likely

    def _only_a_part(self, passage: Passage, mention: Mention) -> bool:
        """Whether a thing is part of what is named before it, or of the machine."""
        if mention.target in self._doubtful and not self._spares.search(passage.low):
            return True
        if passage.link(mention) == "paren":
            before = [m.target for m in kinds_of(passage.mentions) if m.end <= mention.start]
            again = mention.words == 1 and before[-1:] == [mention.target]
            if again or (mention.open and mention.target in self._bracketed):
                return True
        return self._belongs(passage, mention)

    def _belongs(self, passage: Passage, mention: Mention) -> bool:
        """Whether it is only the arbor of the drill chuck, the bars of the boring head."""
        before = [m for m in kinds_of(passage.mentions) if m.end <= mention.start]
        if not before:
            return False
        parts = self._maker.parts_of.get(before[-1].target, frozenset())
        if passage.link(mention) == "with" and mention.target in parts:
            return True
        single = mention.target in self._bracketed and not passage.words(mention).endswith("s")
        if (
            single
            and (mention.open or mention.before)
            and passage.link(mention) in {"with", "paren"}
        ):
            return True  # "with one jaw swapped"
        parts |= self._maker.parts_of.get(before[-2].target, frozenset()) if before[1:] else set()
        joined = before[-1].clause == mention.clause and mention.open
        return joined and any(kind in parts for kind, _ in mention.targets)

    def _settled_by(self, passage: Passage, kind: str) -> str:
        """Return what a word means by the mounts of its own sentence, "" if they tell nothing."""
        mounts = frozenset(str(token.value) for token in passage.tokens if token.kind == "mount")
        for settle in self._settled:
            if kind in settle.kinds and settle.kind(frozenset(), mounts, passage.low) == settle.to:
                return settle.to
        return ""

    def _meanings(
        self,
        passage: Passage,
        mention: Mention,
        named: frozenset[str],
        mounts: frozenset[str],
        text: str,
    ) -> list[Mention]:
        """Return what an open word stands for in this advert: one kind, or two at once."""
        if not mention.open:
            return [mention]
        kinds = [kind for kind, _ in mention.targets]
        nearest = self._settled_by(passage, kinds[0])
        if nearest:
            return [mention.meaning(nearest)]
        for settle in self._settled:
            if settle.near or kinds[0] not in settle.kinds:
                continue
            kind = settle.kind(named, mounts, text)
            if kind != settle.to == kinds[0] and mention.targets[0][1] >= _PLAIN_SHARE:
                continue  # "the wedge quick change" needs no holders beside it
            if kind:
                told = kind == settle.to
                return [mention.meaning(kind) if told else mention.likelier(kind)]
        bare = mention.items and mention.items[-1].phrase.words in self._both
        plural = passage.low[: mention.end].endswith("s")
        if len(kinds) > 1 and bare and plural:
            return [mention.likelier(kinds[0]), mention.likelier(kinds[1])]
        if self._maker.absent(passage, mention):
            likely = [kind for kind, share in mention.targets if share >= _MAY_BE_MEANT]
            return [mention.likelier(kind) for kind in likely] or [mention]
        return [mention]


def _is_heading(passage: Passage, mention: Mention) -> bool:
    """Whether a name only heads a list: "Tooling:"."""
    after = [word.rstrip(",.") for word in passage.low[mention.end :].split(maxsplit=5)]
    nexts = passage.clauses[mention.clause + 1 : mention.clause + 2]
    if any(clause.link == "with" and clause.word.startswith("inclu") for clause in nexts):
        return True
    if after[:2] == ["for", "sale"] or after[:1] in (["wise"], ["-"], ["consists"]):
        return True
    return any(word.endswith(":") for word in after[:5])


def _only_tooling(passage: Passage, mention: Mention) -> bool:
    """Whether it is bare "tooling", of no told amount: what it is stands elsewhere."""
    if passage.words(mention) != "tooling":
        return False
    return not _AMOUNT.search(passage.low[: mention.start])


def _only_a_socket(passage: Passage, mention: Mention) -> bool:
    """Whether a name is a bare taper, as of a spindle: "NT30, so no R8"."""
    named = {t.start: str(t.value) for t in passage.tokens if t.kind == "mount"}
    mount = named.get(mention.start, "") if mention.words == 1 else ""
    return mount.startswith(("R8", "MT", "ISO", "BT", "CAT")) and not passage.words(
        mention
    ).endswith("s")


def _only_describes(passage: Passage, mention: Mention) -> bool:
    """Whether a describing word is no name here: "DRO is dead", "parting with a mill"."""
    if mention.targets[0][1] >= _PLAIN_SHARE:
        return False
    nexts = passage.clauses[mention.clause + 1 : mention.clause + 2]
    if passage.link(mention) == "paren":
        return True
    followed = bool(nexts) and nexts[0].link == "with" and len(passage.mentions) > 1
    return followed or passage.link(mention) not in HEAD


def _names_machine(passage: Passage) -> bool:
    return any(mention.target == MACHINE for mention in passage.mentions)


def _last_word(pieces: list[ReadPiece]) -> tuple[ReadPiece, ...]:
    """Return the pieces, of those both said to be here and missing what was said last.

    A missing one that is told apart by its size or mount takes nothing away.
    """
    out: list[ReadPiece] = []
    for place, piece in enumerate(pieces):
        others = [(i, p) for i, p in enumerate(pieces) if p.kind == piece.kind]
        here = [i for i, p in others if p.state == "here"]
        gone = [i for i, p in others if p.state == "absent" and not _told_apart(p)]
        if piece.state == "here" and gone and gone[-1] > place and gone[-1] > here[-1]:
            continue
        if piece.state == "absent" and here and not (place in gone and place > here[-1]):
            continue
        out.append(piece)
    return tuple(out)


def _unnamed(
    piece: ReadPiece, mention: Mention, passage: Passage, pieces: Sequence[ReadPiece]
) -> int:
    """Return how many of a bare plural are left when those named right after it are taken off."""
    singly = named_after(passage, mention)
    if not singly:
        return piece.qty
    if mention.open:
        return max(0, piece.qty - singly)  # "2 chucks (one 3 jaw, one 4 jaw)"
    return 0 if any(p.kind == piece.kind for p in pieces) else max(1, piece.qty - singly)


def _state(
    piece: ReadPiece, place: int, answers: Answers, pieces: Sequence[ReadPiece]
) -> Literal["here", "absent"]:
    """Return whether a piece is there when questions, headings and "ditto" are heard too."""
    if place in answers.refused:
        return "absent"
    alike = place in answers.alike and pieces and piece.state == "here"
    return pieces[-1].state if alike else piece.state


def _told_apart(piece: ReadPiece) -> bool:
    """Whether a missing thing is another than the one here: "a bigger one", "more holders"."""
    return bool(piece.size or piece.mount or piece.others or _MORE.search(piece.text.lower()))


def _said_before(
    piece: ReadPiece, mention: Mention, passage: Passage, pieces: list[ReadPiece]
) -> bool:
    """Whether a bare name, or "the faceplate", only takes up again what was named before."""
    same = [p for p in pieces if p.kind == piece.kind and p.state == piece.state]
    if not same:
        return False
    told_apart = piece.size or piece.mount or piece.qty > 1
    if mention.open or (_THE.search(passage.low[: mention.start]) and not told_apart):
        return True
    return any(p.text == piece.text for p in same)
