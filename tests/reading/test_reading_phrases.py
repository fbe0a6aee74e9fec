"""Phrases sought word by word find what patterns of the same phrases find."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitreckon.reading.phrases import Either, Followed, Phrases, by, within

WORDS = ["sold", "off", "it", "n't", "no", "no.", "a", "don't", "n/a", "the"]


def spans(form: Phrases | Followed | Either, text: str) -> list[str]:
    return [text[span.start() : span.end()] for span in form.finditer(text)]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("he sold it", ["sold"]),
        ("he sold off the lot", ["sold off"]),
        ("sold-off, unsold", ["sold-off"]),
        ("sold.off", ["sold"]),
        ("resold", []),
        ("sold's", []),
        ("", []),
    ],
)
def test_whole_words_apart_by_spaces_or_hyphens_the_longest_first(text: str, found: list[str]):
    assert spans(Phrases(["sold", "sold off"]), text) == found


def test_marks_inside_a_phrase_stand_without_a_gap():
    assert spans(Phrases(["n/a", "no. 3"]), "n/a, n / a, no. 3, no.3") == ["n/a", "no. 3"]


@given(
    st.lists(st.lists(st.sampled_from(WORDS), min_size=1, max_size=3).map(" ".join), max_size=5),
    st.lists(st.sampled_from([*WORDS, ",", "-", "x"]), max_size=12).map(" ".join),
)
def test_they_find_what_a_pattern_finds(phrases: list[str], text: str):
    longest_first = sorted(phrases, key=len, reverse=True)
    any_of = "|".join(r"[\s-]+".join(map(re.escape, one.split())) for one in longest_first)
    pattern = re.compile(rf"(?<![\w'])(?:{any_of or '(?!)'})(?![\w'])")
    expected = [match.span() for match in pattern.finditer(text)]
    assert [(s.start(), s.end()) for s in Phrases(phrases).finditer(text)] == expected


def test_what_must_follow_may_need_the_shorter_phrase():
    form = Followed(Phrases(["sold", "sold off"]), by(r"\s+off it"))
    assert spans(form, "he sold off it") == ["sold off it"]


def test_a_few_words_may_stand_between():
    few, nothing = re.compile(r"(?!but\b)[a-z]+\s+"), re.compile("")
    form = Followed(Phrases(["never"]), within(2, few, Phrases(["found"]), nothing))
    assert spans(form, "never found") == ["never found"]
    assert spans(form, "never been yet found") == ["never been yet found"]
    assert spans(form, "never but found") == []
    assert spans(form, "never to this day found") == []


def test_forms_side_by_side_do_not_overlap():
    form = Either(Phrases(["sold off"]), re.compile(r"off it"), Phrases(["gone"]))
    assert spans(form, "sold off it, gone") == ["sold off", "gone"]


def test_what_is_found_is_masked_at_its_length():
    assert Phrases(["sold off"]).masked("he sold off it") == "he ........ it"
