"""``kitreckon check`` tells every fault with file, line, column, what was found, and a remedy."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from kitreckon.catalogue.load import catalogue_folder
from kitreckon.commands import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
KIND = """format: 1
subject: kinds
group: workholding
kinds:
  chuck-odd:
    british: [odd chuck]
    american: [odd chuck]
    seats: [spindle-nos]
    comon: yes
"""


def test_examples_have_no_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", *map(str, sorted(EXAMPLES.glob("*.yaml")))]) == 0
    assert "no faults" in capsys.readouterr().out


def test_our_own_catalogue_has_no_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(catalogue_folder())]) == 0, capsys.readouterr().out


def test_all_faults_of_a_catalogue_file_are_told_at_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "kinds.yaml"
    file.write_text(KIND)
    assert main(["check", str(file)]) == 1
    out = capsys.readouterr().out
    assert f"{file}:8:13: kinds.chuck-odd.seats.1: unknown word 'spindle-nos'" in out
    assert "did you mean 'spindle-nose'?" in out
    assert f"{file}:9:5" in out
    assert "2 faults" in out


def test_a_folder_is_checked_whole(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "kinds").mkdir()
    (tmp_path / "kinds" / "mine.yaml").write_text(KIND)
    (tmp_path / "sheet.yaml").write_text("format: 1\nsubject: count\n")
    assert main(["check", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert "mine.yaml:8:13" in out
    assert "sheet.yaml:1:1" in out


OVERLAY = """format: 1
subject: prices
currency: USD
prices:
  caliper:
    points:
      - {supply: used, low: 8, typical: 15, high: 30, year: 2026, basis: estimate, source: sales}
"""


def test_an_entry_over_ours_needs_only_the_fields_that_differ(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "mine.yaml"
    file.write_text(OVERLAY)
    assert main(["check", str(file)]) == 0, capsys.readouterr().out
    file.write_text(OVERLAY.replace("caliper", "thing-of-mine"))
    assert main(["check", str(file)]) == 1
    assert "'unit' is missing" in capsys.readouterr().out


def test_json_gives_the_faults_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "kinds.yaml"
    file.write_text(KIND)
    assert main(["check", str(file), "--json"]) == 1
    first, *_ = json.loads(capsys.readouterr().out)["problems"]
    assert first["file"] == str(file)
    assert {"line", "column", "found", "remedy"} <= set(first)


@pytest.mark.parametrize(
    "subject", ["count", "kinds", "prices", "outfit", "findings", "words", "kind-words"]
)
def test_every_subject_has_a_schema(subject: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--schema", subject]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert schema["$schema"].endswith("2020-12/schema")
    assert schema["type"] == "object"
    assert "format" in schema["properties"]


def test_an_unknown_subject_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--schema", "kind"]) == 1
    assert "'kinds'" in capsys.readouterr().err


@pytest.mark.parametrize("path", ["nowhere.yaml", "nowhere"])
def test_a_path_that_is_not_there_is_named(path: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", path]) == 1
    out = capsys.readouterr().out
    assert f"{path}: No such file or directory" in out
    assert "no files checked: 1 fault" in out


def test_a_subject_that_is_none_is_told_with_all_there_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "sheet.yaml"
    file.write_text("format: 1\nsubject: cuont\n")
    assert main(["check", str(file)]) == 1
    told = capsys.readouterr().out
    assert f"{file}:2:10: unknown subject 'cuont'; did you mean 'count'?" in told


def test_a_very_long_text_leaves_what_would_be_right_in_the_message(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    head, long = "format: 1\nsubject: count\nmachine: {name: x, class: bench-lathe}\n", "x" * 5_000
    kept, kind = tmp_path / "kept.yaml", tmp_path / "kind.yaml"
    kept.write_text(f"{head}pieces: [{long}]\n")
    kind.write_text(f"{head}pieces: [{{kind: {'y' * 900}}}]\n")
    assert main(["check", str(kept), str(kind), str(tmp_path / long)]) == 1
    told = capsys.readouterr().out.splitlines()
    assert any(line.endswith("write it with kind: ... (not a fault)") for line in told)
    assert any("unknown word" in line and line.endswith("lists the words") for line in told)
    assert any(line.endswith("check the name and the rights of the file") for line in told)


def test_what_cannot_be_read_hides_no_fault_of_the_other_paths(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "kinds.yaml").write_text(KIND)
    (tmp_path / "tab.yaml").write_text("format: 1\n\tsubject: count\n")
    (tmp_path / "picture.yaml").write_bytes(b"\x89PNG\xff\x00")
    (tmp_path / "empty.yaml").write_text("")
    (tmp_path / "nothing").mkdir()
    names = ("gone", "tab.yaml", "nothing", "picture.yaml", "empty.yaml", "x" * 300, "kinds.yaml")
    paths = [str(tmp_path / name) for name in names] + ["~nobody-of-this-name/sheet.yaml"]
    assert main(["check", *paths, "--json"]) == 1
    captured = capsys.readouterr()
    told = json.loads(captured.out)["problems"]
    assert {one["file"] for one in told} == set(paths)
    assert all(one["found"] and one["remedy"] for one in told)
    assert captured.err == ""


def test_a_folder_is_checked_past_what_is_no_file_in_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(tmp_path / "a-pipe.yaml")
    (tmp_path / "a-folder.yaml").mkdir()
    (tmp_path / "kinds.yaml").write_text(KIND)
    assert main(["check", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert "a-pipe.yaml: not an ordinary file" in out
    assert "a-folder.yaml: not an ordinary file" in out
    assert "kinds.yaml:8:13" in out


def test_a_users_folder_lies_over_our_catalogue(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "data" / "kitreckon" / "catalogs" / "kinds"
    own.mkdir(parents=True)
    (own / "mine.yaml").write_text(
        "format: 1\nsubject: kinds\ngroup: workholding\nkinds:\n  spider-thing:\n"
        "    british: [outboard spider]\n    american: [outboard spider]\n    seats: [machine]\n"
    )
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    text = tmp_path / "line.txt"
    text.write_text("outboard spider\n")
    assert main(["read", str(text), "--lines", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["pieces"][0]["kind"] == "spider-thing"


def test_a_bad_entry_is_left_out_and_told_and_the_rest_works(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "kinds").mkdir()
    (tmp_path / "kinds" / "mine.yaml").write_text(KIND)
    text = tmp_path / "line.txt"
    text.write_text("steady rest\n")
    assert main(["read", str(text), "--lines", "--json", "--catalogue", str(tmp_path)]) == 0
    captured = capsys.readouterr()
    assert json.loads(captured.out)["pieces"][0]["kind"] == "steady-rest"
    assert "left out" in captured.err
    assert "mine.yaml:8:13" in captured.err


def test_a_command_tells_one_line_of_a_file_with_many_faults(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "my catalogue"
    (folder / "kinds").mkdir(parents=True)
    odd = KIND.partition("kinds:\n  ")[2]
    more = "".join(f"  {odd.replace('chuck-odd', f'chuck-odd-{n}')}" for n in range(200))
    (folder / "kinds" / "many.yaml").write_text(KIND + more)
    (folder / "kinds" / "one.yaml").write_text("format: 1\nsubject: kinds\ngroup: [\n")
    text = tmp_path / "line.txt"
    text.write_text("steady rest\n")
    assert main(["read", str(text), "--catalogue", str(folder)]) == 0
    many, one, check = capsys.readouterr().err.splitlines()
    assert "many.yaml:8:13: kinds.chuck-odd.seats.1: unknown word 'spindle-nos'" in many
    assert many.endswith("(and 401 more in this file)")
    assert "one.yaml:" in one
    assert "more in this file" not in one
    assert check == f"kitreckon: kitreckon check '{folder}' tells them all"
    assert main(["check", str(folder)]) == 1
    assert "2 files checked: 403 faults" in capsys.readouterr().out


@pytest.mark.parametrize("command", ["reckon", "compare", "import", "export csv"])
def test_a_sheet_refused_for_a_kind_that_was_left_out_says_why_it_was(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "kinds").mkdir()
    (tmp_path / "kinds" / "mine.yaml").write_text(KIND.replace("american: [odd chuck]", "x: y"))
    sheet = tmp_path / "sheet.yaml"
    sheet.write_text(
        "format: 1\nsubject: count\nmachine: {name: x, class: bench-lathe}\n"
        "pieces: [{kind: chuck-odd}]\n"
    )
    folder, book = ["--catalogue", str(tmp_path)], ["--book", str(tmp_path / "book.json")]
    assert main([*command.split(), str(sheet), *folder, *book]) == 1
    told = capsys.readouterr().err
    assert "left out: " in told
    assert f"{sheet}:4:17: pieces.1.kind: unknown word 'chuck-odd'" in told


def test_a_catalogue_folder_that_is_not_there_is_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["form", "--catalogue", "nowhere"]) == 1
    assert "nowhere" in capsys.readouterr().err


def test_a_folder_is_checked_for_its_rules_of_reading(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "reading.yaml").write_text(
        "format: 1\nsubject: reading\nrules: {zzz: [a], presence: {here: [foo]}}\n"
    )
    assert main(["check", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert "reading.yaml:3:9: rules: unknown field 'zzz'" in out
    assert "1 file checked: 1 fault" in out
