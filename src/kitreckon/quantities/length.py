"""Lengths as machinists type them: fractions of an inch, millimetres, and what was typed kept."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from kitreckon.quantities.errors import QuantityError

Unit = Literal["mm", "in"]
MM_PER_INCH = Fraction(254, 10)
MOST_MM = 10_000_000
_NOMINAL = Fraction(3, 100)  # a size is called by the nearest half inch within this share
_EXAMPLE = 'a length such as 8in, 1-1/2" or 200mm'
_TO_MM: dict[str, tuple[Unit, Fraction]] = {
    "mm": ("mm", Fraction(1)),
    "cm": ("mm", Fraction(10)),
    "m": ("mm", Fraction(1000)),
    "in": ("in", Fraction(1)),
    "ft": ("in", Fraction(12)),
}
_UNIT_WORDS = {
    '"': "in",
    "in": "in",
    "in.": "in",
    "ins": "in",
    "inch": "in",
    "inches": "in",
    "''": "in",
    "mm": "mm",
    "mms": "mm",
    "millimetre": "mm",
    "millimetres": "mm",
    "millimeter": "mm",
    "millimeters": "mm",
    "cm": "cm",
    "m": "m",
    "metre": "m",
    "metres": "m",
    "meter": "m",
    "meters": "m",
    "ft": "ft",
    "foot": "ft",
    "feet": "ft",
    "'": "ft",
    "thou": "thou",
}
_NUMBER = re.compile(
    r"""(?:(?P<whole>\d+)(?:\s*-\s*|\s+))?(?P<over>\d{1,6})\s*/\s*(?P<under>\d{1,6})
      |(?P<decimal>\d*[.,]\d{1,9}|\d+\.?)""",
    re.ASCII | re.VERBOSE,
)
_MANY_DECIMALS = re.compile(r"\d*[.,]\d{10,}", re.ASCII)
_SHAPE = re.compile(r"""(?P<number>[\d\s.,/-]+)\s*(?P<unit>[a-z.]+|"|'{1,2})?""", re.ASCII)


_FEET_AND_INCHES = re.compile(
    r"""(?P<feet>\d+)\s*(?:'|ft\.?|foot|feet)\s*-?\s*
        (?P<inches>\d[\d\s./-]*?)\s*(?:"|''|in\.?|ins|inch|inches)""",
    re.ASCII | re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class Length:
    """A length as typed: ``amount`` in ``unit`` (None where no unit was given), and the text.

    Two lengths are equal when amount and unit are; the text is only what is shown.
    """

    amount: Fraction
    unit: Unit | None
    text: str = field(default="", compare=False)

    @classmethod
    def of_mm(cls, mm: float | Fraction) -> Length:
        """Return a length in millimetres, to the nearest tenth of a micrometre."""
        return cls(Fraction(mm).limit_denominator(10_000), "mm")

    @classmethod
    def of_in(cls, inches: float | Fraction) -> Length:
        """Return a length in inches, to the nearest hundred-thousandth."""
        return cls(Fraction(inches).limit_denominator(100_000), "in")

    @property
    def mm(self) -> float:
        """The length in millimetres; raises QuantityError where the unit is not known."""
        if self.unit is None:
            raise QuantityError(
                f"{self.text or self.amount} has no unit", want="in or mm after the number"
            )
        return float(self.amount * (MM_PER_INCH if self.unit == "in" else 1))

    def __str__(self) -> str:
        return self.text or show_length(self, self.unit or "mm")


def known_mm(length: Length | None) -> float | None:
    """Return a length in mm; None when it is not known or carries no unit.

    >>> known_mm(read_length("1in")), known_mm(read_length("1")), known_mm(None)
    (25.4, None, None)
    """
    return None if length is None or length.unit is None else length.mm


def read_length(text: str, unit_if_bare: Unit | None = None) -> Length:
    """Return the length typed, keeping the text.

    Reads fractions (1-1/2, 3/8, 1½), decimals with point or comma, in (", inch) and mm (cm, m
    and ft are turned into those), feet with inches (1' 6"). ``unit_if_bare`` is the unit of a
    bare number. Raises QuantityError for what is not a length, for 1,200 (thousand or
    decimals?), zero under a fraction line and over 10,000,000 mm.

    >>> read_length('1-1/2"').mm, read_length("12,5 mm").mm, str(read_length("1½in"))
    (38.1, 12.5, '1½in')
    """
    typed = text.strip()
    if not typed or len(typed) > 40:
        raise QuantityError(f"{typed[:40]!r} is not a length", want=_EXAMPLE)
    plain = _plain(typed)
    unit, amount = _feet_and_inches(plain, typed) or _one_figure(plain, typed, unit_if_bare)
    if amount * (MM_PER_INCH if unit == "in" else 1) > MOST_MM:
        raise QuantityError(f"{typed!r} is over 10,000,000 mm", want=_EXAMPLE)
    return Length(amount, unit, typed)


def _feet_and_inches(plain: str, typed: str) -> tuple[Unit, Fraction] | None:
    match = _FEET_AND_INCHES.fullmatch(plain)
    if match is None:
        return None
    inches = _number(match["inches"].strip(), typed)
    if inches >= 12:
        raise QuantityError(f"{typed!r} has a foot or more of inches", want=_EXAMPLE)
    return "in", int(match["feet"]) * 12 + inches


def _one_figure(plain: str, typed: str, unit_if_bare: Unit | None) -> tuple[Unit | None, Fraction]:
    match = _SHAPE.fullmatch(plain)
    if match is None:
        raise QuantityError(f"{typed!r} is not a length", want=_EXAMPLE)
    amount = _number(match["number"].strip(), typed)
    return _in_unit(amount, match["unit"], typed, unit_if_bare)


def _plain(typed: str) -> str:
    """Spell vulgar fractions, primes and dashes in ASCII, so that one shape reads them all."""
    out: list[str] = []
    for character in typed:
        if unicodedata.decomposition(character).startswith("<fraction>"):
            spelt = unicodedata.normalize("NFKC", character).replace("\u2044", "/")
            out.append(f" {spelt}")
        else:
            out.append(_SPELT.get(character, character))
    return "".join(out).strip().lower()


_SPELT = {
    "″": '"',
    "”": '"',
    "“": '"',
    "′": "'",
    "’": "'",
    "\u2044": "/",
    "\u2010": "-",
    "\u2011": "-",
    "\u2013": "-",
    "\u00a0": " ",
}


def _number(bare: str, typed: str) -> Fraction:
    match = _NUMBER.fullmatch(bare)
    if match is None and _MANY_DECIMALS.fullmatch(bare):
        raise QuantityError(f"{typed!r} has more than nine decimals", want=_EXAMPLE)
    if match is None:
        raise QuantityError(f"{typed!r} is not a length", want=_EXAMPLE)
    if match["under"] is None:
        return _decimal(match["decimal"], typed)
    over, under = int(match["over"]), int(match["under"])
    if under == 0 or (match["whole"] is not None and over >= under):
        raise QuantityError(f"{typed!r} has a fraction that cannot be", want=_EXAMPLE)
    return Fraction(over, under) + int(match["whole"] or 0)


def _decimal(bare: str, typed: str) -> Fraction:
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", bare, re.ASCII):
        raise QuantityError(
            f"{typed!r} can be read two ways", want="the number without its comma, or with a point"
        )
    digits = bare.replace(",", ".").rstrip(".")
    return Fraction(f"0{digits}" if digits.startswith(".") else digits)


def _in_unit(
    amount: Fraction, word: str | None, typed: str, unit_if_bare: Unit | None
) -> tuple[Unit | None, Fraction]:
    if word is None:
        return unit_if_bare, amount
    name = _UNIT_WORDS.get(word)
    if name is None:
        raise QuantityError(f"{word!r} in {typed!r} is not a unit of length", want="in or mm")
    if name == "thou":
        return "in", amount / 1000
    unit, factor = _TO_MM[name]
    return unit, amount * factor


def show_length(length: Length, unit: Unit) -> str:
    """Return the length in ``unit``; what was typed stays as typed where it is in that unit.

    Inches show as a fraction where they are one to the 64th, else to the thousandth. A length of
    unknown unit shows its figure alone.

    >>> show_length(Length.of_mm(200), "in"), show_length(Length.of_in(8), "mm")
    ('7.874in', '203.2mm')
    >>> show_length(Length.of_in(Fraction(3, 2)), "in")
    '1-1/2in'
    """
    if length.unit is None:
        return length.text or _figure(length.amount)
    if length.unit == unit and length.text:
        return length.text
    amount = length.amount
    if length.unit != unit:
        amount = amount * MM_PER_INCH if unit == "mm" else amount / MM_PER_INCH
    if unit == "in" and length.unit == "in" and 64 % amount.denominator == 0:
        return f"{_fraction(amount)}in"
    places = 3 if unit == "in" else 2
    digits = f"{float(amount):.{places}f}".rstrip("0").rstrip(".")
    return f"{digits}{unit}"


def nominal_length(length: Length, unit: Unit) -> Length:
    """Return a size as the trade names it in ``unit``: a 200 mm chuck is called 8 in.

    Only for sizes that stand for a size class (a wanted chuck, a drill chuck's capacity), never
    for a measurement. Inches: halves, else sixteenths below 2 in, quarters below 6 in, whole
    inches above; millimetres: whole ones. Common practice, no source.

    >>> [str(nominal_length(Length.of_mm(mm), "in")) for mm in (13, 16, 50, 100, 160, 200, 315)]
    ['1/2in', '5/8in', '2in', '4in', '6in', '8in', '12in']
    >>> str(nominal_length(Length.of_in(6), "mm"))
    '152mm'
    """
    if length.unit in (None, unit):
        return length
    if unit == "mm":
        return Length(Fraction(round(length.mm)), "mm")
    inches = Fraction(length.amount) / MM_PER_INCH
    parts = 16 if inches < 2 else 4 if inches < 6 else 1
    half = Fraction(round(inches * 2), 2)
    if inches < 2 and abs(half - inches) <= inches * _NOMINAL:
        return Length(half, "in")
    return Length(Fraction(max(1, round(inches * parts)), parts), "in")


def _figure(amount: Fraction) -> str:
    if 64 % amount.denominator == 0:
        return _fraction(amount)
    if 10**9 % amount.denominator == 0:
        return f"{Decimal(amount.numerator) / amount.denominator:f}"
    return str(amount)


def _fraction(amount: Fraction) -> str:
    whole, rest = divmod(amount.numerator, amount.denominator)
    if not rest:
        return str(whole)
    part = f"{rest}/{amount.denominator}"
    return f"{whole}-{part}" if whole else part
