"""Lengths, money, counts and designations: read what people type, print it back.

Everything typed passes clean_text at the border, then a shape check, then the conversion; the
limits come first so that no text, however long or odd, can hang or raise anything but
QuantityError.
"""

from kitreckon.quantities.counts import read_count, read_speed
from kitreckon.quantities.designation import (
    Designation,
    canonical_designation,
    find_designations,
    read_designation,
    steep_cone,
)
from kitreckon.quantities.errors import QuantityError
from kitreckon.quantities.length import (
    Length,
    Unit,
    known_mm,
    nominal_length,
    read_length,
    show_length,
)
from kitreckon.quantities.money import Money, in_other_money, read_money, show_money
from kitreckon.quantities.range import Range
from kitreckon.quantities.text import clean_text

__all__ = [
    "Designation",
    "Length",
    "Money",
    "QuantityError",
    "Range",
    "Unit",
    "canonical_designation",
    "clean_text",
    "find_designations",
    "in_other_money",
    "known_mm",
    "nominal_length",
    "read_count",
    "read_designation",
    "read_length",
    "read_money",
    "read_speed",
    "show_length",
    "show_money",
    "steep_cone",
]
