"""Counts go in and out of the book, and nothing is overwritten, doubled or lost on the way."""

from __future__ import annotations

import csv
import io
import json
import os
from pathlib import Path

import pytest
import yaml

from kitreckon.book import Book
from kitreckon.book.sheet import read_sheet
from kitreckon.catalogue.load import open_catalogue
from kitreckon.commands import main
from kitreckon.count import Preferences

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SHEET = EXAMPLES / "lathe-12in.yaml"
OTHER = EXAMPLES / "lathe-13in.yaml"
NAME = "12 in engine lathe"


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    path = tmp_path / "book.json"
    monkeypatch.setenv("KITRECKON_BOOK", str(path))
    return path


def run(*arguments: str | Path) -> int:
    return main([str(argument) for argument in arguments])


def pieces_in(path: Path) -> int:
    with Book.open(path) as book:
        return sum(len(book.visit(machine.id).pieces) for machine in book.machines())


def test_a_sheet_goes_in_and_comes_out_equal(book: Path, tmp_path: Path) -> None:
    assert run("import", SHEET) == 0
    out = tmp_path / "out.yaml"
    assert run("export", "sheet", "-o", out) == 0
    catalogue = open_catalogue()
    before = read_sheet(SHEET.read_bytes(), "a", catalogue)
    after = read_sheet(out.read_bytes(), "b", catalogue)
    assert after.machine == before.machine
    assert after.visit == before.visit
    assert [piece.kind for piece in after.shelf] == [piece.kind for piece in before.shelf]


def test_the_same_machine_is_not_taken_twice_unasked(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    before = book.read_bytes()
    assert run("import", SHEET) == 1
    assert "--merge" in capsys.readouterr().err
    assert book.read_bytes() == before


def test_merging_the_same_count_adds_nothing(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    before = pieces_in(book)
    assert run("import", SHEET, "--merge") == 0
    assert "nothing new" in capsys.readouterr().out
    assert pieces_in(book) == before


def test_two_counts_of_one_machine_in_one_import_are_merged(book: Path) -> None:
    assert run("import", SHEET, SHEET, "--merge") == 0
    with Book.open(book) as opened:
        assert len(opened.machines()) == 1
    assert pieces_in(book) == 26


def test_as_new_adds_another_machine(book: Path) -> None:
    run("import", SHEET)
    assert run("import", SHEET, "--as-new") == 0
    with Book.open(book) as opened:
        assert [machine.name for machine in opened.machines()] == [NAME, NAME]


def test_one_unsound_file_among_many_stores_none(book: Path, tmp_path: Path) -> None:
    broken = tmp_path / "broken.yaml"
    broken.write_text("format: 1\nsubject: count\nmachine: {name: x}\n")
    assert run("import", SHEET, broken) == 1
    assert not book.exists()


def test_every_fault_of_every_file_is_told_in_one_import(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", OTHER)
    before = book.read_bytes()
    broken, table = tmp_path / "broken.yaml", tmp_path / "his.csv"
    broken.write_text("format: 1\nsubject: count\nmachine: {name: x, swing: wide}\n")
    table.write_text("thing,qty\nsteady rest,many\n")
    gone = [tmp_path / "gone.yaml", Path("~nobody-of-this-name/sheet.yaml")]
    assert run("import", gone[0], tmp_path, broken, SHEET, table, OTHER, gone[1]) == 1
    told = capsys.readouterr().err
    for file in (*gone, tmp_path):
        assert f"kitreckon: {file}: " in told
    assert f"{broken}:3:10: machine: 'class' is missing" in told
    assert f"{broken}:3:27: machine.swing: 'wide' is not a length" in told
    assert f"{table}:2:" in told
    assert f"{OTHER}: '13 in lathe with a screwed nose' is in the book already" in told
    assert book.read_bytes() == before


def test_a_table_beside_a_sheet_does_not_merge_the_sheet_unasked(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    before, table = book.read_bytes(), tmp_path / "his.csv"
    table.write_text("thing,qty\nsteady rest,1\n")
    assert run("import", SHEET, table) == 1
    assert "--merge" in capsys.readouterr().err
    assert book.read_bytes() == before


def test_csv_goes_out_and_in_without_doubling(book: Path, tmp_path: Path) -> None:
    run("import", SHEET)
    before = pieces_in(book)
    table = tmp_path / "count.csv"
    assert run("export", "csv", "-o", table) == 0
    assert table.read_bytes().startswith(b"\xef\xbb\xbf")
    assert run("import", table, "--machine", NAME) == 0
    assert pieces_in(book) == before


def test_csv_that_comes_back_changes_nothing_of_the_count(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    before, table = book.read_bytes(), tmp_path / "count.csv"
    run("export", "csv", "-o", table)
    capsys.readouterr()
    assert run("import", table) == 0
    assert capsys.readouterr().out == f"{NAME}: nothing new\n"
    assert book.read_bytes() == before


def test_other_peoples_headings_are_understood(book: Path, tmp_path: Path) -> None:
    run("import", OTHER)
    table = tmp_path / "his.csv"
    table.write_text(
        "My shop list;;;\nMenge;Bezeichnung;Remarks;Price\n"
        "2;live center MT3;one is rough;12\n1;steady rest;;\n;;;\n1;qwzx blorf;;\n",
        "utf-8",
    )
    before = pieces_in(book)
    assert run("import", table) == 0
    assert pieces_in(book) == before + 3
    with Book.open(book) as opened:
        pieces = opened.visit(opened.machines()[0].id).pieces
    centre = next(piece for piece in pieces if piece.kind == "centre-live")
    assert (centre.qty, centre.mount, centre.note) == (2, "MT3", "one is rough")
    assert any(piece.kind is None and piece.text == "qwzx blorf" for piece in pieces)


def test_german_names_are_read_in_german(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", OTHER)
    table = tmp_path / "de.csv"
    table.write_text("Menge;Bezeichnung\n1;Reitstock-Bohrfutter\n1;Planscheibe\n", "utf-8")
    assert run("import", table) == 0
    assert "--language de" in capsys.readouterr().err
    fresh = tmp_path / "fresh.json"
    run("import", OTHER, "--book", fresh)
    assert run("import", table, "--book", fresh, "--language", "de") == 0
    with Book.open(fresh) as opened:
        kinds = [piece.kind for piece in opened.visit(opened.machines()[0].id).pieces]
    assert kinds.count("faceplate") >= 1
    assert run("import", table, "--language", "xx") == 1


def test_a_heading_of_ones_own_can_be_named(book: Path, tmp_path: Path) -> None:
    run("import", OTHER)
    table = tmp_path / "his.csv"
    table.write_text("Zeug,Zahl\nsteady rest,1\n")
    assert run("import", table) == 1
    assert run("import", table, "--column", "thing=Zeug", "--column", "qty=Zahl") == 0


def test_a_table_in_another_encoding_is_refused_and_not_read_with_gaps(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", OTHER)
    before, table = book.read_bytes(), tmp_path / "alt.csv"
    table.write_bytes("Menge;Bezeichnung\n1;Werkzeug für Führungen\n".encode("cp1252"))
    assert run("import", table) == 1
    assert f"{table}:2: not UTF-8 text; save the file as UTF-8" in capsys.readouterr().err
    assert book.read_bytes() == before
    table.write_bytes("Menge;Bezeichnung\n1;steady rest\n".encode("utf-16"))
    assert run("import", table) == 0


def test_a_count_sheet_may_be_json(book: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.json"
    sheet.write_text(json.dumps(yaml.safe_load(OTHER.read_text())))
    assert run("check", sheet) == 0
    assert run("import", sheet) == 0
    assert pieces_in(book) == 8


@pytest.mark.parametrize("command", [["reckon"], ["buy", "--budget", "5"], ["compare"]])
def test_a_book_in_place_of_a_sheet_is_told_to_be_one(
    command: list[str], book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    assert run(*command, book) == 1
    assert f"{book}: a book, not a count sheet; --book" in capsys.readouterr().err


def test_check_says_of_a_book_and_of_a_table_that_they_are_none_of_its_own(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    table = tmp_path / "his.csv"
    table.write_text("item,qty\nsteady rest,1\n")
    capsys.readouterr()
    assert run("check", book, table) == 1
    told = capsys.readouterr().out
    assert f"{book}: a book, neither a catalogue file nor a count sheet" in told
    assert f"{table}: a table, neither" in told


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--column", "thing"], "--column 'thing' names no heading; --column thing=HEADING"),
        (["--column", "thing="], "--column thing=HEADING"),
        (["--column", "thng=item"], "did you mean 'thing'?"),
        (["--column", "thing=Zeug"], "no column is headed 'Zeug'; one of: item, qty"),
    ],
)
def test_a_column_that_cannot_be_meant_is_refused(
    arguments: list[str],
    said: str,
    book: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    run("import", OTHER)
    table = tmp_path / "his.csv"
    table.write_text("item,qty\nsteady rest,1\n")
    assert run("import", table, *arguments) == 1
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("arguments", [("--machine", "x"), ("--column", "thing=Zeug")])
def test_what_is_for_tables_is_refused_of_sheets(
    arguments: tuple[str, str], book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("import", SHEET, *arguments) == 1
    assert f"{arguments[0]} is for a table" in capsys.readouterr().err
    assert not book.exists()


def test_a_table_for_an_empty_book_says_that_a_sheet_goes_before_it(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "his.csv"
    table.write_text("item,qty\nsteady rest,1\n")
    assert run("import", table) == 1
    assert "import a count sheet first" in capsys.readouterr().err


def test_the_book_is_copied_whole_or_not(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    for given in ([SHEET], ["--machine", NAME]):
        assert run("export", "book", *given, "-o", tmp_path / "copy.json") == 1
        assert "the book is copied whole" in capsys.readouterr().err
        assert not (tmp_path / "copy.json").exists()


def test_faults_in_a_csv_are_told_with_line_and_column(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", OTHER)
    table = tmp_path / "bad.csv"
    table.write_text("item,qty,size\nsteady rest,many,1-1-1\nvise,1,\n")
    assert run("import", table) == 1
    told = capsys.readouterr().err
    assert f"{table}:2:2" in told
    assert f"{table}:2:3" in told


def test_formulas_in_names_leave_as_text_and_come_back(book: Path, tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.yaml"
    sheet.write_text(
        "format: 1\nsubject: count\nmachine: {name: x, class: bench-lathe}\n"
        "pieces:\n  - {kind: caliper, note: '=cmd()'}\n"
    )
    run("import", sheet)
    table = tmp_path / "out.csv"
    run("export", "csv", "-o", table)
    rows = list(csv.DictReader(io.StringIO(table.read_text("utf-8-sig"), newline="")))
    assert rows[0]["note"] == "'=cmd()"
    run("import", table)
    with Book.open(book) as opened:
        assert [piece.note for piece in opened.visit("x").pieces] == ["=cmd()"]


def test_a_file_is_not_written_over_unasked(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "report.txt"
    target.write_text("mine")
    assert run("report", "inventory", SHEET, "-o", target) == 1
    assert target.read_text() == "mine"
    assert "--overwrite" in capsys.readouterr().err
    assert run("report", "inventory", SHEET, "-o", target, "--overwrite") == 0
    assert target.read_text() != "mine"
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".part"] == []


def test_into_a_folder_each_report_gets_a_name_of_its_own(book: Path, tmp_path: Path) -> None:
    folder = tmp_path / "reports"
    folder.mkdir()
    (folder / "12-IN-ENGINE-LATHE-SELLER.TXT").write_text("mine")
    assert run("report", "seller", SHEET, "-o", folder) == 0
    assert run("report", "seller", SHEET, "-o", folder) == 0
    assert run("export", "sheet", SHEET, "-o", folder) == 0
    assert sorted(path.name for path in folder.iterdir()) == [
        "12-IN-ENGINE-LATHE-SELLER.TXT",
        "12-in-engine-lathe-seller-2.txt",
        "12-in-engine-lathe-seller-3.txt",
        "12-in-engine-lathe.yaml",
    ]
    assert (folder / "12-IN-ENGINE-LATHE-SELLER.TXT").read_text() == "mine"


def test_a_whole_book_is_copied_and_taken_in(book: Path, tmp_path: Path) -> None:
    run("import", SHEET, OTHER)
    copy = tmp_path / "copy.json"
    assert run("export", "book", "-o", copy) == 0
    fresh = tmp_path / "fresh.json"
    assert run("import", copy, "--book", fresh) == 0
    assert pieces_in(fresh) == pieces_in(book)


def test_a_damaged_book_that_is_taken_in_stays_as_it_is(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "theirs"
    folder.mkdir()
    other = folder / "other.json"
    assert run("import", SHEET, "--book", other) == 0
    assert run("import", OTHER, "--book", other) == 0
    other.write_bytes(other.read_bytes()[:-40])
    before = {file: file.read_bytes() for file in folder.rglob("*") if file.is_file()}
    assert run("import", other) == 0
    assert "generation 1" in capsys.readouterr().err
    assert pieces_in(book) > 0
    assert {file: file.read_bytes() for file in folder.rglob("*") if file.is_file()} == before


def test_another_programs_file_is_no_book_and_stays_as_it_was(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book.write_text('{"notes": []}')
    assert run("reckon") == 1
    assert book.read_text() == '{"notes": []}'
    error = capsys.readouterr().err
    assert error.startswith("kitreckon: ")
    assert "Traceback" not in error


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_folder_without_rights_is_one_message(tmp_path: Path) -> None:
    folder = tmp_path / "closed"
    folder.mkdir(mode=0o500)
    assert run("import", SHEET, "--book", folder / "book.json") == 1


def test_a_report_into_a_folder_that_is_not_there_is_one_message(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("report", "seller", SHEET, "-o", tmp_path / "no" / "r.txt") == 1
    assert "cannot be written" in capsys.readouterr().err


def test_earlier_generations_are_listed_and_restored(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    run("import", OTHER)
    capsys.readouterr()
    assert run("history") == 0
    listed = capsys.readouterr().out
    assert "import 12 in engine lathe" in listed
    assert run("history", "--restore", "1") == 0
    with Book.open(book) as opened:
        assert [machine.name for machine in opened.machines()] == [NAME]
    assert run("history", "--restore", "999") == 1


def test_a_state_made_by_taking_back_says_so(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    with Book.open(book) as opened:
        opened.undo()
        opened.redo()
        opened.undo()
        opened.redo()
    capsys.readouterr()
    assert run("history") == 0
    listed = capsys.readouterr().out
    assert "taken back: import" in " ".join(listed.split())


def test_a_book_changed_outside_is_looked_at_until_it_is_accepted(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    assert run("history", "--accept") == 1
    changed = book.read_text().replace("off his other lathe", "of his other lathe.")
    book.write_text(changed)
    assert run("import", OTHER) == 1
    assert "changed outside" in capsys.readouterr().err
    assert run("history", "--accept") == 0
    assert run("import", OTHER) == 0


def test_a_copy_of_the_book_is_written_over_only_when_told(book: Path, tmp_path: Path) -> None:
    run("import", SHEET)
    copy = tmp_path / "copy.json"
    copy.write_text("mine")
    assert run("export", "book", "-o", copy) == 1
    assert copy.read_text() == "mine"
    assert run("export", "book", "-o", copy, "--overwrite") == 0
    assert pieces_in(copy) == 26


def test_writing_a_copy_over_touches_no_other_file(book: Path, tmp_path: Path) -> None:
    run("import", SHEET)
    folder = tmp_path / "copies"
    folder.mkdir()
    copy, beside = folder / "copy.json", folder / ".copy.json.new"
    for file in (copy, beside):
        file.write_text("mine")
    assert run("export", "book", "-o", copy, "--overwrite") == 0
    assert beside.read_text() == "mine"
    assert sorted(folder.iterdir()) == [beside, copy]
    with Book.open(copy) as copied:
        assert [machine.name for machine in copied.machines()] == [NAME]


def test_the_book_is_no_copy_of_itself(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    before = book.read_bytes()
    link = tmp_path / "link.json"
    link.symlink_to(book)
    for name in (book, link):
        assert run("export", "book", "-o", name, "--overwrite") == 1
        assert "the book itself" in capsys.readouterr().err
    assert book.read_bytes() == before


def test_a_sheet_in_another_currency_does_not_join_the_book(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET)
    sheet = tmp_path / "gbp.yaml"
    sheet.write_text(
        "format: 1\nsubject: count\nsettings: {currency: GBP}\n"
        "machine: {name: y, class: bench-lathe, asking: 900}\n"
    )
    assert run("import", sheet) == 1
    assert "GBP" in capsys.readouterr().err


PLAIN = "format: 1\nsubject: count\nmachine: {name: plain lathe, class: engine-lathe-small}\n"
IN_MM = PLAIN.replace("plain", "metric") + "settings: {units: mm, power: 0.8}\n"


def preferences_of(path: Path) -> Preferences:
    with Book.open(path) as book:
        return book.preferences()


def test_settings_of_the_user_stay_whatever_is_taken_in(book: Path, tmp_path: Path) -> None:
    mine = Preferences(units="mm", words="british", power=0.7)
    with Book.open(book) as empty:
        empty.commit("settings", empty.put(mine))
    for name, text in (("plain.yaml", PLAIN), ("metric.yaml", IN_MM)):
        (tmp_path / name).write_text(text)
        assert run("import", tmp_path / name) == 0
        assert preferences_of(book) == mine


def test_a_new_book_takes_the_first_settings_that_were_written(book: Path, tmp_path: Path) -> None:
    (tmp_path / "plain.yaml").write_text(PLAIN)
    (tmp_path / "metric.yaml").write_text(IN_MM)
    assert run("import", tmp_path / "plain.yaml", tmp_path / "metric.yaml") == 0
    assert preferences_of(book) == Preferences(units="mm", power=0.8)


def test_a_sheet_without_settings_stores_none(book: Path, tmp_path: Path) -> None:
    (tmp_path / "plain.yaml").write_text(PLAIN)
    assert run("import", tmp_path / "plain.yaml") == 0
    with Book.open(book) as there:
        assert not there.settings_stored


def test_sheets_in_two_currencies_make_no_book(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "pounds.yaml").write_text(PLAIN + "settings: {currency: GBP}\n")
    assert run("import", tmp_path / "pounds.yaml", SHEET) == 1
    assert "in USD, for it names no currency; the book is in GBP" in capsys.readouterr().err
    assert not book.exists()


def test_an_inventory_of_the_book_takes_the_machines_that_are_owned(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("report", "inventory") == 1
    mine = tmp_path / "mine.yaml"
    named = "name: 12 in engine lathe\n"
    mine.write_text(SHEET.read_text().replace(named, f"{named}  status: owned\n"))
    run("import", OTHER, mine)
    capsys.readouterr()
    assert run("report", "inventory") == 0
    text = capsys.readouterr().out
    assert NAME.upper() in text
    assert "13 IN LATHE" not in text
    assert "not in this list: 13 in lathe" in " ".join(text.split())
    assert "lantern tool post" not in text  # the other machine's


def test_an_inventory_names_the_state_of_a_machine_that_was_asked_for(
    book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    run("import", SHEET, OTHER)
    capsys.readouterr()
    assert run("report", "inventory", "--machine", NAME) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "knurling tool" in text
    assert "for sale and not yours" in text


def test_the_machine_meant_must_be_clear(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    run("import", SHEET, OTHER)
    assert run("reckon") == 1
    assert "--machine" in capsys.readouterr().err
    assert run("reckon", "--machine", NAME) == 0
    assert run("reckon", "--machine", "nothing") == 1


def test_a_better_machine_in_the_book_caps_the_limit(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import json

    run("import", SHEET)
    capsys.readouterr()
    run("reckon", "--json")
    alone = json.loads(capsys.readouterr().out)["offer"]
    cheap = tmp_path / "cheap.yaml"
    text = SHEET.read_text().replace("name: 12 in engine lathe", "name: a bargain")
    cheap.write_text(text.replace("asking: 1,900", "asking: 1,500"))
    run("import", cheap)
    capsys.readouterr()
    run("reckon", "--machine", NAME, "--json")
    capped = json.loads(capsys.readouterr().out)["offer"]
    assert capped["limit"] < alone["limit"]


def test_an_import_is_one_action_that_can_be_undone(book: Path) -> None:
    run("import", SHEET, OTHER)
    with Book.open(book) as opened:
        assert opened.generation == 1
        assert opened.undo_label == "import 2 counts"
        opened.undo()
        assert opened.machines() == ()
        assert opened.shelf() == ()
