"""The reader: lines and adverts to pieces, and suggestions while typing."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from kitreckon.catalogue.model import Kind
from kitreckon.count import Correction
from kitreckon.quantities import clean_text
from kitreckon.reading.adverts import Adverts
from kitreckon.reading.chart import Mention
from kitreckon.reading.lexicon import NOTHING, THING, Lexicon
from kitreckon.reading.model import Likely, ReadPiece, TextReading
from kitreckon.reading.passage import HEAD, Passage, Taker, first_thing, idle, kinds_of
from kitreckon.reading.pieces import Maker
from kitreckon.reading.suggest import Suggestions
from kitreckon.reading.tokens import ADVERT_LIMIT, LINE_LIMIT, fold
from kitreckon.reasons import Reason, Term, because

# how sure "none of the kinds" is, as came true on labelled lines
_THING_NAMED = 0.95
_MACHINE_ONLY = 0.86
_NOTHING_KNOWN = 0.78
_LIKELY = 0.7  # share from which an open word after "with" is worth asking about


class Reader:
    """Reads what people write about tooling, with the catalogue's words and the rules.

    ``corrections`` are what the user said earlier: a text read the same way again is his.
    """

    def __init__(
        self,
        kinds: Mapping[str, Kind],
        rules: Mapping[str, Any],
        corrections: Sequence[Correction] = (),
    ) -> None:
        self._kinds = kinds
        self._rules = rules
        self._lexicon = Lexicon(kinds, rules)
        self._taker = Taker(self._lexicon, rules)
        self._maker = Maker(kinds, rules)
        self._adverts = Adverts(rules, self._taker, self._maker)
        self._corrections = {_key(c.text): c.kind for c in corrections}
        self._suggestions: Suggestions | None = None

    def read_line(self, text: str) -> TextReading:
        """Read one line: the main thing first, with what is said of it, then what is with it.

        Never raises on any text; what is past 2,000 characters is kept but not read.
        """
        reasons = _cut(text, LINE_LIMIT)
        passage = self._taker.take(clean_text(text, LINE_LIMIT))
        said = self._corrections.get(_key(text)) if self._corrections else None
        main = first_thing(passage)
        if said is not None:
            return self._corrected(text, said, passage, main, reasons)
        if main is None or main.target in NOTHING:
            nothing = _nothing(text, passage, main, reasons)
            return replace(nothing, unsafe=self._maker.danger(passage.low))
        eaten = {id(m) for gone in self._maker.parts_gone(passage, main).values() for m in gone}
        beside = (m for m in _beside(passage, main) if id(m) not in eaten)
        told = (m for m in beside if not self._maker.tells_state(passage, m))
        mentions = [main, *(self._maker.of_its_chuck(passage, mention) for mention in told)]
        pieces = tuple(self._maker.piece(passage, mention) for mention in mentions)
        none = round(max(0.0, 1.0 - pieces[0].confidence - _rest(pieces[0])), 4)
        return TextReading(text, none, pieces, _strange(passage), tuple(reasons))

    def read_advert(self, text: str) -> TextReading:
        """Read a whole advert: pieces in order of mention, the machine and the story left out.

        Never raises on any text; what is past 30,000 characters is kept but not read.
        """
        reasons = _cut(text, ADVERT_LIMIT)
        return self._adverts.read(text, tuple(reasons))

    def suggest(self, text: str, limit: int = 8, prefer: Sequence[str] = ()) -> tuple[Likely, ...]:
        """Return the kinds a half-typed text may mean, the likeliest first.

        Words may stand in any order and the last one may be unfinished; ``prefer`` are kinds
        that are likelier here, such as those of the machine's outfit.
        """
        if self._suggestions is None:
            self._suggestions = Suggestions(self._kinds, self._rules, self._lexicon)
        return self._suggestions.likely(text, limit, prefer)

    def _corrected(
        self, text: str, kind: str, passage: Passage, main: Mention | None, reasons: list[Reason]
    ) -> TextReading:
        if not kind or kind not in self._kinds:
            because_said = because("read-corrected-none")
            return TextReading(text, 1.0, (), (), (*reasons, because_said))
        why = (because("read-corrected", kind=Term("kind", kind)),)
        if main is None or main.target in NOTHING:
            piece = ReadPiece(kind, confidence=1.0, taken=True, why=why, text=passage.shown)
        else:
            piece = self._maker.piece(passage, main.meaning(kind))
            piece = piece.said_to_be(kind, why)
        return TextReading(text, 0.0, (piece,), (), tuple(reasons))


def _beside(passage: Passage, main: Mention) -> list[Mention]:
    out = []
    for mention in kinds_of(passage.mentions):
        link = passage.link(mention)
        if mention is main or mention.target == main.target or idle(mention):
            continue
        if link in HEAD or (link == "with" and mention.targets[0][1] >= _LIKELY):
            out.append(mention)
    return out


def _strange(passage: Passage) -> tuple[str, ...]:
    """Return the words that nobody knows, as typed."""
    return tuple(
        passage.shown[slot.start : slot.end]
        for clause in passage.clauses
        for slot in clause.slots
        if not slot.known and not slot.filler and slot.number is None and slot.form != "of"
    )


def _rest(piece: ReadPiece) -> float:
    return sum(other.confidence for other in piece.others)


def _nothing(
    text: str, passage: Passage, main: Mention | None, reasons: list[Reason]
) -> TextReading:
    left = tuple(m for m in [passage.shown.strip()] if m)
    if main is not None and main.target == THING:
        reasons.append(because("read-no-accessory", words=passage.words(main)))
        return TextReading(text, _THING_NAMED, (), left, tuple(reasons))
    if passage.mentions:
        reasons.append(because("read-machine", words=passage.words(passage.mentions[0])))
        return TextReading(text, _MACHINE_ONLY, (), left, tuple(reasons))
    reasons.append(because("read-nothing" if left else "read-empty"))
    return TextReading(text, _NOTHING_KNOWN, (), left, tuple(reasons))


def _cut(text: str, limit: int) -> list[Reason]:
    return [because("read-cut", limit=limit, length=len(text))] if len(text) > limit else []


def _key(text: str) -> str:
    return " ".join(re.findall(r"[^\W_]+", fold(clean_text(text, LINE_LIMIT)).lower()))
