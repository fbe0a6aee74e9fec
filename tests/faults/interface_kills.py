"""The interface in a pty, killed while somebody counts: what the screen called saved is there."""

from __future__ import annotations

import itertools
import random
import re
import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from faults.kill_trials import Tally
from faults.terminals import Terminal, example_copy, words
from kitreckon.book import Book, BookError
from kitreckon.count import Machine, Piece

AT_A_TIME = 6
GO = "\x07"
KEYS = {"update": "  ", "remove": "--", "mixed": " -"}  # one here, one here; none, none


def open_count(terminal: Terminal) -> None:
    terminal.wait_for("SAVED")
    go_to_count(terminal)


def go_to_count(terminal: Terminal) -> None:
    terminal.send(GO)
    terminal.wait_for("esc", len(terminal.told))
    terminal.send("c")
    terminal.wait_for("not looked")


def times_saved(told: str) -> int:
    """Return how often the screen went over from saving to saved."""
    states = [word for word, _ in itertools.groupby(re.findall(r"saving|SAVED", told))]
    return list(itertools.pairwise(states)).count(("saving", "SAVED"))


def killed_while_counting(path: Path, keys: str, seed: int) -> tuple[int, int]:
    """Return how many actions the screen called saved, and how many keys were sent."""
    dice, sent = random.Random(seed), 0
    with Terminal("--book", str(path)) as terminal:
        open_count(terminal)
        since = len(terminal.told)
        for key in itertools.islice(itertools.cycle(keys), dice.randrange(3, 9)):
            terminal.send(key)
            sent += 1
            while sent == 1 and not times_saved(words(terminal.told[since:])):
                assert terminal.read(20), "the first change was never saved"
            terminal.read_for(dice.uniform(0.01, 0.15))
        terminal.kill()
        return times_saved(words(terminal.told[since:])), sent


def book_of(folder: Path, more: int) -> Path:
    """Return a copy of the example book with so many pieces more."""
    path = example_copy(folder)
    if more:
        with Book.open(path) as book:
            changes = book.put(Machine("store", "store", "bench-lathe", status="owned"))
            for number in range(more):
                changes += book.put(Piece(f"more-{number}", "other", text="a thing"), "store")
            book.commit("store", changes)
    return path


def trial(folder: Path, kind: str, more: int, seed: int) -> Tally:
    """Count, kill, and look: nothing that was called saved may be missing, nothing be half."""
    folder.mkdir()
    path = book_of(folder, more)
    with Book.open(path) as book:
        before = len(book.history.actions)
        visit = book.visit(book.machines()[0].id)
    saved, sent = killed_while_counting(path, KEYS[kind], seed)
    try:
        with Book.open(path) as book:
            done = len(book.history.actions) - before
            whole = not book.read_only and not book.notices and saved <= done <= sent
            for _ in range(done):
                book.undo()
            whole = whole and book.visit(visit.machine_id) == visit
    except BookError:
        return Tally(1, saved, 1, 1)
    shutil.rmtree(folder)
    return Tally(1, saved, int(not whole))


def trials(folder: Path, kind: str, more: int, count: int) -> Tally:
    """Run ``count`` trials, a few at a time."""
    tally = Tally()
    folder.mkdir(exist_ok=True)
    with ThreadPoolExecutor(AT_A_TIME) as pool:
        places = (folder / f"{kind}-{more}-{seed}" for seed in range(count))
        seeds = range(count)
        for one in pool.map(lambda place, seed: trial(place, kind, more, seed), places, seeds):
            tally.add(one)
    return tally
