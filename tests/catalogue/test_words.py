"""Reasons become sentences in the user's units, words and money."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.model import Kind
from kitreckon.catalogue.words import Caution, Said, Style, Words
from kitreckon.quantities import Length, Money, Range
from kitreckon.reasons import Reason, Term, because

MM = Style("mm", "british")
IN = Style("in", "american")
KINDS = {"vise": Kind("vise", "milling", ("machine vice",), ("milling vise",))}
WORDS = Words(
    {
        "too-big": Said("{kind} {size} does not enter {hole}", "{kind} {size} won't go in {hole}"),
        "cost": Said("{price} for {count}", "{price} for {count}"),
    },
    {"condition.very-good": Said("very good", "very good")},
    {"cracked": Caution(Said("Do not use it.", "Do not use it."), "common practice, no source")},
    KINDS,
)


def test_a_length_is_said_in_the_users_units() -> None:
    reason = because("too-big", kind=Term("kind", "vise"), size=Length.of_mm(25.4), hole="MT2")
    assert WORDS.say(reason, MM) == "machine vice 25.4mm does not enter MT2"
    assert WORDS.say(reason, IN) == "milling vise 1in won't go in MT2"


def test_money_and_ranges_are_said() -> None:
    price = Range(Money(100, "USD"), Money(200, "USD"), Money(350, "USD"))
    assert WORDS.say(because("cost", price=price, count=3), MM) == "1 / 2 / 3.50 for 3"


def test_a_reason_without_a_sentence_still_says_what_it_knows() -> None:
    assert WORDS.say(Reason("odd-thing", (("why", "rust"),)), MM) == "odd-thing: why rust"


def test_text_with_braces_is_only_text() -> None:
    reason = because("too-big", kind="{size}", size=Length.of_mm(1), hole="{0.__class__}")
    assert WORDS.say(reason, MM) == "{size} 1mm does not enter {0.__class__}"


def test_an_unknown_caution_is_never_left_out() -> None:
    assert WORDS.caution("cracked", MM) == "Do not use it."
    assert WORDS.caution("hot-oil", MM) == "hot oil"


def test_longer_texts_are_spelt_as_the_user_spells() -> None:
    words = open_catalogue().words
    text = "Centre the vice; a self-centring chuck"
    assert words.spelt(text, MM) == text
    assert words.spelt(text, IN) == "Center the vise; a self-centering chuck"


def test_names_follow_the_users_words() -> None:
    words = open_catalogue().words
    assert words.name("follow-rest", MM) != words.name("follow-rest", IN)
    assert words.name("no-such-kind", MM) == "no-such-kind"


def every_text(style: Style) -> Iterator[tuple[str, str]]:
    """Yield what the catalogue may show in a style: (where it stands, the text)."""
    catalogue = open_catalogue()
    words = catalogue.words
    british = style.words == "british"
    yield from ((name, said.by(style)) for name, said in words.sentences.items())
    yield from ((name, said.by(style)) for name, said in words.labels.items())
    yield from ((name, words.caution(name, style)) for name in words.cautions)
    for kind in catalogue.kinds.values():
        yield from ((kind.id, name) for name in (kind.british if british else kind.american))
        checks = (text for check in kind.checks for text in (check.do, check.limit))
        for text in (kind.looks_like, kind.where, kind.measures, *checks):
            yield kind.id, words.spelt(text, style)
    for rule in catalogue.findings.values():
        yield rule.id, rule.british if british else rule.american
        yield rule.id, rule.question  # asked as it stands
        yield rule.id, words.spelt(rule.look, style)
    for outfit in catalogue.outfits.values():
        yield outfit.machine_class, outfit.british if british else outfit.american
        for want in outfit.wants:
            for text in (want.note, want.size.text, want.label):
                yield want.id, words.spelt(text, style)


def test_no_text_shown_in_american_words_has_a_british_one() -> None:
    other = {*open_catalogue().words.spellings, "arbour", "arbours", "earth", "earthed", "colours"}
    found = [
        (where, word)
        for where, text in every_text(IN)
        for word in re.findall("[a-z]+", re.sub(r"{\w+}|earth \(ground\)", "", text).lower())
        if word in other
    ]
    assert found == []
    assert len([text for _, text in every_text(MM) if "centre" in text]) > 20


def test_a_class_of_the_users_own_is_called_as_its_file_says(tmp_path: Path) -> None:
    (tmp_path / "outfits").mkdir()
    (tmp_path / "outfits" / "mine.yaml").write_text(
        "format: 1\nsubject: outfit\nclass: gear-bench\nsort: mill\n"
        "british: wheel-cutting bench\namerican: gear-cutting bench\nwants: []\n",
        "utf-8",
    )
    words = open_catalogue((tmp_path,)).words
    assert words.term(Term("class", "gear-bench"), MM) == "wheel-cutting bench"
    assert words.term(Term("class", "gear-bench"), IN) == "gear-cutting bench"
    assert words.term(Term("class", "no-such-bench"), IN) == "no such bench"
