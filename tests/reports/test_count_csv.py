"""A count as CSV holds all that is known of its pieces, and reads back equal."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import a_piece, dollars, length
from kitreckon.book.count_table import CountTable, read_count_csv
from kitreckon.book.table_cells import read_cell
from kitreckon.catalogue.load import open_catalogue
from kitreckon.count import CONDITIONS, Piece, Reading
from kitreckon.quantities import clean_text, read_length
from kitreckon.reading import Reader
from kitreckon.reports.count_csv import write_count_csv

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
    unsafe=texts.filter(lambda text: read_cell("unsafe", text, "USD") == text),
    marked_rpm=st.none() | st.integers(1, 9999),
    body=st.none() | st.sampled_from(["cast-iron", "steel"]),
    floor=st.none() | st.integers(0, 10**7).map(lambda cents: dollars(0) + dollars(cents / 100)),
    his=st.booleans(),
    seen=st.booleans(),
    low_height=st.none() | st.just(length("20mm")),
    high_height=st.none() | st.just(length("1-1/2in")),
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
