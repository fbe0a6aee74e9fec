"""A count as CSV reads back equal, and other people's tables are understood as far as they go."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import a_piece, dollars, length
from kitreckon.catalogue.load import open_catalogue
from kitreckon.count import CONDITIONS, Piece, Reading
from kitreckon.errors import FileError, KitreckonError
from kitreckon.quantities import clean_text, read_length
from kitreckon.reading import Reader
from kitreckon.reports.count_csv import CountTable, read_count_csv, write_count_csv

CATALOGUE = open_catalogue()
READER = Reader(CATALOGUE.kinds, CATALOGUE.rules)


def read(text: str, **columns: str) -> CountTable:
    return read_count_csv(text, "t.csv", READER, CATALOGUE.kinds, "USD", columns)


def without_ids(pieces: Iterable[Piece]) -> list[Piece]:
    return [replace(piece, id="") for piece in pieces]


def settled(text: str) -> str:
    """The text as it is once it was stored: cleaned, and nothing at its ends."""
    return re.sub(r"^[\s'\ufeff]+|\s+$", "", clean_text(text)).strip()


texts = st.text(max_size=30).map(settled)
pieces = st.builds(
    Piece,
    id=st.just(""),
    kind=st.sampled_from(["caliper", "chuck-3-jaw", "steady-rest"]),
    text=texts,
    qty=st.integers(1, 9999),
    set_of=st.none() | st.integers(0, 99),
    set_has=st.none() | st.integers(0, 99),
    mount=st.none() | st.sampled_from(["D1-4", "MT3", "1-1/2-8", "5C"]),
    back=st.none() | st.sampled_from(["plain", "backplate", "direct"]),
    condition=st.none() | st.sampled_from(CONDITIONS),
    parts_missing=st.sampled_from([(), ("key",), ("key", "jaw")]),
    readings=st.sampled_from([(), (Reading("run-out", length(".004in")),)]),
    repair=st.none() | st.integers(0, 10**6).map(lambda cents: dollars(cents / 100)),
    repair_of=texts,
    unsafe=texts,
    marked_rpm=st.none() | st.integers(1, 9999),
    body=st.none() | st.sampled_from(["cast-iron", "steel"]),
    floor=st.none() | st.integers(0, 10**7).map(lambda cents: dollars(0) + dollars(cents / 100)),
    his=st.booleans(),
    tried=st.none() | st.booleans(),
    photo=texts,
    note=texts,
)


@settings(max_examples=150)
@given(st.lists(pieces, max_size=5), st.booleans())
def test_pieces_read_back_equal(counted: list[Piece], raw: bool) -> None:
    if raw:
        counted = [replace(p, text="", note="", photo="", unsafe="") for p in counted]
    table = read(write_count_csv(counted, raw=raw))
    assert without_ids(table.pieces) == counted
    assert table.notices == []


@pytest.mark.parametrize(
    ("typed", "unit"),
    [("8", "in"), ("1-1/2", "in"), ("12,5 mm", None), ('3/8"', None), ("7", None)],
)
def test_sizes_read_back_as_they_were_understood(typed: str, unit: Any) -> None:
    size = read_length(typed, unit)
    (back,) = read(write_count_csv([a_piece("caliper", size=size)])).pieces
    assert back.size == size


def test_what_is_not_there_stands_with_quantity_nothing() -> None:
    table = read(write_count_csv([a_piece("caliper")], ["follow-rest"], {"caliper": "calipers"}))
    assert [piece.kind for piece in table.pieces] == ["caliper"]
    assert table.absent == ["follow-rest"]


def test_a_line_kept_as_typed_comes_back_as_typed() -> None:
    table = read(write_count_csv([Piece("p1", None, text="qwzx blorf", qty=2)]))
    (piece,) = table.pieces
    assert (piece.kind, piece.text, piece.qty) == (None, "qwzx blorf", 2)


@pytest.mark.parametrize(
    "head",
    ["Qty,Item", "Item;Qty", "QUANTITY\tDescription", "No.|Tool", "Anzahl;Gegenstand",
     "Quantité,Désignation", "How many?,What"],
)  # fmt: skip
def test_headings_in_other_words_and_orders(head: str) -> None:
    separator = max(",;\t|", key=head.count)
    first = re.sub("[^a-z]", "", head.split(separator)[0].lower())
    row = ["steady rest", "3"] if first == "item" else ["3", "steady rest"]
    table = read(f"{head}\n{separator.join(row)}\n")
    assert [(piece.kind, piece.qty) for piece in table.pieces] == [("steady-rest", 3)]


def test_a_title_above_the_headings_is_passed() -> None:
    table = read("My list,,\n,,\nitem,qty,size\nthree jaw chuck,1,6in\n")
    assert [piece.kind for piece in table.pieces] == ["chuck-3-jaw"]
    assert table.pieces[0].size == length("6in")


def test_other_peoples_words_for_state_are_not_guessed() -> None:
    table = read("item,condition\ncaliper,Very Good\ncaliper,mint as new!!\n")
    assert [piece.condition for piece in table.pieces] == ["very-good", None]


def test_a_table_without_a_column_of_things_is_refused() -> None:
    with pytest.raises(KitreckonError, match="no column says"):
        read("a,b\n1,2\n")


def test_a_kind_nobody_knows_is_told_with_its_place() -> None:
    with pytest.raises(FileError) as caught:
        read("kind,qty\nchuck-9-jaw,1\n")
    assert [(p.line, p.column) for p in caught.value.problems] == [(2, 1)]


@settings(max_examples=100)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_with_one_error(text: str) -> None:
    try:
        read("item,qty,size\n" + text)
    except KitreckonError:
        return
