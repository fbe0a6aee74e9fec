"""Names and words of the kinds, indexed so that looking one up never depends on how many.

Words are brought to one form (spelling, number, one word or two), phrases are kept under the
sorted words they hold, and slips of the keys are found through the words' deletions.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from rapidfuzz.distance import OSA

from kitreckon.catalogue.model import Kind
from kitreckon.reading.number_words import JAWS
from kitreckon.reading.spelling import NEVER_SPELLED, deletions_of, plausible, singular, without_one

MACHINE = "machine"  # targets that are no kind
THING = "thing"
ASIDE = "aside"
NOTHING = frozenset({MACHINE, THING, ASIDE})

NAME_SHARE = 3.0
WORD_SHARE = 2.0
_DOUBT = 0.5
_SPARE = "spare"
_LINKS = frozenset({"of", "for", "the", "a", "an", "in", "on", "to", "with", "from", "by", "at"})
_CACHE_LIMIT = 8_192
_LONGEST_WORD = 24
_VOWELS = frozenset("aeiou")


@dataclass(frozen=True, slots=True)
class Word:
    """A word of a text in its one form; ``slips`` counts the letters that were put right."""

    forms: tuple[str, ...]
    known: bool  # stands in some phrase
    filler: bool  # says nothing by itself
    slips: int = 0


class Phrase(NamedTuple):
    """What a sequence of words stands for: targets with shares, and how telling it is."""

    words: tuple[str, ...]  # in the usual order
    targets: tuple[tuple[str, float], ...]  # kind or MACHINE/THING/ASIDE, with its share of 1
    weight: float
    open: bool = False
    describing: bool = False  # by itself a name, before another it only describes


class Lexicon:
    """The index over all phrases."""

    def __init__(self, kinds: Mapping[str, Kind], rules: Mapping[str, Any]) -> None:
        self._spellings = {
            variant: form for form, variants in _table(rules, "spellings") for variant in variants
        }
        self._singles: dict[str, str] = {}
        self._compounds: dict[str, tuple[str, ...]] = {}
        for pair in rules.get("compounds", ()):
            words = tuple(self._single(word) for word in str(pair).split())
            self._compounds["".join(str(pair).split())] = words
            self._compounds.setdefault("".join(words), words)
        self._fillers = frozenset(self._single(word) for word in rules.get("fillers", ()))
        self._describing = frozenset(self._single(w) for w in rules.get("describing", ()))
        found: dict[tuple[str, ...], dict[str, float]] = {}
        self._add_kinds(kinds, rules, found)
        self._add_others(rules, found)
        self._weights = self._telling(found)
        self._plain = frozenset(map(str, rules.get("plain_words", ())))
        self.phrases: dict[tuple[str, ...], tuple[Phrase, ...]] = {}
        doubtful = frozenset(map(str, rules.get("doubtful", ())))
        for words, targets in found.items():
            if len(words) <= 2 and set(targets) <= doubtful and _SPARE not in words:
                self._keep(self._phrase(words, dict.fromkeys(targets, _DOUBT), open_=True))
            else:
                self._keep(self._phrase(words, targets, open_=False))
        self._add_open(rules)
        self.vocabulary = frozenset(self._weights)
        self._skeletons: dict[str, str] | None = None
        self._index: dict[str, tuple[str, ...]] | None = None
        self.pairs = frozenset(pair for words in found for pair in itertools.pairwise(words))
        self._cache: dict[str, Word] = {}
        self.longest = min(5, max((len(key) for key in self.phrases), default=1))

    # --- words

    def word(self, text: str) -> Word:
        """Return a small-letter word in its one form, a slip of a known one put right."""
        word = self._cache.get(text)
        if word is None:
            if len(self._cache) >= _CACHE_LIMIT:
                self._cache.clear()
            word = self._cache[text] = self._read_word(text)
        return word

    def weight(self, form: str) -> float:
        """Return how telling a word is: words of few kinds tell more."""
        return self._weights.get(form, 0.0)

    def words_of(self, text: str) -> tuple[str, ...]:
        """Return the forms of all words of a phrase, joints left out, "and" as "&"."""
        forms: list[str] = []
        for raw in _split(text):
            if raw in _LINKS:
                continue
            forms.extend(self._forms(raw))
        return tuple(forms)

    def _forms(self, raw: str) -> tuple[str, ...]:
        if raw in {"and", "&", "+"}:
            return ("&",)
        if raw in self._compounds:
            return self._compounds[raw]
        single = self._single(raw)
        return self._compounds.get(single, (single,))

    def _single(self, raw: str) -> str:
        form = self._singles.get(raw)
        if form is None:
            if len(self._singles) >= _CACHE_LIMIT:
                self._singles.clear()
            form = self._spellings.get(raw)
            if form is None:
                form = singular(raw)
                form = self._spellings.get(form, form)
            self._singles[raw] = form
        return form

    def _read_word(self, text: str) -> Word:
        text = text.removesuffix("'s")
        forms = self._forms(text)
        if all(form in self.vocabulary for form in forms):
            filler = len(forms) == 1 and (forms[0] in self._fillers or text in self._fillers)
            return Word(forms, known=True, filler=filler)
        if text in self._fillers or (len(forms) == 1 and forms[0] in self._fillers):
            return Word(forms, known=False, filler=True)
        parted = self._parted(text)
        if parted is not None:
            return Word(parted, known=True, filler=False)
        right, slips = self._put_right(text)
        if right is not None:
            return Word(right, known=True, filler=False, slips=slips)
        return Word(forms, known=False, filler=False)

    def _parted(self, text: str) -> tuple[str, str] | None:
        """Return two words written as one, where they stand together in some phrase."""
        if not 7 <= len(text) <= _LONGEST_WORD:
            return None
        for at in range(3, len(text) - 2):
            pair = (self._single(text[:at]), self._single(text[at:]))
            if pair in self.pairs:
                return pair
        return None

    def _put_right(self, text: str) -> tuple[tuple[str, ...] | None, int]:
        if not 3 <= len(text) <= _LONGEST_WORD or text in self._plain:
            return None, 0
        if len(text) >= 3 and not _VOWELS & set(text):
            full = self._shortened().get(text)
            if full is not None:
                return self._forms(full), 1
        if len(text) < NEVER_SPELLED:
            return None, 0
        best: str | None = None
        least = 3
        for shape in dict.fromkeys((text, singular(text))):
            for candidate in self._near(shape):
                slips = OSA.distance(shape, candidate, score_cutoff=least)
                if slips >= least and not (slips == least and self._likelier(candidate, best)):
                    continue
                if plausible(shape, candidate, slips):
                    best, least = candidate, slips
        return (None, 0) if best is None else (self._forms(best), least)

    def _shortened(self) -> dict[str, str]:
        """Return the words by their consonants: stores write "hldr", "stdy", "rvlvng"."""
        if self._skeletons is None:
            self._skeletons = {}
            for word in sorted(self._worth_spelling(), key=lambda w: (self.weight(w), w)):
                bare = "".join(letter for letter in word if letter not in _VOWELS)
                if len(bare) >= 3 and bare != word and word.isalpha():
                    self._skeletons.setdefault(bare, word)
        return self._skeletons

    def _likelier(self, one: str, other: str | None) -> bool:
        if other is None:
            return False
        first, second = (sum(map(self.weight, self._forms(raw))) for raw in (one, other))
        return first > second

    def _near(self, text: str) -> Iterable[str]:
        if self._index is None:  # only made when a word is met that nobody knows
            self._index = deletions_of(self._worth_spelling())
        seen: set[str] = set()
        for shape in {text, *without_one(text)}:
            seen.update(self._index.get(shape, ()))
        return sorted(seen)

    # --- building

    def _add_kinds(
        self,
        kinds: Mapping[str, Kind],
        rules: Mapping[str, Any],
        found: dict[tuple[str, ...], dict[str, float]],
    ) -> None:
        written = dict(_table(rules, "written"))
        for kind in kinds.values():
            names = (*kind.british, *kind.american)
            for name in names:
                self._add(name, kind.id, NAME_SHARE, found)
            for word in (*kind.words, *written.get(kind.id, ())):
                self._add(word, kind.id, WORD_SHARE, found)
            for _, foreign in kind.foreign:
                for name in foreign:
                    self._add(name, kind.id, WORD_SHARE, found)

    def _add_others(
        self,
        rules: Mapping[str, Any],
        found: dict[tuple[str, ...], dict[str, float]],
    ) -> None:
        for subject, target in (
            ("machines", MACHINE),
            ("not_accessories", THING),
            ("asides", ASIDE),
        ):
            for phrase in rules.get(subject, ()):
                if not found.get(self.words_of(str(phrase))):
                    self._add(str(phrase), target, WORD_SHARE, found)

    def _add(
        self,
        text: str,
        target: str,
        share: float,
        found: dict[tuple[str, ...], dict[str, float]],
    ) -> None:
        if " with" in text:  # "with" cuts a line: such a phrase is never met
            return
        if " for " in text:  # "stand for lathe" is a lathe stand
            head, _, whole = text.partition(" for ")
            words = (*self.words_of(whole), *self.words_of(head))
        else:
            words = self.words_of(text)
        if not words:
            return
        forms = [words]
        if "&" in words:
            forms.append(tuple(word for word in words if word != "&"))
        for form in forms:
            targets = found.setdefault(form, {})
            if targets.get(target, 0.0) < share:
                targets[target] = share

    def _add_open(self, rules: Mapping[str, Any]) -> None:
        for phrase, shares in (rules.get("open") or {}).items():
            words = self.words_of(str(phrase))
            targets = {str(kind): float(share) for kind, share in shares.items()}
            for word in words:
                self._weights.setdefault(word, 1.0)
            key = tuple(sorted(words))
            kept = tuple(p for p in self.phrases.get(key, ()) if p.words != words)
            self.phrases[key] = (self._phrase(words, targets, open_=True), *kept)

    def _keep(self, phrase: Phrase) -> None:
        key = tuple(sorted(phrase.words))
        self.phrases[key] = (*self.phrases.get(key, ()), phrase)

    def find(self, forms: Sequence[str]) -> Phrase | None:
        """Return the phrase of those words, in that order where there is one, else in any."""
        found = self.phrases.get(tuple(sorted(forms)))
        if found is None:
            return None
        words = tuple(forms)
        for phrase in found:
            if phrase.words == words:
                return phrase
        # only the kinds' own names are read in any order: "end mill rolling" is no rolling mill
        return next((p for p in found if p.targets[0][0] not in NOTHING), None)

    def _worth_spelling(self) -> list[str]:
        """Return the words of the kinds, in every spelling: slips are looked for among these."""
        words = {
            word
            for phrases in self.phrases.values()
            for phrase in phrases
            if any(target not in {MACHINE, THING, ASIDE} for target, _ in phrase.targets)
            for word in phrase.words
        }
        variants = [
            raw
            for raw in (*self._spellings, *self._compounds)
            if all(form in words for form in self._forms(raw))
        ]
        return [*words, *variants]

    @staticmethod
    def _telling(found: Mapping[tuple[str, ...], Mapping[str, float]]) -> dict[str, float]:
        owners: dict[str, set[str]] = {}
        for key, targets in found.items():
            for word in key:
                owners.setdefault(word, set()).update(targets)
        total = len({target for targets in found.values() for target in targets}) or 1
        return {word: math.log((total + 1) / (len(who) + 0.5)) for word, who in owners.items()}

    def _phrase(
        self, words: tuple[str, ...], targets: Mapping[str, float], *, open_: bool
    ) -> Phrase:
        if len(targets) == 1 and not open_:
            shares = [(kind, 1.0) for kind in targets]
        else:
            total = 1.0 if open_ else sum(targets.values())
            shares = sorted(((kind, part / total) for kind, part in targets.items()), key=_by_share)
        weight = 0.0
        for word in words:
            weight += self._weights.get(word, 1.0)
        only_thing = set(targets) == {THING}
        describing = len(words) == 1 and (only_thing or words[0] in self._describing)
        return Phrase(words, tuple(shares), weight, open_, describing)


def _by_share(pair: tuple[str, float]) -> tuple[float, str]:
    return (-pair[1], pair[0])


def _table(rules: Mapping[str, Any], name: str) -> list[tuple[str, Sequence[str]]]:
    return [(str(key), value) for key, value in (rules.get(name) or {}).items()]


_PIECE = re.compile(
    r"(?P<size>\d[\d./-]*\s?-?(?:\"|''|in\b|inch\b|mm\b|pcs?\b|piece\b)|\d+/\d+)|(?P<er>er\s?-?\d{1,2}\b)|(?P<mt>mt\s?-?\d\b|\d\s?mt\b)|(?P<mark>\d{1,2}(?:c|at)\b|r8\b|[0o]xa\b|w20\b)"
    r"|(?P<word>[^\W\d_]+(?:'[^\W\d_]+)?)|(?P<number>\d+)|(?P<and>[&+])"
)


def _split(text: str) -> list[str]:
    low = text.lower()
    if low.replace(" ", "").isalpha():
        return [JAWS.get(word, word) for word in low.split()]
    out: list[str] = []
    for match in _PIECE.finditer(low):
        sort = match.lastgroup
        if sort == "size":
            continue  # a size in a name is one of many
        if sort in {"er", "mt"}:
            out.append(str(sort))
        else:
            out.append("&" if sort == "and" else JAWS.get(match[0], match[0]))
    return out
