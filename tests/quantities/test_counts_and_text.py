"""Counts, ranges, designations and the cleaning of text at the border."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitreckon.quantities import (
    QuantityError,
    Range,
    clean_text,
    find_designations,
    read_count,
    read_designation,
    read_speed,
)
from kitreckon.quantities.cells import guard, unguard


@pytest.mark.parametrize(
    ("typed", "count"), [("8", 8), (" 0 ", 0), ("9999", 9999), ("x12", 12), ("3x", 3)]
)
def test_a_count_is_read(typed: str, count: int) -> None:
    assert read_count(typed) == count


@pytest.mark.parametrize("typed", ["", "-1", "10000", "1.5", "١", "1_0", "eight", "1e3", "+1"])
def test_what_is_no_count_is_refused(typed: str) -> None:
    with pytest.raises(QuantityError):
        read_count(typed)


@pytest.mark.parametrize(
    ("typed", "rpm"),
    [("2500", 2500), ("1,200", 1200), ("2500 rpm", 2500), ("1'200 RPM", 1200), ("8 rev/min", 8)],
)
def test_a_speed_is_read(typed: str, rpm: int) -> None:
    assert read_speed(typed) == rpm


@pytest.mark.parametrize("typed", ["", "0", "-5", "1.5", "40in", "200,001", "12,00", "fast", "١٢"])
def test_what_is_no_speed_is_refused(typed: str) -> None:
    with pytest.raises(QuantityError, match="is not a speed"):
        read_speed(typed)


@given(st.text())
def test_unguard_takes_back_what_guard_did(text: str) -> None:
    assert unguard(guard(text)) == text


def test_a_range_is_in_order() -> None:
    assert tuple(Range(1, 2, 3)) == (1, 2, 3)
    with pytest.raises(QuantityError, match="order"):
        Range(2, 1, 3)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("MT2", "MT2"),
        ("mt 3", "MT3"),
        ("3MT", "MT3"),
        ("no. 2 morse", "MT2"),
        ("Morse taper 4", "MT4"),
        ("4.5 morse", "MT4.5"),
        ("JT33", "JT33"),
        ("jacobs taper 6", "JT6"),
        ("B16", "B16"),
        ("R-8", "R8"),
        ("5C", "5C"),
        ("er 32", "ER32"),
        ("ER-40", "ER40"),
        ("D1-4", "D1-4"),
        ("d1 4", "D1-4"),
        ("camlock D1-6", "D1-6"),
        ("A2-5", "A2-5"),
        ("L00", "L00"),
        ("DIN 55027 size 4", "DIN55027-4"),
        ("bayonet 6", "DIN55027-6"),
        ("ME80", "ME80"),
        ("metric taper 100", "ME100"),
        ("4C", "4C"),
        ("3AT", "3AT"),
        ("l-0", "L0"),
        ("ISO 40", "ISO40"),
        ("NMTB 30", "ISO30"),
        ("1-1/2-8", "1-1/2-8"),
        ("1 1/2 x 8 tpi", "1-1/2-8"),
        ("2-1/4 - 8", "2-1/4-8"),
        ("M39 x 4", "M39x4"),
        ("M6", "M6"),
        ("1/2-13", "1/2-13"),
        ("jarno 6", "JN6"),
        ("DIN 55027 size 5", "DIN55027-5"),
        ("bayonet 15", "DIN55027-15"),
        ("DIN55027-15", "DIN55027-15"),
        ("metric taper 6", "ME6"),
        ("metric 80", "ME80"),
        ("BXA", "BXA"),
        ("200 series", "BXA"),
    ],
)
def test_a_designation_has_one_spelling(typed: str, name: str) -> None:
    assert read_designation(typed) == name


NO_DESIGNATIONS = ["a 1.5", "chuck", "3 jaw", "12x36", "MT9", "ER33", "D1-7", "13/16", ""]


@pytest.mark.parametrize("typed", NO_DESIGNATIONS)
def test_what_is_no_designation_is_none(typed: str) -> None:
    assert read_designation(typed) is None


def test_designations_are_found_inside_a_line() -> None:
    found = find_designations("8in 4 jaw D1-4, mt3 live centre, ER32 chuck and 31 5C collets")
    assert [designation.name for designation in found] == ["D1-4", "MT3", "ER32", "5C"]


def test_jaws_and_sizes_are_no_threads() -> None:
    assert find_designations("3-4 jaw chucks, 4 x 6 x 8 block, 1/8-3/4 set") == []


HOSTILE = ["a\x1b[31mb", "\x9d52;c;x\x07", "\u202eabc", "\ud800", "a\u0301\u0301\u0301\u0301", "\0"]


@pytest.mark.parametrize("text", HOSTILE)
def test_no_control_character_passes_the_border(text: str) -> None:
    clean = clean_text(text)
    assert not {unicodedata.category(c) for c in clean} & {"Cc", "Cs", "Co", "Cf"}
    clean.encode("utf-8")


@settings(max_examples=500)
@given(st.text(max_size=300))
def test_cleaning_twice_changes_nothing(text: str) -> None:
    once = clean_text(text)
    assert clean_text(once) == once
    assert len(once) <= 200


@settings(max_examples=500)
@given(st.text(max_size=80))
def test_any_text_gives_designations_or_none(text: str) -> None:
    for designation in find_designations(text):
        assert text[designation.start : designation.end]
    read_designation(text)
