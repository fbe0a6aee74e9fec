"""The words round a thing, where no phrase of the rules says whether it is there."""

from __future__ import annotations

from functools import cache

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader
from kitreckon.reading.presence_forms import Forms
from kitreckon.reading.surroundings import Place, Surroundings

RULES = {"presence": {"none_of": ["no"], "going": ["gone"], "given": ["comes with"]}}
WEIGHTS = {"after1": ["rusted 2.5 oiled -1.0"], "about": ["THING -0.5"], "then": ["alas 1.5"]}


def around(bar: float = 0.0) -> Surroundings:
    rules = {**RULES, "absence": {"bias": -2.0, "bar": bar, "weights": WEIGHTS}}
    return Surroundings(rules, Forms.of(rules))


def place(text: str, thing: str, *others: str, then: str = "") -> Place:
    spans = tuple((text.index(o), text.index(o) + len(o)) for o in others)
    return Place(text, text.index(thing), text.index(thing) + len(thing), spans, then)


def test_weights_and_bias_are_added_up():
    assert around().deny(place("the steady rusted away", "steady"))
    assert not around().deny(place("the steady oiled", "steady"))


def test_the_sum_has_to_pass_the_bar():
    assert not around(bar=0.6).deny(place("the steady rusted away", "steady"))


def test_of_two_weights_the_first_which_is_the_users_counts():
    weights = {"after1": ["rusted -9.0", *WEIGHTS["after1"]]}
    rules = {**RULES, "absence": {"bias": -2.0, "weights": weights}}
    assert not Surroundings(rules, Forms.of(rules)).deny(place("the steady rusted away", "steady"))


def test_what_follows_is_heard():
    text = "the steady rusted", "steady"
    weak = Surroundings({**RULES, "absence": {"bias": -3.0, "weights": WEIGHTS}}, Forms.of(RULES))
    assert not weak.deny(place(*text))
    assert weak.deny(place(*text, then="alas"))


def test_other_things_count_as_things_not_as_their_words():
    signs = around().signs(place("the steady and the rusted vise", "steady", "rusted vise"))
    assert "about THING" in signs
    assert not any("vise" in sign for sign in signs)


def test_without_weights_nothing_is_denied():
    assert not Surroundings({}, Forms.of({})).deny(place("the steady rusted", "steady"))


@pytest.mark.parametrize(
    "text", ["no steady rusted", "steady rusted gone", "comes with a steady rusted"]
)
def test_where_a_phrase_speaks_the_words_are_silent(text: str):
    assert not around().deny(place(text, "steady"))


def test_a_phrase_beyond_another_thing_does_not_silence_them():
    assert around().silent(place("no vise but a steady rusted", "steady", "vise"))


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        ("chuck-key", "Where the chuck key went is anybody's guess."),
        ("dividing-head", "They say there was a dividing head but the son uses it as a doorstop."),
        ("thread-dial", "Thread dial: two holes and a clean patch where it used to be."),
        ("rotary-table", "Next on the wish list is a rotary table."),
        ("steady-rest", "My other lathe has a steady so I will get by."),
        ("taper-attachment", "There was a taper attachment; there isn't now."),
        ("thread-dial", "I thought the thread dial was in there too. It's not."),
        ("steady-rest", "I thought the steady was under the bench too. It's not."),
    ],
)
def test_what_no_phrase_foresees_is_still_heard(kind: str, sentence: str):
    text = f"12 x 36 lathe for sale, runs well. {sentence} Cash on collection."
    assert {p.kind: p.state for p in reader().read_advert(text).pieces}.get(kind) == "absent"


@pytest.mark.parametrize(
    ("kind", "sentence"),
    [
        ("chuck-4-jaw", "The four jaw lives in the bottom drawer wrapped in oily paper."),
        ("milling-vise", "I used the vise every week for ten years and it owes me nothing."),
        ("steady-rest", "Fixed steady, bought new the year before last and hardly out of its box."),
        ("chuck-3-jaw", "The key is a homemade one but it turns the three jaw perfectly well."),
    ],
)
def test_plain_words_take_nothing_away(kind: str, sentence: str):
    text = f"12 x 36 lathe for sale, runs well. {sentence} Cash on collection."
    assert {p.kind: p.state for p in reader().read_advert(text).pieces}.get(kind) == "here"


def test_the_words_that_told_are_named():
    assert around().telling(place("the steady rusted away", "steady"))[:1] == ("rusted",)
    text = "Lathe for sale. My other lathe has a steady so I will get by."
    gone = next(p for p in reader().read_advert(text).pieces if p.state == "absent")
    assert gone.why[-1].id == "read-absent-weighed"
    plain = reader().read_advert("Lathe for sale. No chuck key.").pieces[0]
    assert plain.why[-1].id == "read-absent"
