"""``kitreckon read`` prints one object a line, in order, in the shape others rely on."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from kitreckon.commands import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
LINES = [
    "6in 3-jaw chuck D1-4, good",
    "set of 13 5C collets",
    "no steady rest",
    "",
    "qwzx blorf",
    "chuck",
]


@pytest.fixture
def lines(tmp_path: Path) -> Path:
    path = tmp_path / "lines.txt"
    path.write_text("\n".join(LINES) + "\n", "utf-8")
    return path


def test_lines_give_one_object_each_in_order(
    lines: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["read", str(lines), "--lines", "--json"]) == 0
    read = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [one["text"] for one in read] == LINES
    for one in read:
        assert 0 <= one["none_confidence"] <= 1
        for piece in one["pieces"]:
            assert {"kind", "qty", "set_of", "size_mm", "mount", "condition", "state"} <= set(piece)
            assert {"confidence", "taken", "others"} <= set(piece)
            assert piece["state"] in ("here", "absent")


def test_what_is_read_stands_in_its_field(lines: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["read", str(lines), "--lines", "--json"])
    read = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    chuck, collets, rest = (one["pieces"][0] for one in read[:3])
    assert chuck["kind"] == "chuck-3-jaw"
    assert chuck["size_mm"] == pytest.approx(152.4)
    assert (chuck["mount"], chuck["condition"], chuck["taken"]) == ("D1-4", "good", True)
    assert (collets["kind"], collets["set_of"], collets["qty"]) == ("collets-5c", 13, 1)
    assert (rest["kind"], rest["state"]) == ("steady-rest", "absent")
    assert read[4]["pieces"] == [] or not read[4]["pieces"][0]["taken"]
    assert not any(piece["taken"] for piece in read[5]["pieces"])


def test_each_of_several_sizes_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "line.txt"
    path.write_text("two 4 jaw chucks, 6in and 8in\n", "utf-8")
    assert main(["read", str(path), "--lines", "--json"]) == 0
    (piece,) = json.loads(capsys.readouterr().out)["pieces"]
    assert (piece["qty"], piece["size_mm"], piece["sizes_text"]) == (2, None, ["6in", "8in"])
    assert main(["read", str(path), "--lines"]) == 0
    assert "2 4-jaw chuck, 6in, 8in" in capsys.readouterr().out


def test_an_advert_gives_one_object_with_its_pieces(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", str(EXAMPLES / "advert.txt"), "--json"]) == 0
    read = json.loads(capsys.readouterr().out)
    kinds = {piece["kind"]: piece for piece in read["pieces"]}
    assert {"chuck-3-jaw", "steady-rest", "collets-5c", "toolpost-quick-change"} <= set(kinds)
    assert kinds["follow-rest"]["state"] == "absent"


def test_an_advert_as_text_fits_eighty_columns(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", str(EXAMPLES / "advert.txt")]) == 0
    out = capsys.readouterr().out
    assert "steady rest" in out
    assert max(len(line) for line in out.splitlines()) <= 80


def test_standard_input_is_read_where_no_file_is_given(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed = io.TextIOWrapper(io.BytesIO("½in drill chuck\r\nsteady rest".encode()), "utf-8")
    monkeypatch.setattr(sys, "stdin", typed)
    assert main(["read", "--lines", "--json"]) == 0
    read = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [one["pieces"][0]["kind"] for one in read] == ["drill-chuck", "steady-rest"]


@pytest.mark.parametrize(
    "data",
    [b"\xff\xfe\x00\x00", b"\x00" * 50, b"\xed\xa0\x80 chuck", b"x" * 50_000, b"\xef\xbb\xbfvise"],
)
def test_odd_bytes_are_read_as_far_as_they_go(
    data: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.txt"
    path.write_bytes(data)
    assert main(["read", str(path), "--lines", "--json"]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 1


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ("vise\n3 jaw chuck".encode("utf-16"), "not UTF-8, and read with gaps: lines 1, 2"),
        (b"vise\nR\xe9glet\nvise\n", "not UTF-8, and read with gaps: line 2"),
        (b"\0\n" * 9, "not UTF-8, and read with gaps: lines 1, 2, 3, 4, 5 and 4 more"),
        (b"vise " * 9_000 + b"\nvise\n", "over 20,000 bytes, and not read to the end: line 1"),
        ("é".encode() * 20_001, "over 20,000 bytes, and not read to the end: line 1"),
        ("Reitstock, Führung".encode(), ""),
    ],
)
def test_lines_that_are_not_read_whole_are_told(
    data: bytes, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.txt"
    path.write_bytes(data)
    assert main(["read", str(path), "--lines"]) == 0
    err = [line for line in capsys.readouterr().err.splitlines() if str(path) in line]
    assert err == ([f"kitreckon: {path}: {told}"] if told else [])


def test_a_text_too_long_to_be_read_at_once_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "long.txt"
    path.write_bytes(b"\n" * 20_000_001)
    assert main(["read", str(path)]) == 1
    assert f"{path}: too long to be read at once; --lines" in capsys.readouterr().err


@pytest.mark.parametrize("data", [bytes(range(256)) * 12, b"chuck \xe9\n", b"chuck\x00jaws"])
def test_what_is_no_text_is_not_read_as_an_advert(
    data: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bin.dat"
    path.write_bytes(data)
    assert main(["read", str(path)]) == 1
    captured = capsys.readouterr()
    assert captured.out == ""
    assert str(path) in captured.err


def test_a_line_that_is_cut_has_a_mark(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "long.txt"
    path.write_text("steady rest " * 400 + "\n")
    assert main(["read", str(path), "--lines"]) == 0
    assert " ...  ->  " in capsys.readouterr().out


def test_a_file_that_is_not_there_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["read", "nowhere.txt"]) == 1
    assert "nowhere.txt" in capsys.readouterr().err


def test_control_characters_never_reach_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "evil.txt"
    path.write_bytes(b"chuck \x1b]52;c;x\x07 3 jaw\n")
    assert main(["read", str(path), "--lines"]) == 0
    assert "\x1b" not in capsys.readouterr().out


def test_faults_of_the_machine_are_told_apart_from_its_pieces(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "advert.txt"
    path.write_text("12in lathe, 3 jaw chuck. No cracks. Half nuts are worn. May need belts.\n")
    assert main(["read", str(path), "--json"]) == 0
    (read,) = map(json.loads, capsys.readouterr().out.splitlines())
    assert read["findings"] == [
        {"kind": "half-nut-wear", "text": "Half nuts are worn", "sure": True, "danger": False},
        {"kind": "belts-perished", "text": "May need belts", "sure": False, "danger": False},
    ]
    assert main(["read", str(path)]) == 0
    shown = capsys.readouterr().out
    assert 'half nuts worn: "Half nuts are worn"' in shown
    assert "ask: belts" in shown
