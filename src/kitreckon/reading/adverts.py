"""Whole adverts: split into sentences, the story and other machines left out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from kitreckon.quantities import clean_text
from kitreckon.reading.chart import Mention
from kitreckon.reading.lexicon import MACHINE
from kitreckon.reading.model import ReadPiece, TextReading
from kitreckon.reading.passage import HEAD, Passage, Taker, idle, kinds_of
from kitreckon.reading.pieces import Maker
from kitreckon.reading.state import phrase_form
from kitreckon.reading.tokens import ADVERT_LIMIT, LINE_LIMIT
from kitreckon.reasons import Reason

_SENTENCE = re.compile(r"\n+|(?<=[A-Za-z0-9\")])[.!?]+(?=\s+[\"(A-Z0-9$]|\s*$)|[;•!?]+|\.{2,}")
_PRICE = re.compile(
    r"[$£€]\s?\d[\d,.]*k?|\b\d[\d,.]*\s?(?:dollars|quid|pounds|euros?|usd|gbp|obo|ono)\b", re.I
)
_COUNTED = HEAD | {"with", "of", "verb", "lack"}
_MOTOR = "motor-drive"
_REFUSAL = re.compile(
    r"\s*(?:no|nope|sorry|afraid not|not any)\b(?!\s*\d)(?=\s*(?:$|[,.;!]|but\b|i\b|sorry))"
)
_NUMBER = re.compile(r"\bno\.\s*\d", re.IGNORECASE)  # "No. 3" ends no sentence
_GRANTED = re.compile(r"\s*(?:yes|yep|yeah|sure|it does|of course)\b")
_QUESTION = re.compile(
    r"\s*(?:has|have|does|do|did|is|are|can|could|would|will|any|anyone|anybody|who|what|where|how)\b"
)
_PARTS = "spare-parts"
_PLAIN_SHARE = 0.7
_LEAST_SHARE = 0.5
_WRAPPED = 50  # letters of a line from which text is taken for wrapped
_EVEN = 0.75  # of the longest line
_MAY_BE_MEANT = 0.25
_SURE_SOMETHING = 0.8


@dataclass(frozen=True, slots=True)
class _Settled:
    """A rule: open words of these kinds mean ``to`` where the advert names one of ``by``."""

    kinds: frozenset[str]
    by: frozenset[str]
    signs: tuple[str, ...]  # mounts named anywhere
    words: tuple[str, ...]  # words anywhere
    to: str
    otherwise: str  # "" where the word then stays open

    @classmethod
    def of(cls, rule: Mapping[str, Any]) -> _Settled:
        return cls(
            frozenset(map(str, rule["open"])),
            frozenset(map(str, rule.get("by", ()))),
            tuple(map(str, rule.get("signs", ()))),
            tuple(map(str, rule.get("words", ()))),
            str(rule["to"]),
            str(rule.get("else", "")),
        )

    def kind(self, named: frozenset[str], mounts: frozenset[str], text: str) -> str:
        """Return what an open word means beside those kinds and mounts, "" where it stays open."""
        if any(word in text for word in self.words):
            return self.to
        signed = any(mount.startswith(sign) for sign in self.signs for mount in mounts)
        return self.to if signed or named & self.by else self.otherwise


class Adverts:
    """Reads adverts with the line reader's tools."""

    def __init__(self, rules: Mapping[str, Any], taker: Taker, maker: Maker) -> None:
        self._taker = taker
        self._maker = maker
        self._elsewhere = phrase_form(rules.get("elsewhere", ()))
        self._spares = phrase_form(rules.get("spares", ()))
        self._bracketed = frozenset(map(str, rules.get("bracketed", ())))
        self._shapes = frozenset(map(str, rules.get("shapes", ())))
        self._beneath = frozenset(map(str, rules.get("beneath", ())))
        self._own_motor = frozenset(map(str, rules.get("own_motor", ())))
        self._headings = frozenset(map(str, rules.get("headings", ())))
        self._settled = tuple(_Settled.of(rule) for rule in rules.get("settled", ()))
        self._both = frozenset(taker.words_of(str(word)) for word in rules.get("both", ()))

    def read(self, text: str, reasons: tuple[Reason, ...]) -> TextReading:
        """Read a whole advert."""
        cleaned = clean_text(text, ADVERT_LIMIT, lines=True)
        sentences = list(sentences_of(unwrapped(cleaned)))
        passages = [self._taker.take(clean_text(text, LINE_LIMIT)) for text, _ in sentences]
        refused = {
            id(passages[place])
            for place, (_, mark) in enumerate(sentences[:-1])
            if "?" in mark and _REFUSAL.match(passages[place + 1].low)
        }
        refused |= _below_a_refusing_heading(passages, sentences, self._maker)
        asked = {id(p) for p, (_, mark) in zip(passages, sentences, strict=True) if "?" in mark}
        granted = {
            id(passages[place])
            for place, (_, mark) in enumerate(sentences[:-1])
            if "?" in mark and _GRANTED.match(passages[place + 1].low)
        }
        idle = {
            id(p) for p in passages if id(p) in asked - granted - refused and _QUESTION.match(p.low)
        }
        counted = [
            (p, mention)
            for p in passages
            if id(p) not in idle
            for mention in self._counted(p)
            if not (id(p) in asked and mention.target in self._headings)
        ]
        named = frozenset(mention.target for _, mention in counted if not mention.open)
        mounts = frozenset(
            str(token.value) for p in passages for token in p.tokens if token.kind == "mount"
        )
        whole = cleaned.lower()
        pieces: list[ReadPiece] = []
        for passage, mention in counted:
            for meant in self._meanings(passage, mention, named, mounts, whole):
                piece = self._maker.piece(passage, meant, listed=True)
                if id(passage) in refused:
                    piece = replace(piece, state="absent")
                if not _said_before(piece, mention, pieces):
                    pieces.append(piece)
        kept = _last_word(pieces)
        none = round(1.0 - max((piece.confidence for piece in kept), default=0.0), 4)
        price = _PRICE.search(cleaned)
        machine = next((p.shown.strip() for p in passages if _names_machine(p)), "")
        return TextReading(
            text, none, kept, (), reasons, machine, price[0].rstrip(".,") if price else ""
        )

    def _counted(self, passage: Passage) -> Iterator[Mention]:
        """Yield the mentions of things that are (or are said not to be) with the machine."""
        story = self._elsewhere.search(passage.low)
        eaten: set[int] = set()
        for mention in kinds_of(passage.mentions):
            if id(mention) in eaten or idle(mention):
                continue
            for gone in self._maker.parts_gone(passage, mention).values():
                eaten.update(map(id, gone))
            if story is not None and story.start() <= mention.start:
                continue
            beneath = (
                mention.target in self._beneath and passage.clauses[mention.clause].word == "on"
            )
            if (
                not beneath
                and passage.link(mention) not in _COUNTED
                and not self._maker.absent(passage, mention)
            ):
                continue
            if self._belongs(passage, mention):
                continue
            if mention.target in self._headings and _is_heading(passage, mention):
                continue
            if mention.target == _PARTS and not self._spares.search(passage.low):
                continue
            words = set(mention.items[-1].phrase.words) if mention.items else set()
            bare_motor = mention.target == _MOTOR and "motor" in words and words <= self._own_motor
            if bare_motor and not self._maker.absent(passage, mention):
                continue
            passing = mention.describing and mention.open and _in_passing(passage, mention)
            if passing and not self._maker.absent(passage, mention):
                continue
            plural = passage.words(mention).endswith("s")
            if mention.target in self._shapes and passage.link(mention) == "with" and not plural:
                continue
            if (
                passage.link(mention) == "paren"
                and mention.open
                and mention.target in self._bracketed
            ):
                continue
            if mention.open and mention.targets[0][1] < _LEAST_SHARE and not self._plain(mention):
                continue
            yield mention

    def _belongs(self, passage: Passage, mention: Mention) -> bool:
        """Whether it is only the arbor of the drill chuck, the bars of the boring head."""
        before = [m for m in kinds_of(passage.mentions) if m.end <= mention.start]
        if not before:
            return False
        parts = self._maker.parts_of.get(before[-1].target, frozenset())
        if passage.link(mention) == "with" and mention.target in parts:
            return True
        single = mention.target in self._bracketed and not passage.words(mention).endswith("s")
        if single and mention.open and passage.link(mention) in {"with", "paren"}:
            return True  # "with one jaw swapped"
        parts |= self._maker.parts_of.get(before[-2].target, frozenset()) if before[1:] else set()
        joined = before[-1].clause == mention.clause and mention.open
        return joined and any(kind in parts for kind, _ in mention.targets)

    def _plain(self, mention: Mention) -> bool:
        """Whether an open word is at least surely some accessory: "collets", "tool post"."""
        return sum(share for _, share in mention.targets) >= _SURE_SOMETHING

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
        for settle in self._settled:
            kind = settle.kind(named, mounts, text) if kinds[0] in settle.kinds else ""
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
    after = [word.rstrip(",.") for word in passage.low[mention.end :].split(maxsplit=3)]
    nexts = passage.clauses[mention.clause + 1 : mention.clause + 2]
    if any(clause.link == "with" and clause.word.startswith("inclu") for clause in nexts):
        return True
    if after[:2] == ["for", "sale"] or after[:1] == ["wise"]:
        return True
    return any(word.endswith(":") for word in after[:2])


def _below_a_refusing_heading(
    passages: list[Passage], sentences: list[tuple[str, str]], maker: Maker
) -> set[int]:
    """Return the list lines under "Not included:" and the like."""
    out: set[int] = set()
    under = False
    for passage, (_, mark) in zip(passages, sentences, strict=True):
        text = passage.low.strip()
        if text.endswith(":"):
            under = maker.heads_absent(text)
        elif under:
            out.add(id(passage))
        if mark.count("\n") > 1:
            under = False
    return out


def _in_passing(passage: Passage, mention: Mention) -> bool:
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


def unwrapped(text: str) -> str:
    r"""Return the text with the line breaks inside running text as spaces.

    A paragraph is running text where all its lines but the last are about equally long; the
    lines of a list are not.

    >>> unwrapped("Manual\nSteady rest")
    'Manual\nSteady rest'
    """
    paragraphs = re.split(r"\n\s*\n", text)
    return "\n\n".join(map(_unwrapped, paragraphs))


def _unwrapped(paragraph: str) -> str:
    lines = paragraph.split("\n")
    longest = max(map(len, lines))
    bullets = sum(1 for line in lines[1:] if re.match(r"\s*[-*;\u2022]|\s*\d+[.)]\s", line))
    even = all(len(line.rstrip()) >= _EVEN * longest for line in lines[:-1])
    if len(lines) > 1 and longest >= _WRAPPED and even and not bullets:
        return " ".join(line.strip() for line in lines)
    return paragraph


def sentences_of(text: str) -> Iterator[tuple[str, str]]:
    r"""Yield the sentences and list lines of an advert, each with the mark it ends in.

    >>> list(sentences_of("Lathe, 6in. chuck. A steady? No"))
    [('Lathe, 6in. chuck', '.'), (' A steady', '?'), (' No', '')]
    """
    start = 0
    for match in _SENTENCE.finditer(text):
        if match[0] == "." and _NUMBER.search(text, max(0, match.start() - 4), match.end() + 4):
            continue
        if text[start : match.start()].strip():
            yield text[start : match.start()], match[0]
        start = match.end()
    if text[start:].strip():
        yield text[start:], ""


def _last_word(pieces: list[ReadPiece]) -> tuple[ReadPiece, ...]:
    """Return the pieces, of those both said to be here and missing what was said last.

    A missing one that is told apart by its size or mount takes nothing away.
    """
    out: list[ReadPiece] = []
    for place, piece in enumerate(pieces):
        others = [(i, p) for i, p in enumerate(pieces) if p.kind == piece.kind]
        here = [i for i, p in others if p.state == "here"]
        gone = [i for i, p in others if p.state == "absent" and not (p.size or p.mount or p.others)]
        if piece.state == "here" and gone and gone[-1] > place and gone[-1] > here[-1]:
            continue
        if piece.state == "absent" and here and not (place in gone and place > here[-1]):
            continue
        out.append(piece)
    return tuple(out)


def _said_before(piece: ReadPiece, mention: Mention, pieces: list[ReadPiece]) -> bool:
    """Whether a bare name only takes up again what was named before."""
    same = [p for p in pieces if p.kind == piece.kind and p.state == piece.state]
    if not same:
        return False
    if mention.open:
        return True
    return any(p.text == piece.text for p in same)
