"""Amounts in a typed line: what putting a piece right costs, what the seller wants for it."""

from __future__ import annotations

import re
from dataclasses import replace

from kitreckon.quantities import Money, read_money
from kitreckon.screens.details import Details

NOTE = re.compile(r"\bnote:", re.IGNORECASE)
_AMOUNT = r"(-?[$£€]?\d+(?:[.,']\d+)*k?)(?![\w/\"'-])"
_REPAIR = re.compile(
    rf"\b(?:repairs?|mend(?:ing)?|put(?:ting)? (?:it )?right)(?: costs?)?:? +{_AMOUNT}"
    r"(?: +(?:for|of)\b *([^,;]*))?",
    re.IGNORECASE,
)
_REPAIRED = re.compile(r"repaired|mended|put right", re.IGNORECASE)
_WANTS = re.compile(rf"\b(?:he )?wants +{_AMOUNT}", re.IGNORECASE)
_COMMAS = re.compile(r"^\s*,\s*|\s*,(?=\s*(?:,|$))")


def read_amounts(text: str, currency: str) -> tuple[Details, str]:
    """Return what a line says of a repair and of the seller's own price, and the rest of it.

    "repair 40", "repair 40 for a jaw screw", "repaired"; "he wants 30". What stands in a note is
    left there. Raises QuantityError for an amount that is no price.
    """
    said, mark, note = NOTE.sub(";", text).partition(";")
    if _REPAIRED.fullmatch(said.strip()) and not mark:
        return Details(repair=Money.zero(currency)), ""
    details = Details()
    for pattern, name in ((_REPAIR, "repair"), (_WANTS, "floor")):
        found = pattern.search(said)
        if found is None:
            continue
        amount = read_money(found[1], currency)
        details = replace(details, **{name: amount})  # type: ignore[arg-type]  # both are money
        if name == "repair":
            details = replace(details, repair_of=(found[2] or "").strip())
        said = _COMMAS.sub("", without(said, found)).strip(" .")
    return details, (f"{said}{mark}{note}" if details.said else text)


def without(text: str, found: re.Match[str]) -> str:
    """Return a text without what was found in it."""
    return (text[: found.start()] + " " + text[found.end() :]).strip()
