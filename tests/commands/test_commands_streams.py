"""The program in the terminal as it really is: closed pipes, full disks, signals, encodings."""

from __future__ import annotations

import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
SHEET = str(EXAMPLES / "lathe-12in.yaml")
RUN = [sys.executable, "-m", "kitreckon"]


def run(*arguments: str, **options: object) -> subprocess.CompletedProcess[bytes]:
    given = {"stdin": subprocess.DEVNULL, "stdout": subprocess.PIPE, "stderr": subprocess.PIPE}
    return subprocess.run([*RUN, *arguments], check=False, timeout=60, **(given | options))  # type: ignore[call-overload,no-any-return]


def test_a_closed_pipe_ends_quietly_with_141() -> None:
    read_end, write_end = os.pipe()
    os.close(read_end)
    try:
        done = run("reckon", SHEET, stdout=write_end)
    finally:
        os.close(write_end)
    assert done.returncode == 141
    assert b"Traceback" not in done.stderr
    assert b"BrokenPipe" not in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("arguments", [["--version"], ["form", "bench-lathe"]])
def test_a_full_disk_is_one_message_and_1(arguments: list[str]) -> None:
    with Path("/dev/full").open("wb") as full:
        done = run(*arguments, stdout=full)
    assert done.returncode == 1
    assert done.stderr.count(b"\n") == 1
    assert b"cannot print" in done.stderr or b"cannot go on" in done.stderr


def test_a_closed_standard_output_is_one_message_and_1() -> None:
    done = subprocess.run(
        ["sh", "-c", f'exec "{sys.executable}" -m kitreckon --version >&-'],
        check=False, capture_output=True,
    )  # fmt: skip
    assert done.returncode == 1
    assert b"standard output is closed" in done.stderr


def test_a_narrow_encoding_shows_marks_and_does_not_stop(tmp_path: Path) -> None:
    text = tmp_path / "lines.txt"
    text.write_text("½in drill chuck 旋盤\n", "utf-8")
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    done = run("read", str(text), "--lines", env=environment)
    assert done.returncode == 0
    assert b"?" in done.stdout
    done.stdout.decode("ascii")


def test_no_terminal_says_what_works_without_one() -> None:
    done = run()
    assert done.returncode == 2
    assert b"no terminal" in done.stderr
    assert done.stdout == b""


@pytest.mark.parametrize("name", ["SIGTERM", "SIGHUP"])
def test_a_signal_ends_with_143(name: str) -> None:
    process = subprocess.Popen(
        [*RUN, "read", "--lines"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(b"steady rest\n" * 2000)
    process.stdin.flush()
    assert process.stdout.readline()  # it is under way
    process.send_signal(getattr(signal, name))
    process.communicate(timeout=30)
    assert process.returncode == 143


@pytest.mark.parametrize("arguments", [["--nonsense"], ["reckn"], ["buy", SHEET], ["report", "x"]])
def test_wrong_usage_is_2(arguments: list[str]) -> None:
    done = run(*arguments)
    assert done.returncode == 2
    assert b"usage: kitreckon" in done.stderr


@pytest.mark.parametrize(
    "arguments",
    [
        ["report", "seller", "--format", "csv", SHEET],
        ["report", "--format", "csv", "seller", SHEET],
        ["export", "csv", "--raw", SHEET],
        ["--book", "reckon", "buy", "--budget", "100", SHEET, "--json"],
    ],
)
def test_a_sheet_may_stand_anywhere_among_the_options(arguments: list[str]) -> None:
    done = run(*arguments)
    assert done.returncode == 0, done.stderr
    assert done.stdout


def test_progress_shows_on_a_terminal_and_nowhere_else(tmp_path: Path) -> None:
    text = tmp_path / "lines.txt"
    text.write_text("steady rest\n" * 300, "utf-8")
    piped = run("read", str(text), "--lines", "--json")
    assert piped.stderr == b""
    assert piped.stdout.count(b"\n") == 300
    master, slave = pty.openpty()
    with (tmp_path / "out").open("wb") as out:
        run("read", str(text), "--lines", "--json", stdout=out, stderr=slave)
    os.close(slave)
    shown = os.read(master, 100_000)
    os.close(master)
    assert b"100 %" in shown


def test_long_texts_are_read_line_by_line() -> None:
    process = subprocess.Popen(
        [*RUN, "read", "--lines", "--json"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(b"steady rest\n" * 3000)  # more than any buffer between us holds
    process.stdin.flush()
    started = time.monotonic()
    first = process.stdout.readline()
    assert b"steady-rest" in first  # an answer before the end of the text
    assert time.monotonic() - started < 50
    process.communicate(timeout=60)
    assert process.returncode == 0


def test_the_version_starts_without_the_heavy_packages() -> None:
    code = (
        "import sys; from kitreckon.commands import main; main(['--version']);"
        "print(sorted({'argparse','yaml','rapidfuzz','tinydb','textual'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert done.stdout.splitlines()[1] == b"[]"


def test_reading_starts_without_book_and_screens() -> None:
    code = (
        "import sys; from kitreckon.commands import main; main(['read', sys.argv[1]]);"
        "print(sorted({'tinydb','textual','rich','asyncio'} & set(sys.modules)))"
    )
    advert = str(EXAMPLES / "advert.txt")
    done = subprocess.run([sys.executable, "-c", code, advert], capture_output=True, check=True)
    assert done.stdout.splitlines()[-1] == b"[]"
