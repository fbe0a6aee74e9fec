"""What people type for a length, and what it is taken for."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kitreckon.quantities import Length, QuantityError, read_length, show_length


@pytest.mark.parametrize(
    ("typed", "amount", "unit"),
    [
        ("1-1/2", Fraction(3, 2), None),
        ('1 1/2"', Fraction(3, 2), "in"),
        ("1½″", Fraction(3, 2), "in"),
        ('1 ½"', Fraction(3, 2), "in"),
        ("3/8", Fraction(3, 8), None),
        ("13/16", Fraction(13, 16), None),
        ("5/4", Fraction(5, 4), None),
        ("1⁄2", Fraction(1, 2), None),
        (".5", Fraction(1, 2), None),
        ("200mm", Fraction(200), "mm"),
        ("200 mm", Fraction(200), "mm"),
        ("8 in", Fraction(8), "in"),
        ('8"', Fraction(8), "in"),
        ("8”", Fraction(8), "in"),
        ("12,5 mm", Fraction(25, 2), "mm"),
        ("4 1/16in", Fraction(65, 16), "in"),
        (".938in", Fraction(938, 1000), "in"),
        ("17.78mm", Fraction(1778, 100), "mm"),
        ("5ft", Fraction(60), "in"),
        ("1.5m", Fraction(1500), "mm"),
        ("30cm", Fraction(300), "mm"),
        ("5 thou", Fraction(5, 1000), "in"),
        ("0,125mm", Fraction(1, 8), "mm"),
        ("1' 6\"", Fraction(18), "in"),
        ("5'6½″", Fraction(133, 2), "in"),
        ("1 ft 6 in", Fraction(18), "in"),
        ("2' 0\"", Fraction(24), "in"),
    ],
)
def test_a_length_is_read_as_typed(typed: str, amount: Fraction, unit: str | None) -> None:
    length = read_length(typed)
    assert (length.amount, length.unit, str(length)) == (amount, unit, typed)


NO_LENGTHS = [
    "1,200",
    "-5",
    "+5",
    "1e3",
    "nan",
    "inf",
    "1_000",
    "٣",
    "",
    " ",
    "1/0",
    "1' 12\"",
    "1' 6mm",
    "1 5/4",
    "1-1-2",
    "1.2.3",
    "99999999999",
    "8 furlongs",
    "eight",
    "8in8",
    "1e9999999",
    "3/",
    "/4",
    "11111111111111111111111111111111111111111",
]


@pytest.mark.parametrize("typed", NO_LENGTHS)
def test_what_is_no_length_is_refused_with_an_example(typed: str) -> None:
    with pytest.raises(QuantityError) as refused:
        read_length(typed)
    assert refused.value.what
    assert refused.value.want


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("40000000000000", "over 10,000,000 mm"),
        ("40000000000000mm", "over 10,000,000 mm"),
        ("1000000000' 6\"", "over 10,000,000 mm"),
        ("5000000000 1/2in", "over 10,000,000 mm"),
        ("1.12345678901in", "more than nine decimals"),
    ],
)
def test_a_length_out_of_bounds_is_told_to_be_that(typed: str, said: str) -> None:
    with pytest.raises(QuantityError, match=said):
        read_length(typed)


def test_a_bare_number_takes_the_unit_of_its_field() -> None:
    assert read_length("8", "in").mm == pytest.approx(203.2)
    with pytest.raises(QuantityError, match="no unit"):
        _ = read_length("8").mm


def test_what_was_typed_is_shown_in_its_own_unit_and_converted_in_the_other() -> None:
    assert show_length(read_length('1 1/2"'), "in") == '1 1/2"'
    assert show_length(read_length('1 1/2"'), "mm") == "38.1mm"
    assert show_length(Length.of_mm(25.4), "in") == "1in"
    assert show_length(Length.of_in(Fraction(13, 16)), "in") == "13/16in"


@pytest.mark.parametrize(
    ("amount", "shown"),
    [(Fraction(8), "8"), (Fraction(3, 2), "1-1/2"), (Fraction(469, 500), "0.938")],
)
def test_a_length_of_unknown_unit_shows_its_figure_alone(amount: Fraction, shown: str) -> None:
    length = Length(amount, None)
    assert show_length(length, "in") == show_length(length, "mm") == str(length) == shown
    assert read_length(shown) == length


def test_the_inch_is_25_4_mm_exactly() -> None:
    # Source: definition of the international inch, 1959; pint's registry agrees.
    import pint

    registry = pint.UnitRegistry()
    for typed in ("1in", "8in", "13/16in", "4 1/16in"):
        length = read_length(typed)
        pints = (float(length.amount) * registry.inch).to("mm").magnitude
        assert length.mm == pytest.approx(pints, abs=1e-9)


@given(st.fractions(min_value=0, max_value=1000, max_denominator=64), st.sampled_from(["in", "mm"]))
def test_what_is_shown_reads_back(amount: Fraction, unit: str) -> None:
    length = Length(amount, unit)  # type: ignore[arg-type]
    shown = show_length(length, unit)  # type: ignore[arg-type]
    assert read_length(shown).mm == pytest.approx(length.mm, abs=0.013)


@settings(max_examples=600)
@given(st.text(max_size=60) | st.text(alphabet="0123456789.,/- \"'inm½″", max_size=20))
def test_any_text_is_a_length_or_a_refusal(typed: str) -> None:
    try:
        length = read_length(typed)
    except QuantityError:
        return
    assert length.amount >= 0
    assert length.text == typed.strip()
