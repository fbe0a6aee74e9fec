"""Tokens gathered into clauses: what a comma, "with", "for" or "that" sets apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from kitreckon.reading.lexicon import Lexicon
from kitreckon.reading.tokens import Token

Link = Literal[
    "start", "comma", "stop", "paren", "with", "for", "from", "of", "that", "verb", "lack"
]
MEASURES = frozenset({"length", "range", "dims", "fraction", "decimal", "span"})
_JAWS = {"tw": "2", "th": "3", "fo": "4", "si": "6"}


@dataclass(slots=True)
class Slot:
    """One word of a clause in its one form. Numbers and "&" are slots too."""

    form: str
    start: int
    end: int
    known: bool
    filler: bool = False
    slips: int = 0
    number: int | None = None
    text: str = ""
    mount: bool = False  # the word a designation counts as


@dataclass(slots=True)
class Clause:
    """A stretch of a line with one link to what stands before it."""

    link: Link
    start: int
    end: int = 0
    slots: list[Slot] = field(default_factory=list)
    facts: list[Token] = field(default_factory=list)
    word: str = ""  # the word that set it apart

    @property
    def empty(self) -> bool:
        """Whether nothing at all stands in it."""
        return not self.slots and not self.facts


class Joints:
    """The words that cut a line, and the number words, from the rules."""

    def __init__(self, rules: Mapping[str, Any]) -> None:
        self.links: dict[str, str] = {}
        for link, words in (rules.get("joints") or {}).items():
            for word in words:
                self.links.setdefault(word, link)
        self.containers = frozenset(map(str, rules.get("containers", ())))
        self.abbreviations = frozenset(map(str, rules.get("abbreviations", ())))
        self.particled = frozenset(map(str, rules.get("particled", ())))
        self.counts = {
            word: int(number)
            for number, words in (rules.get("counts") or {}).items()
            for word in words
        }


_OFFERED = frozenset({"sale", "swap", "trade"})  # "for sale a vise"
_SUBORDINATE = frozenset({"from", "for", "of", "that"})
_ARTICLES = frozenset({"a", "an", "the", "some", "two", "three", "his", "my", "several"})


def _begins_anew(following: Token | None) -> bool:
    return following is not None and (following.text in _ARTICLES or following.kind == "number")


def clauses_of(tokens: list[Token], low: str, lexicon: Lexicon, joints: Joints) -> list[Clause]:
    """Return the clauses of a line in order."""
    gather = _Gather(low, lexicon, joints)
    for index, token in enumerate(tokens):
        after = index + 1
        while after < len(tokens) and tokens[after].text == "-":
            after += 1
        gather.take(token, tokens[after] if after < len(tokens) else None)
    return gather.done()


class _Gather:
    def __init__(self, low: str, lexicon: Lexicon, joints: Joints) -> None:
        self.low = low
        self.lexicon = lexicon
        self.joints = joints
        self.clauses: list[Clause] = [Clause("start", 0)]
        self.skip_slash = False
        self.depth = 0

    @property
    def clause(self) -> Clause:
        return self.clauses[-1]

    def cut(self, link: Link, at: int, word: str = "") -> None:
        self.clause.end = at
        if not self.clause.empty:
            self.clauses.append(Clause(link, at, word=word))
            return
        before = self.clause.link
        # "with a chuck" at the start, or a comma after "with", set nothing apart
        weaker = link in {"comma", "paren"} or (before == "start" and link in {"with", "verb"})
        if weaker and before in {"start", "with", "paren", "lack"}:
            link, word = before, self.clause.word
        self.clauses[-1] = Clause(link, at, word=word)

    def done(self) -> list[Clause]:
        self.clause.end = len(self.low)
        return [clause for clause in self.clauses if not clause.empty]

    def take(self, token: Token, following: Token | None) -> None:
        kind = token.kind
        if kind == "word":
            self._word(token, following)
        elif kind == "mark":
            self._mark(token)
        elif kind == "number":
            self._number(token)
        elif kind == "jaws":
            name = _JAWS.get(token.text[:2], token.text[:1])
            self._slot(Slot(name, token.start, token.end, True, text=token.text))
            self._slot(Slot("jaw", token.start, token.end, True, text=""))
        elif kind == "style":
            form = token.text[:2] if token.text[:2] in {"tg", "da"} else token.text
            known = form in self.lexicon.vocabulary
            self._slot(Slot(form, token.start, token.end, known, True, text=token.text, mount=True))
        elif kind == "blocks":
            for digit in filter(str.isdigit, token.text):
                self._slot(Slot(digit, token.start, token.end, True, text=token.text))
        else:
            self.clause.facts.append(token)
            if kind == "mount":
                self._mount(token)

    def _slot(self, slot: Slot) -> None:
        self.clause.slots.append(slot)

    def _mount(self, token: Token) -> None:
        form = mount_form(str(token.value))
        if form:
            known = form in self.lexicon.vocabulary
            self._slot(
                Slot(form, token.start, token.end, known, filler=True, text=token.text, mount=True)
            )

    def _number(self, token: Token) -> None:
        number = int(token.text[:9])
        known = token.text in self.lexicon.vocabulary
        self._slot(
            Slot(token.text, token.start, token.end, known, True, number=number, text=token.text)
        )

    def _mark(self, token: Token) -> None:
        mark = token.text
        if mark == "-":
            before = self.low[token.start - 1 : token.start]
            after = self.low[token.end : token.end + 1]
            if before in {" ", ""} and after in {" ", ""}:
                self.cut("comma", token.end)
        elif mark in "&+/":
            behind = self.clause.slots[-1:]
            or_more = mark == "+" and behind and behind[0].end == token.start
            or_more = or_more and behind[0].number is not None  # "20+ cutters"
            if not (self.skip_slash or or_more):
                self._slot(Slot("&", token.start, token.end, True, True))
        elif mark in ",":
            self.cut("comma", token.end)
        elif mark == ".":
            before = self.clause.slots[-1].text if self.clause.slots else ""
            if before in self.joints.abbreviations:
                return
            if self.low[token.end : token.end + 1] in {" ", "", ".", '"'}:
                self.cut("stop", token.end)
        elif mark in "([{":
            self.cut("paren", token.end)
        elif mark in ")]}":
            self.cut("comma", token.end)
        elif mark in ";!?":
            self.cut("stop", token.end)
        elif mark == ":":
            self.cut("comma", token.end)
        self.skip_slash = False

    def _word(self, token: Token, following: Token | None) -> None:
        self.skip_slash = False
        text = token.text
        if text in {"w", "wo"} and following is not None and following.text == "/":
            self.skip_slash = True
        link = self.joints.links.get(text)
        if link is not None and self._part_of_phrase(text, following):
            link = None
        if link == "lack" and self._is_number(following):
            link = None  # "no 3", "24 no."
        if text == "for" and following is not None and following.text in _OFFERED:
            return
        if text == "plus" and self.clause.slots and self.clause.slots[-1].number is not None:
            return  # "20 plus cutters"
        if link is not None:
            self._join(link, token, following)
            return
        if text == "other" and self.clause.slots[1:] and self.clause.slots[-1].text == "the":
            self.cut("comma", token.end, text)  # "one 3 jaw, the other independent"
            return
        word = self.lexicon.word(text)
        count = self.joints.counts.get(text)
        if (
            count is not None
            and str(count) in self.lexicon.vocabulary
            and text not in {"a", "an", "one", "single"}
        ):
            self._slot(
                Slot(str(count), token.start, token.end, True, True, number=count, text=text)
            )
            return
        for form in word.forms:
            self._slot(
                Slot(
                    form, token.start, token.end, word.known, word.filler or count is not None,
                    word.slips, count, text,
                )
            )  # fmt: skip

    def _is_number(self, following: Token | None) -> bool:
        """Whether "no" stands for number here: before a figure, or after one."""
        if following is None or following.kind != "word":
            return True
        return bool(self.clause.slots) and self.clause.slots[-1].number is not None

    def _part_of_phrase(self, text: str, following: Token | None) -> bool:
        """Whether a joint word is a word of a phrase here, as the "off" of "cut off tool"."""
        pairs = self.lexicon.pairs
        slots = self.clause.slots
        if slots and (slots[-1].form, text) in pairs:
            return True
        if following is None:
            return False
        if following.text == "/":
            return len(text) > 1 and any(pair[0] == text for pair in pairs)
        if following.kind != "word":
            return False
        return (text, self.lexicon.word(following.text).forms[0]) in pairs

    def _empty_container(self) -> None:
        """Take "tray" of "tray of collets" for what it is: no thing of its own."""
        for slot in self._since_and()[-1:]:
            if slot.text in self.joints.containers:
                slot.known, slot.filler = False, True

    def _since_and(self) -> list[Slot]:
        slots = self.clause.slots
        last = max((place for place, slot in enumerate(slots) if slot.form == "&"), default=-1)
        return slots[last + 1 :]

    def _join(self, link: str, token: Token, following: Token | None) -> None:
        if (
            link == "from"
            and self.clause.slots
            and self.clause.slots[-1].text in self.joints.particled
        ):
            return  # "threw in a vise"
        if link == "and" and self.clause.link in _SUBORDINATE and _begins_anew(following):
            self.cut("comma", token.end, token.text)  # "a readout on it and the power feed"
        elif link == "and":
            self._slot(Slot("&", token.start, token.end, True, True))
        elif token.text == "of":
            self._empty_container()
            if any(slot.known and not slot.filler for slot in self._since_and()):
                self.cut("of", token.end, "of")
            else:
                self._slot(Slot("of", token.start, token.end, False, True, text="of"))
        else:
            self.cut(link, token.end, token.text)  # type: ignore[arg-type]


def mount_form(name: str) -> str:
    """Return the word a designation counts as when phrases are matched.

    >>> mount_form("ER32"), mount_form("MT3"), mount_form("D1-4")
    ('er', 'mt', '')
    """
    low = name.lower()
    if low.startswith("er"):
        return "er"
    if low.startswith("mt"):
        return "mt"
    if low.startswith("jt") or (low[:1] == "b" and low[1:].isdigit()):
        return "jt"
    if low.startswith(("iso", "bt", "cat")):
        return "iso"
    return low if low in {"5c", "3c", "16c", "r8", "axa", "bxa", "cxa", "0xa", "ca"} else ""
