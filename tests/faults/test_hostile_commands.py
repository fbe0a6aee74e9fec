"""Hostile texts through every command and every export; and every export onto a full disk."""

from __future__ import annotations

import csv
import functools
import gc
import io
import json
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from faults.hostile import HOSTILE, bad_characters, fill_free_text, fill_hostile, hostile_catalogue
from faults.terminals import example_copy, surroundings
from kitreckon.book import Book
from kitreckon.catalogue import load
from kitreckon.commands import main
from kitreckon.commands.arguments import COMMANDS
from kitreckon.commands.report import REPORTS

KINDS = ("chuck-3-jaw", "chuck-4-jaw", "steady-rest", "centre-live")
FORMATS = ("text", "markdown", "html", "csv")
BOOK, SHEET, TEXT, MINE = "BOOK", "SHEET", "TEXT", "MINE"  # stand for paths
OWN = ("--book", BOOK, "--catalogue", MINE)

WITH_A_MACHINE: list[tuple[str, ...]] = [
    ("reckon",),
    ("reckon", "--json"),
    ("reckon", "--words", "british", "--units", "mm"),
    ("buy", "--budget", "500"),
    ("buy", "--budget", "500", "--json"),
    *(("report", kind, "--format", form) for kind in REPORTS for form in FORMATS),
    ("report", "inventory", "--format", "csv", "--raw"),
    ("export", "sheet"),
    ("export", "csv"),
    ("export", "csv", "--raw"),
]
OTHERS: list[tuple[str, ...]] = [
    ("compare", *OWN),
    ("compare", "--json", *OWN),
    ("history", "--book", BOOK),
    ("demo",),
    ("read", TEXT),
    ("read", TEXT, "--json"),
    ("read", TEXT, "--lines"),
    ("read", TEXT, "--lines", "--json", "--catalogue", MINE),
    ("check", SHEET),
    ("check", TEXT, "--json"),
    ("check", MINE),
    *(("form", "engine-lathe-small", "--format", form, "--catalogue", MINE) for form in FORMATS),
    ("export", "book", "-o", "copy.json", "--book", BOOK),
    ("import", SHEET, "--as-new", *OWN),
    ("import", TEXT, *OWN),
    ("completion", "bash"),
    ("manual",),
]
AS_ARGUMENTS: list[tuple[str, ...]] = [
    ("identify", "--large", "{}"),
    ("identify", "--thread", "{}", "--pitch", "8tpi"),
    ("buy", "--budget", "{}", SHEET),
    ("report", "handshake", SHEET, "--price", "{}"),
    ("read", "{}"),
    ("check", "{}"),
    ("form", "{}"),
    ("report", "{}"),
    ("reckon", "--machine", "{}", "--book", BOOK),
    ("reckon", "--catalogue", "{}", SHEET),
    ("reckon", "--book", "{}"),
    ("{}",),
]


@pytest.fixture(scope="module")
def places(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Make a hostile book, catalogue, sheet and text."""
    folder = tmp_path_factory.mktemp("hostile")
    with Book.open(folder / "book.json") as book:
        sound, bad = fill_hostile(book, KINDS)
    mine = hostile_catalogue(folder / "mine", KINDS)
    (folder / "advert.txt").write_bytes(
        "\n".join(HOSTILE).encode("utf-8", "surrogatepass") + b"\n\xff\xfe\x9b\n"
    )
    sheet, free = folder / "sheet.yaml", folder / "free.json"
    with Book.open(free) as book:
        machine = fill_free_text(book, KINDS)
    own = ["--machine", machine, "--book", str(free)]
    assert main(["export", "sheet", "-o", str(sheet), *own]) == 0
    return {
        "free": str(free),
        BOOK: str(folder / "book.json"),
        MINE: str(mine),
        SHEET: str(sheet),
        TEXT: str(folder / "advert.txt"),
        "sound": sound,
        "bad": bad,
    }


@pytest.fixture(scope="module", autouse=True)
def _read_once() -> Iterator[None]:
    """Read each catalogue once, not for every command; nothing of it can be changed."""
    with mock.patch.object(load, "open_catalogue", functools.cache(load.open_catalogue)):
        yield


@pytest.fixture(autouse=True)
def _undisturbed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    """Undo what a command sets for its process."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    handlers = {number: signal.getsignal(number) for number in (signal.SIGTERM, signal.SIGHUP)}
    threshold = gc.get_threshold()
    yield
    gc.set_threshold(*threshold)
    for number, handler in handlers.items():
        signal.signal(number, handler)


def ran(arguments: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Run a command as on a terminal; what it prints and complains of must be clean.

    Return its code and what it printed.
    """
    capsys.readouterr()
    with mock.patch.object(sys.stdout, "isatty", lambda: True):
        code = main(arguments)
    told = capsys.readouterr()
    for text in (told.out.replace("\r\n", "\n"), told.err):
        assert not bad_characters(text), (arguments, bad_characters(text))
    assert code in (0, 1, 2)
    assert code != 0 or told.out or "-o" in arguments or "csv" in arguments
    return code, told.out


def put_in(arguments: tuple[str, ...], places: dict[str, str]) -> tuple[str, ...]:
    return tuple(places.get(argument, argument) for argument in arguments)


@pytest.mark.parametrize("arguments", WITH_A_MACHINE, ids=" ".join)
def test_a_hostile_machine_goes_through_every_command(
    arguments: tuple[str, ...], places: dict[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    own = put_in(OWN, places)
    code, told = ran((*arguments, "--machine", places["sound"], *own), capsys)
    assert code == 0
    check_form(arguments, told)
    if "html" in arguments:
        bad_code, told = ran((*arguments, "--machine", places["bad"], *own), capsys)
        assert bad_code == 1 or told
    if "--format" in arguments and "text" not in arguments:
        return  # the form of a report does not depend on where the machine comes from
    first, *options = arguments
    kind = [options.pop(0)] if first in ("report", "export") else []
    code, told = ran((first, *kind, places[SHEET], *options), capsys)
    assert code == 0
    check_form(arguments, told)


def check_form(arguments: tuple[str, ...], told: str) -> None:
    if "--json" in arguments:
        json.loads(told)
    elif "html" in arguments:
        check_html(told)
    elif "csv" in arguments and "--raw" not in arguments:
        check_csv(told)
    elif "markdown" in arguments:
        assert not re.search(r"(?<!\\)<script|(?<!\\)\[link=|(?<!\\)\[@click", told)


def check_html(told: str) -> None:
    assert "<script" not in told.lower()
    assert 'charset="utf-8"' in told.lower()
    assert not re.search(r"\son\w+\s*=\s*[\"']", told)
    assert all(link.startswith(("http", "#")) for link in re.findall(r'href="([^"]*)', told))


def check_csv(told: str) -> None:
    for row in csv.reader(io.StringIO(told)):
        for cell in row:
            bare = cell.lstrip(" \ufeff")
            if bare and bare[0] in "=+-@|%\t\r＝＋－＠":
                assert re.fullmatch(r"[-+]?[\d.,]+", bare), cell


@pytest.mark.parametrize("arguments", OTHERS, ids=" ".join)
def test_hostile_files_go_through_every_command(
    arguments: tuple[str, ...],
    places: dict[str, str],
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
) -> None:
    copied = dict(places)
    if arguments[0] == "import":
        copied[BOOK] = str(tmp_path / "book.json")
        Path(copied[BOOK]).write_bytes(Path(places[BOOK]).read_bytes())
    _, told = ran(put_in(arguments, copied), capsys)
    if "--json" not in arguments:
        check_form(arguments, told)


@pytest.mark.parametrize("arguments", AS_ARGUMENTS, ids=" ".join)
def test_a_hostile_argument_is_refused_in_clean_words(
    arguments: tuple[str, ...], places: dict[str, str], capsys: pytest.CaptureFixture[str]
) -> None:
    at = AS_ARGUMENTS.index(arguments) * 7
    for text in (HOSTILE * 5)[at : at + 10]:  # every text with some, every option with many
        # the system passes no null on, and a byte that is no text as half a surrogate
        text = text.replace("\0", "").replace("\ud800", "\udcff")
        given = tuple(text if one == "{}" else one for one in put_in(arguments, places))
        try:
            ran(given, capsys)
        except SystemExit as ended:
            told = capsys.readouterr()
            assert ended.code == 2
            assert not bad_characters(told.err)


def test_hostile_names_of_files_are_printed_clean(
    places: dict[str, str], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    book = tmp_path / "\x1b]52;c;x\x07\u202e\n.json"
    book.write_bytes(Path(places[BOOK]).read_bytes())
    sheet = tmp_path / "\x9b2J\x1b[31m.yaml"
    sheet.write_bytes(Path(places[SHEET]).read_bytes())
    bad = tmp_path / "\x1b[2J.yaml"
    bad.write_text("format: 9\n")
    out = str(tmp_path / "\x1b[31mout")
    for arguments in (
        ("history", "--book", str(book)),
        ("compare", "--book", str(book)),
        ("import", str(sheet), "--as-new", "--book", str(book)),
        ("reckon", str(sheet)),
        ("reckon", str(bad)),
        ("check", str(tmp_path)),
        ("check", str(bad), "--json"),
        ("read", str(bad)),
        ("report", "buyer", str(sheet), "-o", out),
        ("report", "buyer", str(sheet), "-o", out),
        ("export", "book", "--book", str(book), "-o", out),
        ("form", "bench-lathe", "-o", str(tmp_path / "\x1bno" / "form")),
    ):
        ran(arguments, capsys)


def test_every_command_is_in_the_tables() -> None:
    assert {row[0] for row in (*WITH_A_MACHINE, *OTHERS, *AS_ARGUMENTS)} >= set(COMMANDS)


def test_an_exported_sheet_brings_every_hostile_text_back(
    places: dict[str, str], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = str(tmp_path / "other.json")
    code, _ = ran(("import", places[SHEET], "--book", path), capsys)
    assert code == 0
    with Book.open(places["free"]) as old, Book.open(path) as new:
        (before,), (after,) = old.machines(), new.machines()
        for field in ("name", "seller", "place", "note", "serial_number"):
            assert getattr(after, field) == getattr(before, field).strip()
        texts = [(piece.text.strip(), piece.note.strip()) for piece in old.visit(before.id).pieces]
        assert [(piece.text, piece.note) for piece in new.visit(after.id).pieces] == texts


EXPORTS: list[tuple[str, ...]] = [
    *(("report", "inventory", "--format", form) for form in FORMATS),
    ("export", "sheet"),
    ("export", "csv"),
    ("export", "book"),
    ("form", "engine-lathe-small"),
]


@pytest.mark.parametrize("arguments", EXPORTS, ids=" ".join)
def test_a_full_disk_leaves_the_old_file_of_an_export(
    arguments: tuple[str, ...], tmp_path: Path
) -> None:
    book, target = example_copy(tmp_path), tmp_path / "out"
    target.write_text("the old one")
    own: list[Any] = [] if arguments[0] == "form" else ["--book", book]
    if arguments[0] in ("report", "export") and arguments[1] != "book":
        own += ["--machine", first_machine(book)]
    command = [sys.executable, "-m", "kitreckon", *arguments, *own, "-o", target, "--overwrite"]
    before = shown_files(tmp_path)
    done = subprocess.run(
        ["sh", "-c", 'ulimit -f 1; exec "$@"', "sh", *command],
        capture_output=True,
        text=True,
        env=surroundings() | {"PYTHONDONTWRITEBYTECODE": "1"},  # it would be cut short and kept
        timeout=60,
    )
    assert done.returncode == 1, done
    assert "too large" in done.stderr
    assert "Traceback" not in done.stderr
    assert target.read_text() == "the old one"
    assert shown_files(tmp_path) == before
    assert not list(tmp_path.glob(".kitreckon*")) and not list(tmp_path.glob("*.part"))


def shown_files(folder: Path) -> list[str]:
    return sorted(file.name for file in folder.iterdir() if not file.name.startswith("."))


def first_machine(path: Path) -> str:
    with Book.open(path) as book:
        return book.machines()[0].id
