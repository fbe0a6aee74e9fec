"""What one saved action costs: ``python tests/benchmarks/saving.py``.

One action changes one piece. Raw is the least that could be done for the same records and
actions: json.dumps, write, fsync, into the same file. Both are medians, taken in turns, and so
is TinyDB's default storage (one update by id of the same record, without actions).
"""

from __future__ import annotations

import json
import os
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any

from tinydb import TinyDB

from kitreckon.book import Book
from kitreckon.count import Machine, Piece
from kitreckon.quantities import read_length

SIZES = (10, 100, 1_000, 10_000)


def piece(number: int, note: str = "") -> Piece:
    return Piece(
        f"piece-{number}",
        "chuck-3-jaw",
        text="6in three jaw chuck, D1-4, one set of jaws",
        size=read_length("6in"),
        mount="D1-4",
        condition="good",
        note=note,
    )


def filled(path: Path, records: int) -> Book:
    book = Book.open(path)
    machines = [
        Machine(f"machine-{n}", "lathe", "engine-lathe-small") for n in range(records // 50 + 1)
    ]
    for machine in machines:
        book.commit("machine", book.put(machine))
    first: tuple[Any, ...] = ()
    for number in range(records):
        first += book.put(piece(number), machines[number % len(machines)].id)
    book.commit("pieces", first)
    return book


def raw_save(path: Path, content: object) -> None:
    with path.open("w", encoding="utf-8") as file:
        file.write(json.dumps(content, ensure_ascii=False))
        file.flush()
        os.fsync(file.fileno())


def timed_ms(act: Callable[[], object]) -> float:
    start = time.perf_counter()
    act()
    return (time.perf_counter() - start) * 1000


def measure(folder: Path, records: int, rounds: int) -> tuple[dict[str, float], int]:
    """Return the median ms of each way of saving, and the size of the book's file."""
    path = folder / "book.json"
    book = filled(path, records)
    machine = book.machines()[0].id
    default = TinyDB(folder / "default.json")
    pieces = default.table("pieces")
    pieces.insert_multiple({"id": f"piece-{n}", "text": "x" * 150} for n in range(records))
    took: dict[str, list[float]] = {}
    for turn in range(rounds):
        note = f"judged again, turn {turn}"
        whole = json.loads(path.read_bytes())
        alone = {"tables": {**whole["tables"], "actions": {}}}
        ways: dict[str, Callable[[], object]] = {
            "ours": partial(commit_note, book, machine, note),
            "raw": partial(raw_save, folder / "raw.json", whole),
            "records alone": partial(raw_save, folder / "alone.json", alone),
            "default": partial(pieces.update, {"note": note}, doc_ids=[1]),
        }
        for name, way in ways.items():
            took.setdefault(name, []).append(timed_ms(way))
    size = path.stat().st_size
    book.close()
    default.close()
    return {name: median(times) for name, times in took.items()}, size


def commit_note(book: Book, machine: str, note: str) -> None:
    book.commit("note", book.put(piece(0, note), machine))


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    print("median ms of one saved action; raw is dumps + write + fsync")
    print("records  file KB   ours    raw  ours/raw  raw of records alone  ours/that  default")
    for records in SIZES:
        with tempfile.TemporaryDirectory() as folder:
            ms, size = measure(Path(folder), records, rounds)
        ours, raw, alone = ms["ours"], ms["raw"], ms["records alone"]
        print(
            f"{records:7} {size / 1000:8.0f} {ours:6.2f} {raw:6.2f} {ours / raw:9.2f}"
            f" {alone:21.2f} {ours / alone:10.2f} {ms['default']:8.2f}"
        )


if __name__ == "__main__":
    main()
