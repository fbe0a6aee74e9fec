"""``kitreckon identify`` takes lengths as people type them and names what fits best."""

from __future__ import annotations

import json
from typing import Any

import pytest

from kitreckon.commands import main


def identified(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    assert main(["identify", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


# The same taper in inches, in fractions and in millimetres.
@pytest.mark.parametrize(
    "typed",
    [
        ("--large", ".938in", "--small", ".778in", "--length", "3-3/16in"),
        ("--large", '0.938"', "--small", "0.778 inch", "--length", '3 3/16"'),
        ("--large", "23.825mm", "--small", "19.761 mm", "--length", "80,96mm"),
    ],
)
def test_a_morse_3_taper_is_named(
    typed: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    found = identified(capsys, *typed)
    best = found["candidates"][0]
    assert (best["name"], best["system"]) == ("MT3", "Morse")
    assert {"name", "system", "error_mm", "probability", "note"} <= set(best)
    assert set(found) >= {"candidates", "none_probability", "measure_next"}


def test_probabilities_add_up_to_one(capsys: pytest.CaptureFixture[str]) -> None:
    found = identified(capsys, "--large", "31mm", "--small", "29mm", "--length", "40mm")
    total = sum(one["probability"] for one in found["candidates"]) + found["none_probability"]
    assert total == pytest.approx(1, abs=0.01)


def test_a_thread_is_named_by_diameter_and_pitch(capsys: pytest.CaptureFixture[str]) -> None:
    found = identified(capsys, "--thread", "2.24in", "--pitch", "8tpi")
    assert found["candidates"][0]["name"] == "2-1/4-8"


def test_a_nose_is_named_by_studs_and_register(capsys: pytest.CaptureFixture[str]) -> None:
    found = identified(capsys, "--studs", "3", "--register", "63.5mm")
    assert found["candidates"][0]["name"] == "D1-4"


def test_a_socket_is_named_by_two_bars(capsys: pytest.CaptureFixture[str]) -> None:
    arguments = "--wide 23mm --wide-depth 16mm --narrow 21mm --narrow-depth 56mm"
    assert identified(capsys, *arguments.split())["candidates"]


def test_a_collet_is_named_by_its_body(capsys: pytest.CaptureFixture[str]) -> None:
    found = identified(capsys, "--collet", "--body", "1.25in")
    assert found["candidates"][0]["name"] == "5C"


def test_the_body_is_that_of_a_collet_though_none_is_named(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert identified(capsys, "--body", "1.25in")["candidates"][0]["name"] == "5C"


def test_inches_are_told_where_no_length_was_typed(capsys: pytest.CaptureFixture[str]) -> None:
    assert "D1-5 3.25in" in identified(capsys, "--studs", "6")["measure_next"]


def test_who_measures_in_inches_reads_inches(capsys: pytest.CaptureFixture[str]) -> None:
    typed = ["--large", ".938in", "--small", ".778in", "--length", "3-3/16in"]
    assert main(["identify", *typed]) == 0
    inches = capsys.readouterr().out
    assert "under 0.0005in" in inches
    assert "mm" not in inches
    assert main(["identify", *typed, "--units", "mm"]) == 0
    assert "under 0.01mm" in capsys.readouterr().out


@pytest.mark.parametrize(
    "arguments", ["--studs 6", "--collet --length 40mm", "--collet --pitch 20tpi"]
)
def test_no_error_is_told_of_what_was_not_measured(
    arguments: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["identify", *arguments.split()]) == 0
    told = capsys.readouterr().out
    assert "Chance" in told
    assert "Off by" not in told
    assert "under 0.0" not in told
    found = identified(capsys, *arguments.split())
    assert {one["error_mm"] for one in found["candidates"]} == {None}


def test_a_thread_between_its_limits_is_not_told_to_be_off(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["identify", "--thread", "2.24in", "--pitch", "8tpi"]) == 0
    told = capsys.readouterr().out
    assert "within limits" in told
    assert "0.01in below the nominal size, as threads are made" in told
    assert "under 0.0005in" not in told
    best = identified(capsys, "--thread", "2.24in", "--pitch", "8tpi")["candidates"][0]
    assert (best["error_mm"], best["in_limits"]) == (0, True)


def test_what_has_a_thread_is_told_with_the_part_that_has_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["identify", "--thread", "1.12in", "--pitch", "12tpi"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "unified fine bolts, the studs for a D1-20 nose" in told


def test_text_says_what_to_measure_next(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["identify", "--thread", "38mm"]) == 0
    assert "Measure next" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "nothing was measured"),
        (["--large", "3"], "--large: 3 has no unit"),
        (["--large", "x", "--small", "1in", "--length", "2in"], "--large"),
        (["--large", "1in"], "--small and --length not given"),
        (["--large", "1in", "--small", "2in", "--length", "2in"], "is not below the larger"),
        (["--large", "1in", "--small", "0.9in", "--length", "80,963mm"], "two ways"),
        (["--thread", "1in", "--pitch", "8"], "pitch"),
        (["--studs", "-3"], ""),
        (["--pitch", "8tpi"], "--thread not given"),
        (["--length", "40mm"], "--large and --small of a taper, or --collet"),
        (["--narrow", "1in"], "--wide and --wide-depth and --narrow-depth not given"),
        (["--studs", "3", "--large", "1in"], "a taper has no --studs"),
        (["--thread", "1in", "--balls"], "a socket has no --thread"),
        (["--collet", "--register", "1in"], "a collet has no --register"),
        (
            ["--wide=23mm", "--wide-depth=56mm", "--narrow=21mm", "--narrow-depth=16mm"],
            "the narrower goes in no deeper than the wider",
        ),
    ],
)
def test_what_cannot_be_is_refused(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["identify", *arguments]) == 1
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith("kitreckon: ")
    assert said in captured.err
