"""A process that changes a book without end, killed at a random moment; then the reckoning.

Run as a program it is that process: ``python kill_trials.py ours PATH update 40``. Every change
is acknowledged by its number on standard output once it is saved. ``tinydb`` in place of
``ours`` does the same changes through TinyDB's default storage, for comparison.
"""

from __future__ import annotations

import os
import random
import select
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from tinydb import TinyDB, where

from kitreckon.book import Book, BookError
from kitreckon.count import Machine, Piece

KINDS = ("update", "remove", "mixed")
STORAGES = ("ours", "tinydb")
State = dict[str, str]
MACHINE = "machine-1"


@dataclass
class Tally:
    """What came of a number of trials."""

    trials: int = 0
    acknowledged: int = 0
    lost: int = 0
    unreadable: int = 0

    def add(self, other: Tally) -> None:
        self.trials += other.trials
        self.acknowledged += other.acknowledged
        self.lost += other.lost
        self.unreadable += other.unreadable


def first_state(records: int) -> State:
    return {f"piece-{n}": f"note of piece {n}" for n in range(1, records + 1)}


def change(kind: str, records: int, k: int) -> tuple[str, str | None]:
    """Return the k-th change: the id, and its new note, or None when it goes."""
    turn = {"update": 0, "remove": 1 + k % 2, "mixed": k % 3}[kind]
    if turn == 0:
        return f"piece-{k % records + 1}", f"{k} " + "long " * (k * 7 % 30)
    pair = (k + 1) // 2 if kind == "remove" else k // 3
    gone = turn == (2 if kind == "remove" else 1)
    return f"piece-{pair % records + 1}", None if gone else f"back at {k}"


def state_after(kind: str, records: int, changes: int) -> State:
    state = first_state(records)
    for k in range(1, changes + 1):
        key, note = change(kind, records, k)
        if note is None:
            state.pop(key, None)
        else:
            state[key] = note
    return state


class OurBook:
    """The changes through the book."""

    def __init__(self, path: Path) -> None:
        self.book = Book.open(path)

    def fill(self, state: State) -> None:
        changes = self.book.put(Machine(MACHINE, "lathe", "engine-lathe-small"))
        for key, note in state.items():
            changes += self.book.put(Piece(key, "other", note=note), MACHINE)
        self.book.commit("fill", changes)

    def apply(self, key: str, note: str | None) -> None:
        piece = Piece(key, "other", note=note or "")
        make = self.book.drop if note is None else self.book.put
        self.book.commit("change", make(piece, MACHINE))

    def state(self) -> State:
        return {piece.id: piece.note for piece in self.book.visit(MACHINE).pieces}

    def close(self) -> None:
        self.book.close()


class DefaultTinyDB:
    """The same changes through TinyDB's default storage."""

    def __init__(self, path: Path) -> None:
        self.database = TinyDB(path)
        self.pieces = self.database.table("pieces")

    def fill(self, state: State) -> None:
        self.pieces.insert_multiple({"id": key, "note": note} for key, note in state.items())

    def apply(self, key: str, note: str | None) -> None:
        if note is None:
            self.pieces.remove(where("id") == key)
        else:
            self.pieces.upsert({"id": key, "note": note}, where("id") == key)

    def state(self) -> State:
        return {document["id"]: document["note"] for document in self.pieces.all()}

    def close(self) -> None:
        self.database.close()


def opened(storage: str, path: Path) -> OurBook | DefaultTinyDB:
    return OurBook(path) if storage == "ours" else DefaultTinyDB(path)


def change_for_ever(storage: str, path: Path, kind: str, records: int, out: int) -> None:
    store = opened(storage, path)
    os.write(out, b"0\n")
    k = 0
    while True:
        k += 1
        store.apply(*change(kind, records, k))
        os.write(out, b"%d\n" % k)


Start = Callable[[str, Path, str, int], tuple[int, int]]


def as_program(storage: str, path: Path, kind: str, records: int) -> tuple[int, int]:
    """Start the process anew; return its id and the end of the pipe it acknowledges by."""
    reading, writing = os.pipe()
    command = [sys.executable, __file__, storage, str(path), kind, str(records)]
    process = subprocess.Popen(command, stdout=writing)
    os.close(writing)
    process.returncode = 0  # it is waited for by its id
    return process.pid, reading


def as_fork(storage: str, path: Path, kind: str, records: int) -> tuple[int, int]:
    """Start the process as a copy of this one: no time goes into imports."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            change_for_ever(storage, path, kind, records, writing)
        finally:
            os._exit(1)
    os.close(writing)
    return child, reading


def trial(storage: str, path: Path, kind: str, records: int, wait_s: float, start: Start) -> Tally:
    """Start, wait for the first change, wait a moment more, kill, and look at what is left."""
    child, pipe = start(storage, path, kind, records)
    told = b""
    while b"\n1\n" not in told and select.select([pipe], [], [], 30)[0]:
        part = os.read(pipe, 64)
        told += part
        if not part:
            break  # it ended by itself: the last change it told of is what counts
    time.sleep(wait_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    while part := os.read(pipe, 65536):
        told += part
    os.close(pipe)
    numbers = told.split(b"\n")[:-1]
    if not numbers:
        raise RuntimeError("the process never began")
    done = int(numbers[-1])
    return Tally(1, done, **_looked_at(storage, path, kind, records, done))


def _looked_at(storage: str, path: Path, kind: str, records: int, done: int) -> dict[str, int]:
    try:
        store = opened(storage, path)
        found = store.state()
        store.close()
    except (BookError, ValueError, KeyError):
        return {"unreadable": 1, "lost": 1}
    whole = [state_after(kind, records, done), state_after(kind, records, done + 1)]
    return {"lost": int(found not in whole)}


def trials(
    storage: str,
    folder: Path,
    kind: str,
    records: int,
    count: int,
    start: Start = as_program,
    longest_s: float = 0.05,
) -> Tally:
    """Run ``count`` trials, each on a fresh copy of the same book; programs two at a time."""
    tally = Tally()
    ready = folder / "ready"
    ready.mkdir(parents=True)
    store = opened(storage, ready / "book.json")
    store.fill(first_state(records))
    store.close()

    def one(number: int, wait_s: float) -> Tally:
        place = folder / str(number)
        shutil.copytree(ready, place)
        found = trial(storage, place / "book.json", kind, records, wait_s, start)
        shutil.rmtree(place)
        return found

    with ThreadPoolExecutor(2) as pool:
        each = map if start is as_fork else pool.map  # no thread may run where a process forks
        for found in each(one, range(count), _waits(count, longest_s)):
            tally.add(found)
    return tally


def _waits(count: int, longest_s: float) -> Iterator[float]:
    dice = random.Random(count)
    return (dice.uniform(0, longest_s) for _ in range(count))


if __name__ == "__main__":
    change_for_ever(sys.argv[1], Path(sys.argv[2]), sys.argv[3], int(sys.argv[4]), 1)
