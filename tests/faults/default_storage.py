"""The same faults put to TinyDB's default storage, so that the two can be compared."""

from __future__ import annotations

import json
import os
import random
import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from unittest import mock

from faults.kill_trials import (
    DefaultTinyDB,
    Tally,
    change,
    first_state,
    opened,
    state_after,
)

RECORDS = 40
PAGE = 4096
CALLS = ("seek", "write", "flush", "fsync", "truncate")


def made(path: Path, records: int = RECORDS) -> bytes:
    """Make a default database of pieces and return its bytes."""
    store = DefaultTinyDB(path)
    store.fill(first_state(records))
    store.close()
    return path.read_bytes()


def state_of(data: bytes) -> dict[str, str] | None:
    """Return what the default storage would make of these bytes; None when it cannot."""
    try:
        tables = json.loads(data)
        return {one["id"]: one["note"] for one in tables["pieces"].values()} if data else None
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None


def seen(data: bytes, allowed: Sequence[dict[str, str]]) -> Tally:
    state = state_of(data)
    return Tally(1, 0, int(state not in allowed), int(state is None))


class FailingHandle:
    """The file handle of the default storage; one kind of call on it fails."""

    def __init__(self, handle: Any, name: str, error: int) -> None:
        self._handle, self._name, self._error = handle, name, error

    def __getattr__(self, name: str) -> Any:
        return self._fail if name == self._name else getattr(self._handle, name)

    def _fail(self, *_: Any) -> None:
        raise OSError(self._error, os.strerror(self._error))


def failing_calls(folder: Path, errors: Sequence[int]) -> Tally:
    """Every call of a save fails, with each error, for each kind of change."""
    tally = Tally()
    for kind in ("update", "remove", "mixed"):
        for name in CALLS:
            for error in errors:
                path = folder / f"{kind}-{name}-{error}.json"
                made(path)
                tally.add(_failing_call(path, kind, name, error))
    return tally


def _failing_call(path: Path, kind: str, name: str, error: int) -> Tally:
    store = DefaultTinyDB(path)
    storage = store.database.storage
    handle = storage._handle  # type: ignore[attr-defined]
    storage._handle = FailingHandle(handle, name, error)  # type: ignore[attr-defined]
    fail = OSError(error, os.strerror(error))
    patch = mock.patch("tinydb.storages.os.fsync", side_effect=fail if name == "fsync" else None)
    try:
        with patch:
            store.apply(*change(kind, RECORDS, 1))
    except OSError:
        pass
    handle.close()
    both = [state_after(kind, RECORDS, 0), state_after(kind, RECORDS, 1)]
    return seen(path.read_bytes(), both)


def power_cuts(folder: Path, records: int, cuts: int) -> Tally:
    """The disk took some pages of the new file and not others."""
    path = folder / f"pages-{records}.json"
    dice, tally = random.Random(records), Tally()
    for kind in ("update", "remove"):
        old = made(path, records)
        store = DefaultTinyDB(path)
        store.apply(*change(kind, records, 2 if kind == "update" else 1))
        store.close()
        new = path.read_bytes()
        path.unlink()
        allowed = [state_of(old) or {}, state_of(new) or {}]
        for _ in range(cuts):
            tally.add(seen(_mixed_pages(old, new, dice), allowed))
    return tally


def _mixed_pages(old: bytes, new: bytes, dice: random.Random) -> bytes:
    size = len(dice.choice((old, new)))
    pages = [
        dice.choice((old, new))[at : at + PAGE].ljust(min(PAGE, size - at), b"\0")[: size - at]
        for at in range(0, size, PAGE)
    ]
    return b"".join(pages)


def prefixes(folder: Path) -> Tally:
    """The file is cut at every length."""
    data, tally = made(folder / "prefix.json", 6), Tally()
    for length in range(len(data)):
        tally.add(seen(data[:length], [state_of(data) or {}]))
    return tally


def flips(folder: Path) -> Tally:
    """Every bit is flipped; lost is what reads differently and is not noticed."""
    data, tally = made(folder / "flip.json", 6), Tally()
    whole = state_of(data)
    for at in range(len(data)):
        for bit in range(8):
            state = state_of(data[:at] + bytes([data[at] ^ (1 << bit)]) + data[at + 1 :])
            tally.add(Tally(1, 0, int(state is not None and state != whole), int(state is None)))
    return tally


FULL_DISK = """
import resource, signal, sys
sys.dont_write_bytecode = True
sys.path.insert(0, sys.argv[2])
from pathlib import Path
from faults.kill_trials import opened
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
path = Path(sys.argv[1])
store = opened(sys.argv[3], path)
room = path.stat().st_size + int(sys.argv[4])
resource.setrlimit(resource.RLIMIT_FSIZE, (room, resource.RLIM_INFINITY))
try:
    store.apply("piece-1", "x" * 900)
except Exception:
    sys.exit(7)
"""


def fill(storage: str, path: Path) -> None:
    path.parent.mkdir(parents=True)
    store = opened(storage, path)
    store.fill(first_state(RECORDS))
    store.close()


def full_disk(storage: str, folder: Path) -> Tally:
    """There is room for a part of the new file only."""
    tally = Tally()
    for room in (-200, -1, 1, 100, 400, 800):
        path = folder / f"full{room}" / "book.json"
        fill(storage, path)
        tests = str(Path(__file__).parent.parent)
        command = [sys.executable, "-c", FULL_DISK, str(path), tests, storage, str(room)]
        done = subprocess.run(command, capture_output=True, check=False)
        if done.returncode != 7:
            raise RuntimeError(f"the disk was not full: {done.stderr.decode()}")
        try:
            store = opened(storage, path)
            state = store.state()
            store.close()
        except ValueError:
            tally.add(Tally(1, 0, 1, 1))
        else:
            tally.add(Tally(1, 0, int(state != first_state(RECORDS))))
    return tally


TWO_WRITERS = """
import sys
sys.path.insert(0, sys.argv[2])
from pathlib import Path
from faults.kill_trials import opened
done = 0
try:
    for turn in range(10000):
        store = opened(sys.argv[3], Path(sys.argv[1]))
        if getattr(getattr(store, "book", None), "read_only", ""):
            store.close()
            continue
        store.apply(f"{sys.argv[4]}-{done}", "here")
        store.close()
        done += 1
        if done == 60:
            break
finally:
    print(done)
"""


def two_writers(storage: str, folder: Path, runs: int) -> Tally:
    """Two programs add sixty pieces each at the same time; lost counts the pieces."""
    tally = Tally()
    for run in range(runs):
        path = folder / f"two{run}" / "book.json"
        fill(storage, path)
        head = [sys.executable, "-c", TWO_WRITERS, str(path), str(Path(__file__).parent.parent)]
        both = [
            subprocess.Popen(
                [*head, storage, name], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
            )
            for name in ("here", "there")
        ]
        done = sum(int(one.communicate()[0]) for one in both)
        try:
            store = opened(storage, path)
            found = len(store.state()) - RECORDS
            store.close()
        except ValueError:
            tally.add(Tally(1, done, done, 1))
        else:
            tally.add(Tally(1, done, done - found))
    return tally
