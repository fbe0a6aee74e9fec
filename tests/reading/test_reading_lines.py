"""The table of our own lines: each phenomenon holds, and the whole reaches what was promised."""

from __future__ import annotations

from collections import defaultdict
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from kitreckon.catalogue.load import open_catalogue
from kitreckon.reading import Reader, TextReading

LINES = Path(__file__).parent / "lines.yaml"


@cache
def reader() -> Reader:
    catalogue = open_catalogue()
    return Reader(catalogue.kinds, catalogue.rules)


@cache
def lines() -> list[dict[str, Any]]:
    return yaml.load(LINES.read_text(encoding="utf-8"), yaml.BaseLoader)["lines"]


@cache
def readings() -> list[tuple[dict[str, Any], TextReading]]:
    return [(line, reader().read_line(line["text"])) for line in lines()]


def is_right(line: dict[str, Any], reading: TextReading) -> bool:
    kind = reading.pieces[0].kind if reading.pieces else "other"
    return kind == line["kind"] or kind in line.get("alt", ())


def test_the_table_has_lines_enough_for_every_phenomenon():
    assert len(lines()) >= 150
    assert len({line["about"] for line in lines()}) >= 20
    named = {line["kind"] for line in lines()}
    kinds = open_catalogue().kinds
    assert named <= {*kinds, "other"}
    assert len(named) >= 80


def test_the_kind_is_right_on_nearly_every_line():
    right = [is_right(line, reading) for line, reading in readings()]
    assert sum(right) / len(right) >= 0.95


@pytest.mark.parametrize("about", sorted({line["about"] for line in lines()}))
def test_each_phenomenon_is_read(about: str):
    wrong = [
        line["text"]
        for line, reading in readings()
        if line["about"] == about and not is_right(line, reading)
    ]
    count = sum(1 for line in lines() if line["about"] == about)
    assert len(wrong) <= max(1, count // 12), wrong


def facts(name: str) -> dict[bool, list[str]]:
    found: dict[bool, list[str]] = defaultdict(list)
    for line, reading in readings():
        if line["kind"] == "other" or not reading.pieces or not is_right(line, reading):
            continue
        piece = reading.pieces[0]
        if name == "size_mm":
            got = piece.size.mm if piece.size else None
            want = float(line["size_mm"]) if "size_mm" in line else None
            same = (got is None) == (want is None) and abs((got or 0) - (want or 0)) < 0.05
        elif name == "state":
            same = (piece.state == "absent") == ("absent" in line)
        else:
            got = getattr(piece, name)
            want = line.get(name, "1" if name == "qty" else None)
            same = (str(got) if got is not None else None) == want
        found[same].append(line["text"])
    return found


@pytest.mark.parametrize(
    ("name", "least"),
    [("qty", 0.98), ("set_of", 0.98), ("size_mm", 0.98), ("mount", 0.98), ("state", 0.99)],
)
def test_what_is_said_beside_the_kind_is_read(name: str, least: float):
    found = facts(name)
    assert len(found[True]) / (len(found[True]) + len(found[False])) >= least, found[False]


def test_what_is_taken_unasked_is_nearly_always_right():
    taken = [(line, r) for line, r in readings() if r.pieces and r.pieces[0].taken]
    right = [is_right(line, reading) for line, reading in taken]
    assert len(taken) / len(lines()) >= 0.5
    assert sum(right) / len(right) >= 0.97
