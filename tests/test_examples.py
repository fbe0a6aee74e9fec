"""Every command in the README runs on the examples, so that neither can rot."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest

from kitreckon.book import Book
from kitreckon.book.sheet import read_sheet
from kitreckon.catalogue.load import open_catalogue
from kitreckon.commands import main
from kitreckon.commands.arguments import COMMANDS
from kitreckon.commands.report import REPORTS

ROOT = Path(__file__).resolve().parents[1]
EXAMPLES = ROOT / "examples"
README = (ROOT / "README.md").read_text("utf-8")


def blocks(kind: str) -> list[str]:
    return re.findall(rf"^```{kind}\n(.*?)^```$", README, flags=re.M | re.S)


def commands_of(block: str) -> list[list[str]]:
    return [shlex.split(line) for line in block.splitlines() if line.strip()]


@pytest.mark.parametrize("block", blocks("sh"), ids=lambda block: block.splitlines()[0][:50])
def test_the_readmes_commands_run(
    block: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    shutil.copytree(EXAMPLES, tmp_path / "examples")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("KITRECKON_BOOK", str(tmp_path / "book.json"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    for command, *arguments in commands_of(block):
        assert command == "kitreckon"
        assert main(arguments) == 0, capsys.readouterr().err
        assert capsys.readouterr().out


def test_the_readme_shows_every_command_and_every_report() -> None:
    shown = " ".join(blocks("sh")) + " ".join(re.findall(r"`(kitreckon[^`]*)`", README))
    assert [name for name in COMMANDS if f"kitreckon {name}" not in shown] == []
    told = README.partition("`kitreckon report KIND SHEET`")[2].splitlines()[0]
    assert [name for name in REPORTS if name not in told] == []


def test_the_sheet_in_the_readme_is_sound() -> None:
    (text,) = blocks("yaml")
    sheet = read_sheet(text, "README.md", open_catalogue())
    assert [piece.kind for piece in sheet.visit.pieces] == [
        "chuck-4-jaw",
        "centre-dead",
        "faceplate",
        "steady-rest",
    ]
    assert sheet.notices == ()


def test_the_catalogue_file_in_the_readme_is_sound_and_lies_over_ours(tmp_path: Path) -> None:
    (text,) = blocks("yaml catalogue")
    (tmp_path / "prices").mkdir()
    (tmp_path / "prices" / "mine.yaml").write_text(text)
    assert main(["check", str(tmp_path)]) == 0
    catalogue = open_catalogue([tmp_path])
    assert [point.typical for point in catalogue.prices["caliper"].points] == [15]
    assert catalogue.problems == ()


def test_every_file_named_for_developers_is_there() -> None:
    text = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    named = re.findall(r"`(?:python )?((?:tests|catalogs|examples|book|reckoning|reports|commands|"
                       r"screens|fitting|standards|reading)/[\w/.-]*\w)`", text)  # fmt: skip
    rooms = ROOT / "src" / "kitreckon"
    missing = [n for n in named if not (ROOT / n).exists() and not (rooms / n).exists()]
    assert len(named) > 20
    assert missing == []


def test_the_two_commands_are_whole() -> None:
    (install,) = blocks("sh install")
    (tests,) = blocks("sh tests")
    assert "venv --clear" in install
    assert "kitreckon reckon examples/lathe-12in.yaml" in install
    assert "venv --clear" in tests
    assert ".[test]" in tests
    assert "pytest" in tests


def test_ci_runs_the_readmes_test_command() -> None:
    script = (ROOT / ".ci" / "run").read_text("utf-8")
    assert "sh tests" in script
    assert (ROOT / ".ci" / "run").stat().st_mode & 0o111


def test_the_files_the_readme_names_are_there() -> None:
    names = set(re.findall(r"examples/[\w.-]+\w", README)) | set(
        re.findall(r"\]\(([^)#:]+)\)", README)
    )
    assert [name for name in sorted(names) if not (ROOT / name).exists()] == []


def test_the_readmes_keys_are_those_of_the_key_table() -> None:
    from kitreckon.catalogue.words import Style
    from kitreckon.screens.keys import as_markdown

    words = open_catalogue().words
    made = as_markdown(lambda label: words.label(f"screen.{label}", Style()))
    stands = README.partition("<!-- keys: made from the key table -->")[2]
    stands = stands.partition("<!-- end of keys -->")[0].strip()
    assert stands == made.strip(), f"put this between the marks:\n{made}"


def test_the_example_book_holds_the_example_sheets() -> None:
    import tempfile

    catalogue = open_catalogue()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "book.json"
        shutil.copyfile(EXAMPLES / "book.json", copy)
        with Book.open(copy) as book:
            assert book.notices == ()
            machines = {machine.name: machine for machine in book.machines()}
            for path in sorted(EXAMPLES.glob("*.yaml")):
                sheet = read_sheet(path.read_bytes(), path.name, catalogue)
                machine = machines.pop(sheet.machine.name)
                assert machine == sheet.machine
                assert book.visit(machine.id) == sheet.visit
            assert machines == {}


def test_the_example_has_every_sort_of_line() -> None:
    catalogue = open_catalogue()
    path = EXAMPLES / "lathe-12in.yaml"
    visit = read_sheet(path.read_bytes(), path.name, catalogue).visit
    assert len(visit.pieces) >= 25
    assert any(piece.unsafe for piece in visit.pieces)
    assert any(piece.kind is None for piece in visit.pieces)
    assert any(look.seen == 0 for look in visit.looks)
    wants = {want.id for want in catalogue.outfits["engine-lathe-small"].wants}
    assert wants - {look.want for look in visit.looks}
