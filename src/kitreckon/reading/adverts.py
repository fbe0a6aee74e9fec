"""Whole adverts: split into sentences, the story and other machines left out."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from kitreckon.quantities import clean_text
from kitreckon.reading.chart import Mention
from kitreckon.reading.lexicon import MACHINE
from kitreckon.reading.model import ReadPiece, TextReading
from kitreckon.reading.passage import HEAD, Passage, Taker, kinds_of
from kitreckon.reading.pieces import Maker
from kitreckon.reading.state import phrase_form
from kitreckon.reading.tokens import ADVERT_LIMIT, LINE_LIMIT
from kitreckon.reasons import Reason

_SENTENCE = re.compile(r"\n+|(?<=[a-z0-9\")])[.!?]+(?=\s+[\"(A-Z0-9$]|\s*$)|[;•!?]+|\.{2,}")
_PRICE = re.compile(
    r"[$£€]\s?\d[\d,.]*k?|\b\d[\d,.]*\s?(?:dollars|quid|pounds|euros?|usd|gbp|obo|ono)\b", re.I
)


class Adverts:
    """Reads adverts with the line reader's tools."""

    def __init__(self, rules: Mapping[str, Any], taker: Taker, maker: Maker) -> None:
        self._taker = taker
        self._maker = maker
        self._elsewhere = phrase_form(rules.get("elsewhere", ()))
        self._spares = phrase_form(rules.get("spares", ()))
        self._parts_kind = "spare-parts"

    def read(self, text: str, reasons: tuple[Reason, ...]) -> TextReading:
        """Read a whole advert."""
        cleaned = clean_text(text, ADVERT_LIMIT, lines=True)
        pieces: list[ReadPiece] = []
        machine = ""
        for sentence in sentences_of(cleaned):
            passage = self._taker.take(clean_text(sentence, LINE_LIMIT))
            if not machine and any(m.target == MACHINE for m in passage.mentions):
                machine = passage.shown.strip()
            for mention in self._counted(passage):
                piece = self._maker.piece(passage, mention)
                if not _said_before(piece, mention, pieces):
                    pieces.append(piece)
        price = _PRICE.search(cleaned)
        none = round(1.0 - max((piece.confidence for piece in pieces), default=0.0), 4)
        return TextReading(
            text, none, tuple(pieces), (), reasons, machine, price[0] if price else ""
        )

    def _counted(self, passage: Passage) -> Iterator[Mention]:
        """Yield the mentions of things that are (or are said not to be) with the machine."""
        story = self._elsewhere.search(passage.low)
        for mention in kinds_of(passage.mentions):
            if story is not None and story.start() <= mention.start:
                continue
            link = passage.link(mention)
            if link not in HEAD and link not in {"with", "of"}:
                continue
            if mention.target == self._parts_kind and not self._spares.search(passage.low):
                continue
            yield mention


def sentences_of(text: str) -> Iterator[str]:
    """Yield the sentences and list lines of an advert.

    >>> list(sentences_of("Lathe, 6in. chuck. No steady;\\nmanual"))
    ['Lathe, 6in. chuck', ' No steady', 'manual']
    """
    start = 0
    for match in _SENTENCE.finditer(text):
        if text[start : match.start()].strip():
            yield text[start : match.start()]
        start = match.end()
    if text[start:].strip():
        yield text[start:]


def _said_before(piece: ReadPiece, mention: Mention, pieces: list[ReadPiece]) -> bool:
    """Whether a bare name only takes up again what was named before."""
    same = [p for p in pieces if p.kind == piece.kind]
    if not same:
        return False
    if mention.open:
        return True
    return any(p.text == piece.text for p in same)
