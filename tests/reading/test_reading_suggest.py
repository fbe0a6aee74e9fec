"""Suggestions while typing: few keys, words in any order, the last one unfinished."""

from __future__ import annotations

import itertools
import statistics
from functools import cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader

GROUPS = {"workholding", "centres", "tailstock", "rests", "toolposts", "cutting"}


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


def keys_until_first(kind: str, name: str) -> int:
    for keys in range(1, len(name) + 1):
        found = reader().suggest(name[:keys])
        if found and found[0].kind == kind:
            return keys
    return len(name) + 10


@pytest.mark.parametrize("words", ["british", "american"])
def test_few_keys_bring_the_right_kind_to_the_top(words: str):
    keys = sorted(
        keys_until_first(kind.id, getattr(kind, words)[0])
        for kind in open_catalogue().kinds.values()
        if kind.group in GROUPS
    )
    assert statistics.median(keys) <= 5
    assert keys[int(0.9 * len(keys))] <= 9


def first(text: str, **more: object) -> str:
    return reader().suggest(text, **more)[0].kind  # type: ignore[arg-type]


def test_the_order_of_words_does_not_matter():
    assert first("rest steady") == first("steady rest") == "steady-rest"
    assert first("centre live") == "centre-live"


def test_the_last_word_may_be_unfinished():
    assert first("change ge") == "change-gears"
    assert first("travelling st") == "follow-rest"


def test_either_spelling_serves():
    assert first("live center") == first("live centre") == "centre-live"


def test_a_slip_still_finds_the_kind():
    assert first("knurlling") == "knurling-tool"


def test_kinds_of_the_outfit_go_first():
    usual = first("ch")
    other = next(found.kind for found in reader().suggest("ch") if found.kind != usual)
    assert first("ch", prefer=(other,)) == other


def test_confidences_fall_and_the_limit_holds():
    found = reader().suggest("c", limit=5)
    assert len(found) == 5
    assert all(a.confidence >= b.confidence for a, b in itertools.pairwise(found))
    assert reader().suggest("c", limit=0) == ()


def test_nothing_typed_or_nothing_like_it_suggests_nothing():
    assert reader().suggest("") == ()
    assert reader().suggest("   ") == ()
    assert reader().suggest("zzqqx") == ()
