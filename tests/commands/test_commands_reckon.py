"""The commands that reckon print the shapes other programs rely on."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from kitreckon.commands import main

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SHEET = str(EXAMPLES / "lathe-12in.yaml")
OTHER = str(EXAMPLES / "lathe-13in.yaml")
VERDICTS = {"fits", "fits-with", "misfit", "unknown"}


@pytest.fixture(autouse=True)
def _no_book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KITRECKON_BOOK", str(tmp_path / "book.json"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))


def printed(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(arguments) == 0, capsys.readouterr().err
    return capsys.readouterr().out


def data_of(capsys: pytest.CaptureFixture[str], *arguments: str) -> Any:
    return json.loads(printed(capsys, *arguments))


@pytest.fixture(scope="module")
def reckoning() -> Any:
    import contextlib
    import io

    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        assert main(["reckon", SHEET, "--json"]) == 0
    return json.loads(out.getvalue())


def test_reckon_json_has_every_part(reckoning: Any) -> None:
    assert reckoning["currency"] == "USD"
    assert {"machine", "pieces", "gaps", "not_looked", "bundle", "offer", "next"} <= set(reckoning)
    assert len(reckoning["pieces"]) == 26


def test_reckon_json_pieces_hold_fit_and_three_values(reckoning: Any) -> None:
    for piece in reckoning["pieces"]:
        assert piece["fit"]["verdict"] in VERDICTS
        assert isinstance(piece["fit"]["adapter_cost"], int)
        assert all(isinstance(text, str) for text in piece["fit"]["why"])
        for name in ("replacement", "worth", "part_out"):
            low, middle, high = piece[name]
            assert 0 <= low <= middle <= high
            assert all(isinstance(figure, int) for figure in piece[name])


def test_reckon_json_tells_the_example_apart(reckoning: Any) -> None:
    pieces = {(piece["kind"], piece["id"]): piece for piece in reckoning["pieces"]}
    four_jaw = pieces["chuck-4-jaw", "p2"]
    faceplate = pieces["faceplate", "p4"]
    assert four_jaw["fit"]["verdict"] == "misfit"
    assert four_jaw["covers"] is None
    assert faceplate["unsafe"] is True
    assert faceplate["worth"] == faceplate["part_out"] == faceplate["replacement"] == [0, 0, 0]
    live = pieces["centre-live", "p8"]["fit"]  # MT2, through a sleeve into MT3
    assert (live["verdict"], live["adapter_cost"] > 0) == ("fits-with", True)
    assert live["adapters"]
    assert pieces["chuck-3-jaw", "p1"]["covers"] == "chuck-3-jaw"
    gaps = {gap["want"] for gap in reckoning["gaps"]}
    not_looked = {line["want"] for line in reckoning["not_looked"]}
    assert {"follow-rest", "chuck-4-jaw", "faceplate"} <= gaps
    assert not gaps & not_looked


def test_reckon_json_offer_is_in_order(reckoning: Any) -> None:
    offer = reckoning["offer"]
    assert 0 < offer["opening"] <= offer["target"] <= offer["limit"] <= 190_000
    assert offer["stop"] == []
    adds = reckoning["bundle"]["adds"]
    assert 0 <= adds["opening"] <= adds["limit"]


def test_reckon_json_asks_what_next(reckoning: Any) -> None:
    assert reckoning["next"]
    for question in reckoning["next"]:
        assert question["question"]
        assert question["moves"] >= 0
        assert question["minutes"] > 0


def test_reckon_text_fits_eighty_columns_and_names_the_danger(
    capsys: pytest.CaptureFixture[str],
) -> None:
    text = printed(capsys, "reckon", SHEET)
    assert max(len(line) for line in text.splitlines()) <= 80
    assert "UNSAFE" in text
    assert "opening" in text
    assert "\x1b" not in text


def test_reckon_shows_the_users_units_and_words(capsys: pytest.CaptureFixture[str]) -> None:
    text = printed(capsys, "reckon", SHEET, "--units", "mm", "--words", "british")
    assert "304.8mm" in text
    assert "centre" in text


def test_names_of_things_can_be_in_another_language(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Dreibackenfutter" in printed(capsys, "reckon", SHEET, "--language", "de")
    assert main(["reckon", SHEET, "--language", "xx"]) == 1
    assert "de, en, fr" in capsys.readouterr().err


def test_more_bargaining_power_lowers_the_target_alone(
    capsys: pytest.CaptureFixture[str],
) -> None:
    weak = data_of(capsys, "reckon", SHEET, "--json", "--power", "0")["offer"]
    strong = data_of(capsys, "reckon", SHEET, "--json", "--power", "1")["offer"]
    assert strong["target"] < weak["target"]
    assert (strong["opening"], strong["limit"]) == (weak["opening"], weak["limit"])


def test_buy_json_stays_within_the_budget(capsys: pytest.CaptureFixture[str]) -> None:
    best = data_of(capsys, "buy", SHEET, "--budget", "600", "--json")
    assert best["budget"] == 60_000
    assert 0 < best["total"] <= best["budget"]
    assert best["total"] == sum(line["cost"] for line in best["buy"])
    assert best["proven_optimal"] is True
    assert best["off_by_at_most"] == 0
    assert {"kind", "qty", "supply", "cost"} <= set(best["buy"][0])
    assert "runner_up" in best


def test_buy_text_has_boxes_to_tick(capsys: pytest.CaptureFixture[str]) -> None:
    assert "[ ] " in printed(capsys, "buy", SHEET, "--budget", "1.2k")


def test_buy_refuses_a_budget_that_is_none(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["buy", SHEET, "--budget", "lots"]) == 1
    assert "--budget" in capsys.readouterr().err


def test_compare_json_names_the_cheaper_one(capsys: pytest.CaptureFixture[str]) -> None:
    data = data_of(capsys, "compare", SHEET, OTHER, "--json")
    assert [len(side["total"]) for side in data["machines"]] == [3, 3]
    assert 0 <= data["cheaper"][0]["chance"] <= 1
    means = [side["mean"] for side in data["machines"]]
    assert means == sorted(means)


@pytest.mark.parametrize(
    "arguments", [["compare", SHEET, OTHER], ["buy", SHEET, "--budget", "400"]]
)
def test_lists_and_comparisons_are_written_in_every_form(
    arguments: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for form in ("text", "markdown", "html", "csv"):
        assert printed(capsys, *arguments, "--format", form, "-o", str(tmp_path))
    endings = {path.suffix for path in tmp_path.iterdir() if path.is_file()}
    assert {".txt", ".md", ".html", ".csv"} <= endings


def test_compare_of_one_sheet_with_itself_keeps_two_machines(
    capsys: pytest.CaptureFixture[str],
) -> None:
    data = data_of(capsys, "compare", SHEET, SHEET, "--json")
    assert len({side["id"] for side in data["machines"]}) == 2


def test_compare_of_one_machine_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", SHEET]) == 1
    assert "two or more" in capsys.readouterr().err


def test_an_unreadable_sheet_is_one_message_a_fault(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "sheet.yaml"
    sheet.write_text("format: 1\nsubject: count\nmachine: {name: x, class: nothing}\n")
    assert main(["reckon", str(sheet)]) == 1
    captured = capsys.readouterr()
    assert captured.out == ""
    assert f"{sheet}:3:27" in captured.err
    assert "Traceback" not in captured.err


@pytest.mark.parametrize("command", ["reckon", "report buyer", "export csv"])
def test_a_sheet_that_is_not_there_is_named(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*command.split(), "nowhere.yaml"]) == 1
    assert "nowhere.yaml" in capsys.readouterr().err


def test_compare_tells_the_faults_of_every_sheet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    broken = tmp_path / "broken.yaml"
    broken.write_text("format: 1\nsubject: count\nmachine: {name: x, class: nothing}\n")
    assert main(["compare", "nowhere.yaml", SHEET, str(broken), "nowhere.yaml"]) == 1
    told = capsys.readouterr().err
    assert told.count("nowhere.yaml: No such file or directory") == 1
    assert f"{broken}:3:27: machine.class: unknown word 'nothing'" in told


@pytest.mark.parametrize("command", ["reckon", "report seller", "export csv"])
def test_another_machine_than_that_of_the_sheet_is_refused(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    name = "12 in engine lathe"
    assert main([*command.split(), SHEET, "--machine", "knee mill"]) == 1
    assert f"the sheet is of {name!r}, not of 'knee mill'" in capsys.readouterr().err
    assert main([*command.split(), SHEET, "--machine", name]) == 0


@pytest.mark.parametrize("hours", ["-3", "nan", "inf", "1e400", "many", "100001"])
def test_hours_that_cannot_be_are_refused(hours: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["report", "sale", SHEET, f"--hours={hours}"]) == 2
    assert "is not a number of hours" in capsys.readouterr().err


def test_no_machine_for_sale_is_not_told_as_one(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare"]) == 1
    assert "the book holds no machine for sale" in capsys.readouterr().err


def test_an_empty_book_says_what_is_wanted(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["reckon"]) == 1
    assert "holds no machine" in capsys.readouterr().err


def test_demo_without_a_terminal_prints_a_reckoning(capsys: pytest.CaptureFixture[str]) -> None:
    assert "THE OFFER" in printed(capsys, "demo")


REPAIR_SHEET = """format: 1
subject: count
settings: {currency: GBP, rate: 0.8}
machine: {name: lathe, class: engine-lathe-small, nose: D1-4, swing: 12in}
pieces:
  - {kind: caliper, condition: good, repair: 4, repair_of: new battery door}
  - {kind: chuck-key, condition: good}
looks: {caliper: 1, chuck-key: 1}
"""


@pytest.fixture
def repair_sheet(tmp_path: Path) -> str:
    path = tmp_path / "sheet.yaml"
    path.write_text(REPAIR_SHEET, encoding="utf-8")
    return str(path)


def test_reckon_json_tells_a_repair_in_minor_units(
    repair_sheet: str, capsys: pytest.CaptureFixture[str]
) -> None:
    caliper, key = data_of(capsys, "reckon", repair_sheet, "--json")["pieces"]
    assert (caliper["repair"], caliper["repair_of"]) == (400, "new battery door")
    assert caliper["covers"] == "caliper"
    assert any("putting it right costs 4" in why for why in caliper["why"])
    assert (key["repair"], key["repair_of"]) == (None, "")


def test_buy_json_lists_what_is_put_right(
    repair_sheet: str, capsys: pytest.CaptureFixture[str]
) -> None:
    found = data_of(capsys, "buy", repair_sheet, "--budget", "5", "--json")
    (line,) = [line for line in found["buy"] if line["supply"] == "put-right"]
    assert (line["kind"], line["qty"], line["cost"], line["piece"]) == ("caliper", 1, 400, "p1")


def test_a_repair_below_nothing_is_refused_with_line_and_column(
    repair_sheet: str, capsys: pytest.CaptureFixture[str]
) -> None:
    path = Path(repair_sheet)
    path.write_text(REPAIR_SHEET.replace("repair: 4,", "repair: -4,"), encoding="utf-8")
    assert main(["reckon", repair_sheet]) == 1
    told = capsys.readouterr().err
    assert "sheet.yaml:6:" in told
    assert "'-4' is not a price" in told


def test_reckon_tells_which_facts_of_the_machine_cannot_be(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    sheet = tmp_path / "count.yaml"
    sheet.write_text(
        "format: 1\nsubject: count\nmachine:\n  name: lathe\n  class: engine-lathe-small\n"
        "  spindle_socket: MT3\n  bore: 1.375 in\n  swing: 12 in\n",
        encoding="utf-8",
    )
    (doubt,) = data_of(capsys, "reckon", str(sheet), "--json")["machine"]["doubts"]
    assert "can have no MT3 socket" in doubt
    assert "can have no MT3 socket" in " ".join(printed(capsys, "reckon", str(sheet)).split())


def test_buy_tells_why_an_essential_is_not_on_the_list(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "sleeve.yaml"
    sheet.write_text(
        "format: 1\nsubject: count\n"
        "machine: {name: x, class: engine-lathe-small, spindle_socket: MT3}\n"
        "looks: {taper-sleeve: 0, centre-live: 0}\n"
    )
    said = " ".join(printed(capsys, "buy", str(sheet), "--budget", "400").split())
    assert "NOT ON THE LIST - Morse taper sleeve: of use only with" in said
    best = data_of(capsys, "buy", str(sheet), "--budget", "400", "--json")
    assert [row["want"] for row in best["left_out"]] == ["taper-sleeve"]


def test_reckon_tells_what_is_here_only_if_it_fits(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = tmp_path / "chuck.yaml"
    sheet.write_text(
        "format: 1\nsubject: count\n"
        "machine: {name: x, class: engine-lathe-small, nose: 2-1/4-8}\n"
        "pieces: [{kind: chuck-4-jaw, size: 8in}]\n"
    )
    said = " ".join(printed(capsys, "reckon", str(sheet)).split())
    assert "HERE, IF IT FITS" in said
    (row,) = data_of(capsys, "reckon", str(sheet), "--json")["if_it_fits"]
    assert (row["want"], row["tier"], row["qty"]) == ("chuck-4-jaw", "essential", 1)
