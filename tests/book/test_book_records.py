"""Objects and their records: what is put in comes out, and nothing else can get in."""

from __future__ import annotations

import dataclasses
import json
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitreckon.book import BookError
from kitreckon.book.encoding import decode_book, encode_book, encode_record, encode_table, freeze
from kitreckon.book.records import from_fields, to_fields
from kitreckon.book.shelving import CLASSES, PARTS, TABLES
from kitreckon.count import Machine, OwnPrice, Piece, Preferences, Reading
from kitreckon.quantities import Length, Money, Range, clean_text

TEXTS = st.text(max_size=30).map(clean_text)
NUMBERS = st.integers(-(10**12), 10**12)
FLOATS = st.floats(allow_nan=False, allow_infinity=False).filter(
    lambda number: number == 0 or 1e-20 < abs(number) < 1e20
)
LENGTHS = st.builds(
    Length,
    st.fractions(min_value=0, max_value=10**6),
    st.sampled_from(["mm", "in", None]),
    TEXTS,
)
MONEY = st.builds(Money, NUMBERS, st.sampled_from(["USD", "GBP", "EUR"]))
IN_ORDER = st.lists(NUMBERS, min_size=3, max_size=3).map(
    lambda numbers: Range(*(Money(n, "USD") for n in sorted(numbers)))
)
st.register_type_strategy(str, TEXTS)
st.register_type_strategy(int, NUMBERS)
st.register_type_strategy(float, FLOATS)
st.register_type_strategy(Length, LENGTHS)
st.register_type_strategy(Money, MONEY)
st.register_type_strategy(Range, IN_ORDER)

STORED = (*CLASSES.values(), Preferences)


@pytest.mark.parametrize("cls", sorted(set(STORED), key=lambda cls: cls.__name__))
def test_every_object_comes_back_from_its_record_as_it_was(cls: type) -> None:
    @given(st.builds(cls, **{field.name: ... for field in dataclasses.fields(cls)}))
    def comes_back(value: Any) -> None:
        line = encode_record("key", to_fields(value))
        stored = json.loads(b"{" + line + b"}")["key"]
        found = from_fields(cls, freeze(stored))
        assert found == value
        assert to_fields(found) == to_fields(value)  # lengths compare without their text

    comes_back()


@given(st.from_type(Piece), st.binary(max_size=8))
def test_no_control_character_gets_into_a_record(piece: Piece, noise: bytes) -> None:
    dirty = dataclasses.replace(piece, note=f"\x1b[31m{noise.decode('latin-1')}\x00")
    stored = to_fields(dirty)["note"]
    assert stored == clean_text(dirty.note, 2000)
    assert "\x1b" not in stored


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("qty", "3"),
        ("qty", True),
        ("qty", 10**16),
        ("his", 1),
        ("condition", "very good"),
        ("size", ["3/2", "yd", ""]),
        ("size", ["1/0", "mm", ""]),
        ("size", ["1e9", "mm", ""]),
        ("size", ["1" * 50, "mm", ""]),
        ("size", "8in"),
        ("floor", [100, "dollars"]),
        ("floor", [1.5, "USD"]),
        ("floor", [100]),
        ("repair", "40"),
        ("parts_missing", "key"),
        ("readings", [["run-out"]]),
        ("text", 7),
    ],
)
def test_a_field_of_the_wrong_shape_is_named(field: str, value: Any) -> None:
    with pytest.raises(BookError, match=field):
        from_fields(Piece, {"id": "piece-1", "kind": None, field: value})


@pytest.mark.parametrize("text", ["nan", "inf", "1_0", "0x1", "", "1e9999"])
def test_a_figure_that_is_no_number_is_refused(text: str) -> None:
    stored = {"rate": text}
    if text == "1e9999":
        with pytest.raises(BookError):
            to_fields(Preferences(rate=float(text)))
    with pytest.raises(BookError, match="rate"):
        from_fields(Preferences, stored)


def test_prices_out_of_order_are_refused() -> None:
    stored = {"id": "p", "kind": "k", "supply": "used", "year": 2024}
    price = [[3, "USD"], [2, "USD"], [1, "USD"]]
    with pytest.raises(BookError, match="price"):
        from_fields(OwnPrice, {**stored, "price": price})


def test_a_missing_field_is_its_default_and_one_without_default_is_an_error() -> None:
    assert from_fields(Machine, {"id": "m", "name": "n", "machine_class": "mill"}) == Machine(
        "m", "n", "mill"
    )
    with pytest.raises(BookError, match="missing"):
        from_fields(Machine, {"id": "m"})


def test_an_empty_text_where_none_is_the_default_is_not_taken_for_none() -> None:
    assert from_fields(Machine, to_fields(Machine("m", "n", "mill", nose=""))).nose == ""


def test_a_record_is_flat_but_for_lists() -> None:
    reading = Reading("run-out", Length(Fraction(1, 10), "mm", "0.1mm"))
    stored = to_fields(Piece("piece-1", "chuck-3-jaw", readings=(reading,)))
    assert stored == {
        "id": "piece-1",
        "kind": "chuck-3-jaw",
        "qty": 1,
        "his": False,
        "readings": [{"id": "run-out", "value": ["1/10", "mm", "0.1mm"]}],
    }


def test_the_sellers_word_is_stored_and_what_was_seen_is_left_out() -> None:
    said = Piece("piece-1", "chuck-3-jaw", seen=False)
    assert to_fields(said)["seen"] is False
    assert from_fields(Piece, to_fields(said)) == said
    assert "seen" not in to_fields(Piece("piece-2", "chuck-3-jaw"))


@pytest.mark.parametrize(
    "value", [1.5, Decimal("1.5"), date(2026, 1, 1), {1, 2}, b"bytes", float("nan"), object()]
)
def test_what_json_would_change_is_refused(value: object) -> None:
    with pytest.raises(TypeError):
        encode_record("key", {"field": value})


def test_keys_that_are_not_text_and_lone_surrogates_are_refused() -> None:
    with pytest.raises(TypeError):
        encode_record("key", {"field": {1: "one"}})
    with pytest.raises(BookError, match="cannot be stored"):
        encode_record("key", {"field": "\ud800"})


def test_a_frozen_record_cannot_be_changed() -> None:
    record = freeze({"list": [1, {"a": [2]}]})
    with pytest.raises(TypeError):
        record["new"] = 1
    with pytest.raises(TypeError):
        record["list"][1]["a"] = 3
    assert record["list"][1]["a"] == (2,)


def test_an_encoded_book_is_read_back_whole() -> None:
    table = encode_table("machines", [encode_record("m", {"id": "m", "name": "ü ½ \u2028"})])
    envelope = decode_book(encode_book(7, "w", [table, encode_table("pieces", [])]))
    assert envelope.intact
    assert (envelope.generation, envelope.writer) == (7, "w")
    assert envelope.tables == {"machines": {"m": {"id": "m", "name": "ü ½ \u2028"}}, "pieces": {}}


def test_the_tables_are_those_that_the_book_is_documented_to_have() -> None:
    assert set(TABLES) == {
        "machines", "visits", "pieces", "looks", "findings", "sayings", "owned", "purchases",
        "own_prices", "corrections", "settings", "actions",
    }  # fmt: skip
    assert set(PARTS) < set(CLASSES)
