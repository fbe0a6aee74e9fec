"""The real program in a pty: killed, ended, hung up, without a terminal, in odd terminals."""

from __future__ import annotations

import os
import random
import re
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from faults.interface_kills import AT_A_TIME, GO, KEYS, go_to_count, open_count, trials
from faults.terminals import Terminal, example_copy, surroundings, words
from kitreckon.book import Book

KILLS = 20
LEAVE, MONEY = "\x11", "\x0f"
SHEET = Path(__file__).parents[2] / "examples" / "lathe-13in.yaml"


@pytest.mark.parametrize("kind", KEYS)
def test_what_the_screen_calls_saved_survives_kill_9(kind: str, tmp_path: Path) -> None:
    tally = trials(tmp_path, kind, more=0, count=KILLS)
    assert tally.trials == KILLS
    assert tally.acknowledged >= KILLS
    assert (tally.lost, tally.unreadable) == (0, 0)


def test_an_import_that_is_killed_is_in_the_book_or_not(tmp_path: Path) -> None:
    def trial(number: int) -> str:
        folder = tmp_path / str(number)
        folder.mkdir()
        path = example_copy(folder)
        with Book.open(path) as book:
            machines = len(book.machines())
        command = [sys.executable, "-m", "kitreckon", "import", str(SHEET), "--as-new"]
        with subprocess.Popen(
            [*command, "--book", str(path)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
        ) as process:
            time.sleep(random.Random(number).uniform(0.05, 0.9))
            process.kill()
            told, complained = process.communicate()
        assert complained == b""
        with Book.open(path) as book:
            assert (book.read_only, book.notices) == ("", ())
            more = len(book.machines()) - machines
            assert more in (0, 1)
            if more:
                assert book.visit(book.machines()[-1].id).pieces
        assert more == 1 or b"added" not in told
        return "added" if more else "not"

    with ThreadPoolExecutor(AT_A_TIME) as pool:
        list(pool.map(trial, range(KILLS)))


def half_typed(terminal: Terminal) -> None:
    """Mark one row, and leave a line half typed."""
    open_count(terminal)
    since = len(terminal.told)
    terminal.send(" ")
    terminal.wait_for("SAVED", since)
    terminal.send("steady re")
    terminal.wait_for("steady re", since)


def nothing_lost(path: Path, actions: int) -> None:
    with Book.open(path) as book:
        assert (book.read_only, book.notices) == ("", ())
        assert len(book.history.actions) == actions + 1
        assert "steady re" in book.draft.read().values()


def actions_in(path: Path) -> int:
    with Book.open(path) as book:
        return len(book.history.actions)


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_a_signal_ends_it_in_order(number: signal.Signals, tmp_path: Path) -> None:
    path = example_copy(tmp_path)
    before = actions_in(path)
    with Terminal("--book", str(path)) as terminal:
        half_typed(terminal)
        terminal.process.send_signal(number)
        assert terminal.ended() == 143
        assert terminal.restored()
    nothing_lost(path, before)


def test_a_dropped_connection_ends_it_in_order(tmp_path: Path) -> None:
    path = example_copy(tmp_path)
    before = actions_in(path)
    with Terminal("--book", str(path)) as terminal:
        half_typed(terminal)
        terminal.hang_up()
        assert terminal.process.wait(timeout=20) == 143
    nothing_lost(path, before)


def test_a_half_typed_line_is_offered_again_after_kill_9(tmp_path: Path) -> None:
    path = example_copy(tmp_path)
    before = actions_in(path)
    with Terminal("--book", str(path)) as terminal:
        half_typed(terminal)
        terminal.read_for(2)  # the draft is on disk at most two seconds after the last key
        terminal.kill()
    nothing_lost(path, before)
    with Terminal("--book", str(path)) as terminal:
        open_count(terminal)
        terminal.wait_for("steady re")


BREAKS = """
import sys
from kitreckon.commands import main
from kitreckon.screens.app import KitreckonApp

def broken(app):
    raise RuntimeError("a fault of ours")

KitreckonApp.action_money = broken
raise SystemExit(main(sys.argv[1:]))
"""


def test_a_fault_of_our_own_restores_the_terminal_and_names_a_log(tmp_path: Path) -> None:
    path = example_copy(tmp_path)
    before = actions_in(path)
    with Terminal("--book", str(path), started_by=("-c", BREAKS)) as terminal:
        half_typed(terminal)
        terminal.send(MONEY)
        assert terminal.ended() == 1
        assert terminal.restored()
        told = words(terminal.told)
    assert "Traceback" not in told
    (log,) = (file for file in tmp_path.rglob("*") if "a fault of ours" in _text(file))
    assert log.name in told.replace("\r\n", "")
    assert "Traceback" in _text(log)
    nothing_lost(path, before)


def _text(file: Path) -> str:
    return file.read_text("utf-8", "replace") if file.is_file() else ""


def test_leaving_by_its_key_exits_with_0_and_restores_the_terminal(tmp_path: Path) -> None:
    path = example_copy(tmp_path)
    with Terminal("--book", str(path)) as terminal:
        terminal.wait_for("SAVED")
        terminal.send(LEAVE)
        assert terminal.ended() == 0
        assert terminal.restored()


ODD: list[tuple[dict[str, str], tuple[int, int]]] = [
    ({"TERM": "dumb"}, (80, 24)),
    ({"TERM": "linux"}, (80, 24)),
    ({"TERM": ""}, (80, 24)),
    ({"LC_ALL": "C", "LANG": "C"}, (80, 24)),
    ({"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}, (80, 24)),
    ({"NO_COLOR": "1"}, (80, 24)),
    ({}, (1, 1)),
    ({}, (2, 50)),
    ({}, (300, 100)),
]


def used_in(path: Path, environ: dict[str, str], size: tuple[int, int]) -> tuple[int, bool, str]:
    """Count one thing; return the exit code, whether the terminal is restored, what was shown."""
    with Terminal("--book", str(path), environ=environ, columns=size[0], lines=size[1]) as terminal:
        while not terminal.read(0.5):
            pass
        terminal.settle(1.5)
        for keys in (GO, "c", " "):
            terminal.send(keys)
            terminal.settle(0.7)
        terminal.send(LEAVE)
        return terminal.ended(), terminal.restored(), words(terminal.told)


def test_in_odd_terminals_it_works_and_leaves_in_order(tmp_path: Path) -> None:
    def trial(number: int) -> tuple[int, bool, int]:
        folder = tmp_path / str(number)
        folder.mkdir()
        path = example_copy(folder)
        before = actions_in(path)
        code, restored, told = used_in(path, *ODD[number])
        assert "Traceback" not in told
        return code, restored, actions_in(path) - before

    with ThreadPoolExecutor(len(ODD)) as pool:
        done = list(pool.map(trial, range(len(ODD))))
    assert dict(zip(map(str, ODD), done, strict=True)) == dict.fromkeys(map(str, ODD), (0, True, 1))


def run(*arguments: str, **options: object) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, "-m", "kitreckon", *arguments]
    settings: dict[str, object] = {"env": surroundings(), "timeout": 30, "stderr": subprocess.PIPE}
    return subprocess.run(command, **(settings | options))  # type: ignore[call-overload, no-any-return]


def test_beside_an_open_interface_a_command_reads_and_does_not_write(tmp_path: Path) -> None:
    path = example_copy(tmp_path)
    with Terminal("--book", str(path)) as terminal:
        terminal.wait_for("SAVED")
        before = path.read_bytes()
        own = ("--book", str(path))
        listed = run("history", *own, stdout=subprocess.PIPE)
        assert (listed.returncode, listed.stderr) == (0, b"")
        refused = run("import", str(SHEET), "--as-new", *own, stdout=subprocess.PIPE)
        assert refused.returncode == 1
        assert f"process {terminal.process.pid} on".encode() in refused.stderr
        assert path.read_bytes() == before
        open_count(terminal)
        terminal.send(LEAVE)
        assert terminal.ended() == 0
    assert run("import", str(SHEET), "--as-new", *own, stdout=subprocess.PIPE).returncode == 0


def test_the_second_interface_looks_on_until_the_first_has_gone(tmp_path: Path) -> None:
    path = example_copy(tmp_path)
    before = actions_in(path)
    with Terminal("--book", str(path)) as first, Terminal("--book", str(path)) as second:
        shown = [_state(terminal) for terminal in (first, second)]
        assert sorted(shown) == ["READ ONLY", "SAVED"]
        looking, writing = (first, second) if shown[0] == "READ ONLY" else (second, first)
        go_to_count(looking)
        looking.send(" ")
        looking.read_for(1)
        half_typed(writing)
        for terminal in (looking, writing):
            terminal.send(LEAVE)
            assert terminal.ended() == 0
    nothing_lost(path, before)


def _state(terminal: Terminal) -> str:
    while not (found := re.findall(r"SAVED|READ ONLY", words(terminal.told))):
        terminal.read(0.2)
    return str(found[0])


def test_without_a_terminal_it_says_what_works_and_exits_with_2(tmp_path: Path) -> None:
    path = example_copy(tmp_path)
    before = path.read_bytes()
    done = run("--book", str(path), stdin=subprocess.DEVNULL, stdout=subprocess.PIPE)
    assert done.returncode == 2
    assert b"no terminal" in done.stderr
    assert b"Traceback" not in done.stderr
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    "command", [("manual",), ("form", "engine-lathe-small"), ("history",), ("export", "--help")]
)
def test_a_closed_pipe_ends_a_command_with_141_and_without_a_word(
    command: tuple[str, ...], tmp_path: Path
) -> None:
    path = example_copy(tmp_path)
    reading, writing = os.pipe()
    os.close(reading)
    own = ("--book", str(path)) if command[0] == "history" else ()
    done = run(*command, *own, stdout=writing)
    os.close(writing)
    assert (done.returncode, done.stderr) == (141, b"")


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the kernel does not list it")
def test_a_command_ended_by_a_signal_exits_with_143(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "kitreckon", "read", "-"]
    with subprocess.Popen(
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        wait_until_it_handles(process.pid, signal.SIGTERM)
        process.send_signal(signal.SIGTERM)
        assert process.wait(timeout=20) == 143
        assert process.stderr is not None
        assert b"Traceback" not in process.stderr.read()


def wait_until_it_handles(pid: int, number: signal.Signals) -> None:
    """Wait until a process has its own handler for a signal, as the kernel lists it."""
    status, ends = Path(f"/proc/{pid}/status"), time.monotonic() + 20
    while time.monotonic() < ends:
        caught = re.search(r"SigCgt:\s*([0-9a-f]+)", status.read_text())
        if caught and int(caught[1], 16) >> (number - 1) & 1:
            return
        time.sleep(0.02)
    raise AssertionError("it never handled the signal")
