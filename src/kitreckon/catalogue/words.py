"""Reasons, labels and cautions as sentences, in the user's words, units and money."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from kitreckon.catalogue.model import FindingRule, Kind, Outfit
from kitreckon.count import Preferences
from kitreckon.quantities import Length, Money, Range, Unit, nominal_length, show_length, show_money
from kitreckon.reasons import Nominal, Reason, Term

_VALUE = re.compile(r"\{(\w+)\}")
_WORD = re.compile(r"[A-Za-z]+")


@dataclass(frozen=True, slots=True)
class Style:
    """How the user wants things said."""

    units: Unit = "in"
    words: Literal["british", "american"] = "american"

    @classmethod
    def of(cls, preferences: Preferences) -> Style:
        """Return the style the user has set."""
        return cls(preferences.units, preferences.words)


@dataclass(frozen=True, slots=True)
class Said:
    """A sentence in British and in American words."""

    british: str
    american: str

    def by(self, style: Style) -> str:
        """Return it in the style's words."""
        return self.british if style.words == "british" else self.american


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution and who gives it."""

    text: Said
    source: str = ""


class Words:
    """All sentences of the program, and the names of what it speaks of."""

    def __init__(
        self,
        sentences: Mapping[str, Said],
        labels: Mapping[str, Said],
        cautions: Mapping[str, Caution],
        kinds: Mapping[str, Kind],
        findings: Mapping[str, FindingRule] | None = None,
        spellings: Mapping[str, str] | None = None,
        outfits: Mapping[str, Outfit] | None = None,
    ) -> None:
        self.sentences = sentences
        self.labels = labels
        self.cautions = cautions
        self.spellings = spellings or {}
        self._kinds = kinds
        self._findings = {} if findings is None else findings
        self._outfits = {} if outfits is None else outfits

    def say(self, reason: Reason, style: Style) -> str:
        """Return the reason's sentence; a reason without one shows its id and values."""
        said = self.sentences.get(reason.id)
        values = dict(reason.values)
        if said is None:
            shown = ", ".join(f"{name} {self.show(value, style)}" for name, value in values.items())
            return f"{reason.id}: {shown}" if shown else reason.id
        return _VALUE.sub(
            lambda match: self.show(values[match[1]], style) if match[1] in values else match[0],
            said.by(style),
        )

    def show(self, value: object, style: Style) -> str:
        """Return a reason's value as text."""
        match value:
            case Length():
                return show_length(value, style.units)
            case Nominal():
                return show_length(nominal_length(Length.of_mm(value.mm), style.units), style.units)
            case Money():
                return show_money(value)
            case Range():
                return " / ".join(self.show(part, style) for part in value)
            case Term():
                return self.term(value, style)
            case Reason():
                return self.say(value, style)
            case tuple():
                return ", ".join(self.show(part, style) for part in value)
            case float():
                return f"{value:.4g}"
            case _:
                return str(value)

    def term(self, term: Term, style: Style) -> str:
        """Return the name of a term: a kind, a class, a condition, ..."""
        if term.group == "kind":
            return self.name(term.id, style)
        if term.group == "finding" and term.id in self._findings:
            rule = self._findings[term.id]
            return rule.british if style.words == "british" else rule.american
        label = f"{term.group}.{term.id}"
        if term.group == "class" and label not in self.labels and term.id in self._outfits:
            outfit = self._outfits[term.id]  # a class of the user's own
            return outfit.british if style.words == "british" else outfit.american
        if term.group == "want" and label not in self.labels:
            wants = (want for outfit in self._outfits.values() for want in outfit.wants)
            return self.name(next((w.kind for w in wants if w.id == term.id), term.id), style)
        return self.label(label, style)

    def name(self, kind_id: str | None, style: Style) -> str:
        """Return the name of a kind; a text that is none is returned as it is."""
        kind = self._kinds.get(kind_id or "")
        if kind is None:
            return kind_id or self.label("kind.unknown", style)
        if kind.foreign:
            return kind.foreign[0][1][0]
        return kind.british[0] if style.words == "british" else kind.american[0]

    def wanted(self, want_id: str, kind: str, style: Style) -> str:
        """Return the name of a wanted line: its own where it has one, else that of its kind."""
        own = f"want.{want_id}"
        return self.label(own, style) if own in self.labels else self.name(kind, style)

    def spelt(self, text: str, style: Style) -> str:
        """Return a longer text of the catalogue, written in British, in the style's spelling."""
        if style.words == "british" or not self.spellings:
            return text
        return _WORD.sub(lambda match: self._american(match[0]), text)

    def _american(self, word: str) -> str:
        other = self.spellings.get(word.lower(), word)
        return other[:1].upper() + other[1:] if word[:1].isupper() else other

    def label(self, label_id: str, style: Style) -> str:
        """Return a label; one that is missing shows the last part of its id."""
        said = self.labels.get(label_id)
        return said.by(style) if said else label_id.rsplit(".", 1)[-1].replace("-", " ")

    def caution(self, caution_id: str, style: Style) -> str:
        """Return a caution's text; an unknown id is shown as it is, never left out."""
        caution = self.cautions.get(caution_id)
        return caution.text.by(style) if caution else caution_id.replace("-", " ")
