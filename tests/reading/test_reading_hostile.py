"""Any text at all: never an exception, never a hang, the text kept, a word on what was left."""

from __future__ import annotations

import random
import time
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader, TextReading


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


def holds(reading: TextReading, text: str) -> None:
    known = set(open_catalogue().kinds)
    assert reading.text == text
    assert 0.0 <= reading.none_confidence <= 1.0
    for piece in reading.pieces:
        assert piece.kind in known
        assert 1 <= piece.qty <= 9_999
        assert piece.set_of is None or 1 < piece.set_of <= 9_999
        assert piece.size is None or 0 < piece.size.mm <= 3_000
        assert 0.0 <= piece.confidence <= 1.0
        assert all(0.0 <= other.confidence <= piece.confidence + 1e-9 for other in piece.others)


_trade = st.sampled_from(
    ("3", "4 jaw", "chuck", "D1-4", ",", "and", "with", "for", "no", "missing", "6in", "1/2",
     "steady", "-", "/", "&", "(", ")", '"', "x2", "MT3", "ER32", "5C", "set", "of", "13", "pcs",
     "collet", "rest",
     "K12", "160", "tool", "post", "holder", "0/0", "1/0", "9" * 20,
     "..", "½", "×", "\u0663", "\x00")
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(st.one_of(st.text(max_size=300), st.lists(_trade, max_size=40).map(" ".join)))
def test_any_text_is_read_without_an_exception(text: str):
    holds(reader().read_line(text), text)
    holds(reader().read_advert(text), text)
    reader().suggest(text)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "\x00\x01\x02\xff" * 50,
        "," * 100,
        "3 jaw chuck," * 100,
        "9" * 400 + " chucks",
        "1/" * 500,
        "((((((((" * 100,
        "трёхкулачковый патрон",
        "三爪卡盘",
        "\ud800 lone surrogate chuck",
        "\u202egnihcam\u202c",
        "a\u0301" * 300,
        "İstanbul torna 3 jaw chuck",
        "-" * 3000,
        "1-" * 1500,
        "x" * 2500,
    ],
)
def test_odd_texts_are_kept_and_read(text: str):
    holds(reader().read_line(text), text)
    holds(reader().read_advert(text), text)


def test_a_line_of_a_hundred_thousand_characters_does_not_hang():
    words = ["chuck", "3", "jaw", "and", "with", "missing", "1/2", "steady", "zzz", ",", "6in"]
    text = " ".join(random.Random(4).choices(words, k=40_000))[:100_000]
    started = time.perf_counter()
    line = reader().read_line(text)
    advert = reader().read_advert(text)
    assert time.perf_counter() - started < 10
    assert line.text == advert.text == text
    assert [reason.id for reason in line.reasons][:1] == ["read-cut"]


def test_what_was_not_understood_is_said():
    reading = reader().read_line("zzyzx blorb")
    assert reading.pieces == ()
    assert reading.not_understood == ("zzyzx blorb",)
    assert [reason.id for reason in reading.reasons] == ["read-nothing"]
    assert [reason.id for reason in reader().read_line("").reasons] == ["read-empty"]
