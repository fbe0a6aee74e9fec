"""A count sheet is read with every fault at its place, and written so that it reads back equal."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import a_lathe, a_piece, dollars, length
from kitreckon.book.sheet import Sheet, read_sheet, sheet_schema, write_sheet
from kitreckon.catalogue.load import open_catalogue
from kitreckon.count import (
    Correction,
    ExtraCost,
    Finding,
    Look,
    OwnPrice,
    Preferences,
    Purchase,
    Reading,
    Saying,
    Visit,
)
from kitreckon.errors import FileError
from kitreckon.quantities import Length, Money, Range

CATALOGUE = open_catalogue()
EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
HEAD = "format: 1\nsubject: count\nmachine:\n  name: lathe\n  class: engine-lathe-small\n"


def read(text: str | bytes) -> Sheet:
    return read_sheet(text, "sheet.yaml", CATALOGUE)


def faults(text: str | bytes) -> list[str]:
    with pytest.raises(FileError) as caught:
        read(text)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("file", sorted(EXAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_example_sheets_read_back_equal(file: Path) -> None:
    sheet = read_sheet(file.read_bytes(), file.name, CATALOGUE)
    assert len(sheet.visit.pieces) >= 8
    assert read(write_sheet(sheet)) == sheet


def test_a_full_sheet_reads_back_equal() -> None:
    finding = next(iter(CATALOGUE.findings), "")
    sheet = Sheet(
        a_lathe(
            id="m7",
            name="lathe: the 'old' one # 2",
            note="first line\nsecond: line",
            features=(("gearbox", True), ("three-phase", False)),
            extra_costs=(ExtraCost("drive", dollars(180.5)),),
            nose_thread_form="60",
        ),
        Visit(
            "m7",
            pieces=(
                a_piece(
                    "chuck-3-jaw",
                    size="6in",
                    mount="D1-4",
                    readings=(Reading("run-out", length(".004in")),),
                    parts_missing=("jaws-outside",),
                    repair=dollars(40.5),
                    repair_of="new jaw screw: 8 mm",
                    floor=dollars(60),
                    his=True,
                    seen=False,
                    tried=False,
                    unsafe="cracked: rim",
                    photo="IMG 1.jpg",
                ),
                a_piece(None, text="- odds & ends"),
            ),
            looks=(Look("follow-rest", 0), Look("steady-rest", 1)),
            findings=(Finding("f1", finding, length("0.1mm"), dollars(100)),) if finding else (),
            sayings=(Saying("s1", "seller", dollars(1700), ("p-chuck-3-jaw",)),),
            clock_s=1860,
            clock_started_utc="2026-04-18T09:30:00+00:00",
        ),
        shelf=(a_piece("caliper"),),
        own_prices=(
            OwnPrice("w9", "caliper", "used", Range(dollars(5), dollars(10), dollars(20)), 2026),
        ),
        preferences=Preferences(units="mm", words="british", power=0.25, freight=dollars(12)),
        purchases=(Purchase("b1", "caliper", "used", dollars(9), "2026-04-01", machine_id="m7"),),
        corrections=(Correction("c1", "the thingy", "caliper"), Correction("c2", "x", "")),
    )
    assert read(write_sheet(sheet)) == sheet


@given(
    st.fractions(min_value=0, max_value=9999, max_denominator=10_000), st.sampled_from(["in", "mm"])
)
def test_any_length_reads_back_exactly(amount: Fraction, unit: Any) -> None:
    sheet = Sheet(a_lathe(bore=Length(amount, unit)), Visit("m1"))
    assert read(write_sheet(sheet)).machine.bore == Length(amount, unit)


@pytest.mark.parametrize("word", ["null", "Null", "NULL", "~", "yes", "no", "1e3"])
def test_words_that_yaml_takes_for_others_stay_words(word: str) -> None:
    sheet = Sheet(a_lathe(note=word, name=word), Visit("m1"))
    machine = read(write_sheet(sheet)).machine
    assert (machine.note, machine.name) == (word, word)


@settings(max_examples=40)
@given(st.text(st.characters(codec="utf-8", exclude_categories=["C", "Zl", "Zp"]), max_size=60))
def test_any_text_in_a_note_reads_back(text: str) -> None:
    import unicodedata

    from kitreckon.quantities import clean_text

    note = clean_text(text.strip())
    if unicodedata.normalize("NFC", note).strip() != note:
        return
    sheet = Sheet(a_lathe(note=note), Visit("m1"))
    assert read(write_sheet(sheet)).machine.note == note


@given(st.integers(min_value=0, max_value=10**9), st.sampled_from(["USD", "GBP", "JPY"]))
@settings(max_examples=30)
def test_any_price_reads_back_exactly(minor: int, currency: str) -> None:
    price = Money(min(minor, 10**9), currency)
    if price.major > 10_000_000:
        return
    machine = a_lathe(asking=price, bare_price=None)
    sheet = Sheet(machine, Visit("m1"), preferences=Preferences(currency=currency))
    assert read(write_sheet(sheet)).machine.asking == price


def test_pieces_without_ids_are_numbered_and_ids_given_stay() -> None:
    text = HEAD + "pieces:\n  - {kind: caliper}\n  - {kind: caliper, id: p1}\n  - {kind: caliper}\n"
    ids = [piece.id for piece in read(text).visit.pieces]
    assert ids[1] == "p1"
    assert len(set(ids)) == 3


def test_a_typed_line_is_read_and_keeps_its_text() -> None:
    sheet = read(HEAD + "pieces:\n  - 8in 4-jaw chuck D1-4\n")
    (piece,) = sheet.visit.pieces
    assert piece.kind == "chuck-4-jaw"
    assert piece.text == "8in 4-jaw chuck D1-4"
    assert read(write_sheet(sheet)) == sheet


def test_a_line_nobody_can_read_is_kept_as_typed_and_noticed() -> None:
    sheet = read(HEAD + "pieces:\n  - qwzx blorf\n")
    (piece,) = sheet.visit.pieces
    assert (piece.kind, piece.text) == (None, "qwzx blorf")
    assert [notice.line for notice in sheet.notices] == [7]


def test_what_is_worth_a_second_look_is_noticed_and_is_no_fault() -> None:
    text = (
        "  nose: D1-44\npieces:\n"
        "  - {kind: chuck-3-jaw, size: 6, mount: D1-4, parts_missing: [jaws-outsid]}\n"
    )
    sheet = read(HEAD + text)
    places = [(notice.line, notice.column) for notice in sheet.notices]
    assert places == [(6, 9), (8, 31), (8, 63)]
    assert "did you mean 'jaws-outside'?" in sheet.notices[2].remedy


@pytest.mark.parametrize(
    ("typed", "grade"),
    [
        ("very good", "very-good"),
        ("Very-Good", "very-good"),
        ("fair", "fair"),
        ("not judged", None),
    ],
)
def test_a_condition_is_read_as_people_write_it(typed: str, grade: str | None) -> None:
    (piece,) = read(HEAD + f"pieces:\n  - {{kind: caliper, condition: {typed}}}\n").visit.pieces
    assert piece.condition == grade
    told = faults(HEAD + "pieces:\n  - {kind: caliper, condition: god}\n")
    assert "did you mean 'good'?" in told[0]


def test_not_known_is_not_assumed() -> None:
    machine = read(HEAD + "  nose: not known\n  swing: '?'\n").machine
    assert (machine.nose, machine.swing, machine.bore) == (None, None, None)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("  swing: 12\n", "sheet.yaml:6:10: machine.swing: '12' has no unit; 12in or 12mm"),
        ("  swing: 12in\n  sving: x\n", "sheet.yaml:7:3: machine: unknown field 'sving'; did"),
        ("  asking: -5\n", "is not a price"),
        ("  asking: 900-1500\n", "'900-1500' is more than one price"),
        ("  bare_price: 900-1500\n", "write {low: ..., typical: ..., high: ...}"),
        ("  swing: 40000000000000mm\n", "is over 10,000,000 mm"),
        ("  asking: £1,900\n", "sheet.yaml:6:11: machine.asking: '£1,900' is not in USD"),
        ("  status: solt\n", "did you mean 'sold'?"),
        ("pieces:\n  - {kind: chuck-3jaw}\n", "did you mean 'chuck-3-jaw'?"),
        ("pieces:\n  - {qty: 2}\n", "neither kind nor text"),
        ("looks:\n  steady-rst: 1\n", "did you mean 'steady-rest'?"),
        ("looks:\n  drawbar: 1\n", "its lines: chuck-3-jaw, "),
        ("  bare_price: {low: 9, typical: 5, high: 8}\n", "is not in order"),
        ("settings: {power: 2}\n", "from 0 to 1"),
        ("settings: {currency: dollars}\n", "for example USD"),
    ],
)  # fmt: skip
def test_a_fault_names_its_place_and_what_would_be_right(line: str, expected: str) -> None:
    told = faults(HEAD + line)
    assert any(expected in fault for fault in told), told


def test_a_denied_kind_leaves_the_line_alone_that_another_fills() -> None:
    lines = "pieces:\n  - no 6 jaw chuck\n  - no follow rest\n"
    assert {look.want for look in read(HEAD + lines).visit.looks} == {"chuck-3-jaw", "follow-rest"}
    looks = read(HEAD + lines + "  - 3 jaw chuck\n").visit.looks
    assert {look.want for look in looks} == {"follow-rest"}


def test_all_faults_are_told_at_once_in_the_order_of_the_file() -> None:
    told = faults(HEAD + "  swing: 12\n  bore: x\npieces:\n  - {kind: nothing-such}\n")
    assert [fault.split(":")[1] for fault in told] == ["6", "7", "9"]


@pytest.mark.parametrize(
    "data",
    [b"", b"\x00", b"[]", b"{", b"hello", b"format: 1\nsubject: kinds\n", b"a: &x [*x]\n",
     b"\xff\xfe\x00", b"- 1\n", b"\t- x", "größe".encode("latin-1"), b"{\"tables\": {}}"],
)  # fmt: skip
def test_what_is_no_count_sheet_is_refused_with_one_error(data: bytes) -> None:
    assert faults(data)


@given(st.binary(max_size=200))
@settings(max_examples=100)
def test_random_bytes_never_raise_anything_else(data: bytes) -> None:
    with pytest.raises(FileError):
        read(data)


def test_prices_are_read_in_the_sheets_own_currency() -> None:
    sheet = read(HEAD + "  asking: 1200\nsettings: {currency: GBP}\n")
    assert sheet.machine.asking == Money(120000, "GBP")


def test_the_schema_knows_kinds_and_fields() -> None:
    schema = sheet_schema(CATALOGUE)
    assert schema["required"] == ["format", "subject", "machine"]
    assert "chuck-3-jaw" in str(schema["properties"]["pieces"])
    assert "steady-rest" in replace(CATALOGUE.kinds["steady-rest"]).id


def test_a_finding_that_is_the_sellers_word_reads_back_as_that() -> None:
    sheet = read(HEAD + "findings:\n  - {kind: half-nut-wear, note: he says so, seen: no}\n")
    (found,) = sheet.visit.findings
    assert (found.seen, found.note) == (False, "he says so")
    assert read(write_sheet(sheet)) == sheet
