"""File names made from what a user typed stay in their folder on every file system."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kitreckon.reports.file_names import safe_file_name, unlike

RESERVED = {"CON", "PRN", "AUX", "NUL", *(f"COM{n}" for n in range(1, 10))}


@pytest.mark.parametrize(
    "name",
    ["../../etc/passwd", "C:\\x", "con", "COM1.txt", "a/b", ".hidden", "-rf", "", " ", "...",
     "nul.tar", "a\x00b", "ｃｏｎ", "x" * 500, "name.", "a\nb", "~", "*?<>|", "LPT9"],
)  # fmt: skip
def test_hostile_name_stays_a_plain_file_name(name: str) -> None:
    made = safe_file_name(name, ".html")
    assert made.endswith(".html")
    assert not set(made) & set('/\\:*?"<>|\x00\n')
    assert made[0] not in ".-"
    assert made.split(".")[0].upper() not in RESERVED
    assert len(made) <= 60


@given(st.text())
def test_any_text_gives_a_name(text: str) -> None:
    made = safe_file_name(text)
    assert 0 < len(made) <= 60
    assert made.strip(" .") == made


def test_names_that_differ_only_by_case_are_kept_apart() -> None:
    assert unlike("Lathe.html", {"LATHE.html", "lathe-2.html"}) == "Lathe-3.html"
    assert unlike("mill.html", {"Lathe.html"}) == "mill.html"
