"""The paper form, the manual and the completion scripts are made from what the program knows."""

from __future__ import annotations

import shutil
import subprocess
from html.parser import HTMLParser
from pathlib import Path

import pytest

from kitreckon.catalogue.load import open_catalogue
from kitreckon.catalogue.words import Style
from kitreckon.commands import main
from kitreckon.commands.arguments import COMMANDS

CATALOGUE = open_catalogue()
TWO_PAGES = 2 * 66  # lines of plain text


@pytest.mark.parametrize("name", list(CATALOGUE.outfits))
def test_a_form_fits_on_two_pages_and_eighty_columns(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["form", name]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= TWO_PAGES
    assert max(len(line) for line in lines) <= 80


@pytest.mark.parametrize("name", ["engine-lathe-small", "knee-mill"])
def test_a_form_has_the_outfit_in_its_order(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    main(["form", name, "--format", "csv"])
    written = capsys.readouterr().out.splitlines()
    rows = written[written.index("") + 2 :]
    things = [row.split(",")[1].strip('*"') for row in rows]
    style_names = [
        CATALOGUE.words.wanted(want.id, want.kind, Style())
        for want in CATALOGUE.outfits[name].wants
    ]
    remaining = iter(style_names)
    assert all(any(thing == wanted for wanted in remaining) for thing in things)
    assert len(things) >= 0.9 * len(style_names)


def test_a_form_as_html_is_well_formed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["form", "bench-lathe", "--format", "html"]) == 0
    html = capsys.readouterr().out
    opened: list[str] = []

    class Checker(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            if tag not in ("meta", "br", "line", "rect"):
                opened.append(tag)

        def handle_endtag(self, tag: str) -> None:
            if tag not in ("line", "rect"):
                assert opened.pop() == tag

    Checker().feed(html)
    assert opened == []
    assert "break-inside" in html


def test_without_a_class_the_classes_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["form"]) == 0
    listed = capsys.readouterr().out
    assert all(name in listed for name in CATALOGUE.outfits)


def test_an_unknown_class_names_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["form", "engine-lathe-smal"]) == 1
    assert "'engine-lathe-small'" in capsys.readouterr().err


def test_the_manual_names_every_command_and_exit_code(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["manual"]) == 0
    text = capsys.readouterr().out
    assert all(f"usage: kitreckon {command}" in text for command in COMMANDS)
    assert "141" in text


@pytest.mark.skipif(shutil.which("groff") is None, reason="no groff here")
def test_the_man_page_has_no_fault(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["manual", "--roff"]) == 0
    page = capsys.readouterr().out
    done = subprocess.run(
        ["groff", "-man", "-Tutf8", "-ww"], input=page.encode(), capture_output=True, check=True
    )
    assert done.stderr == b""
    assert b"identify" in done.stdout


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_knows_commands_and_options(
    shell: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert all(command in script for command in COMMANDS)
    assert "budget" in script


def test_bash_completes_a_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["completion", "bash"])
    script = tmp_path / "kitreckon.bash"
    script.write_text(capsys.readouterr().out)
    asked = (
        f'. "{script}"; cd "{tmp_path}"; COMP_WORDS=(kitreckon rec); COMP_CWORD=1; _kitreckon; '
        'echo "${COMPREPLY[@]}"; COMP_WORDS=(kitreckon buy --bud); COMP_CWORD=2; _kitreckon; '
        'echo "${COMPREPLY[@]}"'
    )
    done = subprocess.run(["bash", "-c", asked], capture_output=True, check=True, text=True)
    assert done.stdout.split() == ["reckon", "--budget"]


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("--book x.json rec", ["reckon"]),
        ("--book reckon report hei", ["heirs"]),
        ("reckon --units m", ["mm"]),
        ("report heirs --format ma", ["markdown"]),
        ("reckon a", ["a lathe.yaml"]),
    ],
)
def test_bash_completes_what_stands_after_options_and_names_with_blanks(
    typed: str, offered: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["completion", "bash"])
    (tmp_path / "a lathe.yaml").touch()
    words = typed.split()
    asked = (
        f'{capsys.readouterr().out}\ncd "{tmp_path}"; COMP_WORDS=(kitreckon {typed}); '
        f"COMP_CWORD={len(words)}; _kitreckon; printf '%s\\n' \"${{COMPREPLY[@]}}\""
    )
    done = subprocess.run(["bash", "-c", asked], capture_output=True, check=True, text=True)
    assert done.stdout.splitlines() == offered
