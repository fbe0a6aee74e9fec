"""The looks: dark, light, and plain for terminals that should show no colour of ours."""

from __future__ import annotations

from dataclasses import replace

from textual.theme import BUILTIN_THEMES, Theme

DARK = Theme(
    name="sheet-dark",
    primary="#d8d4c8",
    foreground="#e6e2d6",
    background="#161714",
    surface="#161714",
    panel="#22231f",
    error="#ff8f6b",
    warning="#e8c268",
    success="#9fc79a",
    accent="#d8d4c8",
    dark=True,
)
LIGHT = Theme(
    name="sheet-light",
    primary="#2b2a26",
    foreground="#1d1c19",
    background="#f6f3ea",
    surface="#f6f3ea",
    panel="#e7e3d6",
    error="#a32b00",
    warning="#7a5a00",
    success="#2d5f2a",
    accent="#2b2a26",
    dark=False,
)
_TERMINAL = "ansi_default"
PLAIN = replace(
    BUILTIN_THEMES["ansi-dark"],
    name="sheet-plain",
    primary=_TERMINAL,
    secondary=_TERMINAL,
    warning=_TERMINAL,
    error=_TERMINAL,
    success=_TERMINAL,
    accent=_TERMINAL,
)
LOOKS = (DARK, LIGHT, PLAIN)


def look_of(chosen: str, *, no_colour: bool) -> str:
    """Return the name of the look to use; no colour at all outranks the choice."""
    return "sheet-plain" if no_colour else f"sheet-{chosen}"
