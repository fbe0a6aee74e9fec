"""The columns of a count as a table: every fact of a piece, and what it is called."""

from __future__ import annotations

# "thing" is its name for people; every other column is the field of a Piece of that name.
COLUMNS = (
    "qty", "kind", "thing", "set_of", "set_has", "size", "mount", "back", "condition",
    "parts_missing", "repair", "repair_of", "unsafe", "readings", "marked_rpm", "body", "tried",
    "his", "seen", "floor", "low_height", "high_height", "photo", "note", "text",
)  # fmt: skip
