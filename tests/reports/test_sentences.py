"""Sentences stay grammatical whatever stands in them."""

from __future__ import annotations

import re

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.reasons import Reason, Term, because

WORDS = open_catalogue().words
ROOMS = ("read-", "price-", "cover-", "value-", "gap-", "offer-", "buy-", "sale-", "report-")
COUNTED = [name for name in WORDS.sentences if name.startswith(ROOMS)]
ONE_OF_MANY = re.compile(r"\b1 (?:more )?(?:[a-z-]+s|come|are|would)\b")


@pytest.mark.parametrize("name", COUNTED)
def test_a_sentence_reads_right_with_a_count_of_one(name: str) -> None:
    said = WORDS.say(because(name, count=1), Style())
    assert ONE_OF_MANY.search(said) is None, said


@pytest.mark.parametrize("name", COUNTED)
def test_a_kind_may_be_a_plural_in_any_sentence(name: str) -> None:
    said = WORDS.say(Reason(name, (("kind", Term("kind", "wrenches")),)), Style())
    assert re.search(r"\ban? wrenches", said) is None, said


def test_the_asking_price_says_what_it_is_for() -> None:
    assert WORDS.label("screen.figure.asking.says", Style()) == "for machine and tooling"
