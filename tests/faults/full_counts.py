"""The table of all faults at full count; see tests/benchmarks/faults.py."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from faults import default_storage, interface_kills
from faults.faulty_systems import FailingSystem, ModelDisk
from faults.kill_trials import KINDS, STORAGES, Tally, as_fork, trials
from faults.stories import content, expected_contents, open_book
from faults.test_damaged_files import good_disk, with_file
from faults.test_failing_calls import ERRORS, PATH, calls_of_the_story, ready_disk, run_story
from faults.test_power_cut import NoFileSync, NoFolderSync, power_cuts
from kitreckon.book import BookError

SIZES = (40, 1_000)
Row = tuple[str, Tally | None, Tally | None]


def failing_calls() -> Tally:
    expected, start, tally = list(expected_contents(PATH, ModelDisk())), ready_disk(), Tally()
    for at in range(len(calls_of_the_story())):
        for error in ERRORS:
            for sticky in (False, True):
                system = FailingSystem(at, error, sticky=sticky, inner=start.copy())
                tally.add(_told(lambda s=system: run_story(s.inner, s, expected)))
    return tally


def _told(story: Callable[[], None]) -> Tally:
    try:
        story()
    except AssertionError:
        return Tally(1, 0, 1)
    except BookError:
        return Tally(1, 0, 1, 1)
    return Tally(1)


def prefixes() -> Tally:
    disk, tally = good_disk(), Tally()
    whole = disk.read(PATH)
    for length in range(len(whole)):
        try:
            with open_book(PATH, with_file(disk, whole[:length])) as book:
                tally.add(Tally(1, 0, int(not book.notices)))
        except BookError:
            tally.add(Tally(1, 0, 1, 1))
    return tally


def flips() -> Tally:
    disk, tally = good_disk(), Tally()
    data = disk.read(PATH)
    with open_book(PATH, disk.copy()) as book:
        whole = content(book)
    for at in range(len(data)):
        for bit in range(8):
            flipped = data[:at] + bytes([data[at] ^ (1 << bit)]) + data[at + 1 :]
            try:
                with open_book(PATH, with_file(disk, flipped)) as book:
                    tally.add(Tally(1, 0, int(content(book) != whole and not book.notices)))
            except BookError:
                tally.add(Tally(1, 0, 1, 1))
    return tally


def kills(storage: str, folder: Path, kind: str, records: int, count: int) -> Tally:
    return trials(storage, folder / f"{storage}-{kind}-{records}", kind, records, count, as_fork)


def rows(folder: Path, count: int, of_interface: int) -> list[Callable[[], Row]]:
    cut = default_storage.power_cuts
    made: list[Callable[[], Row]] = [
        lambda: (
            "error at every call, 6 errors, once and on",
            failing_calls(),
            default_storage.failing_calls(folder, ERRORS),
        ),
        lambda: (
            "power cut at every call",
            _cut(ModelDisk),
            cut(folder, 1000, 500),
        ),
        lambda: (
            "  the same, file sync taken out",
            _cut(NoFileSync),
            None,
        ),
        lambda: ("  the same, folder sync taken out", _cut(NoFolderSync), None),
        lambda: ("file cut at every length", prefixes(), default_storage.prefixes(folder)),
        lambda: ("every bit flipped", flips(), default_storage.flips(folder)),
        lambda: ("full disk", *(default_storage.full_disk(s, folder / s) for s in STORAGES)),
        lambda: (
            "two programs at once, 120 changes",
            *(default_storage.two_writers(s, folder / s, 5) for s in STORAGES),
        ),
    ]
    made += [
        lambda kind=kind, records=records: (
            f"kill -9 during {kind}, {records} records",
            *(kills(storage, folder, kind, records, count) for storage in STORAGES),
        )
        for kind in KINDS
        for records in SIZES
    ]
    made += [
        lambda kind=kind, more=more: (
            f"interface killed during {kind}, {more:,} more pieces",
            interface_kills.trials(folder / f"pty-{kind}-{more}", kind, more, of_interface),
            None,
        )
        for kind in KINDS
        for more in (0, 1_000)
    ]
    return made


def _cut(disk: type[ModelDisk]) -> Tally:
    tried, lost, unreadable = power_cuts(disk)
    return Tally(tried, 0, lost + unreadable, unreadable)


def show(tally: Tally | None) -> str:
    if tally is None:
        return f"{'':>28}"
    return f"{tally.trials:9,} {tally.lost:7,} {tally.unreadable:10,}"


def print_table(count: int, of_interface: int) -> None:
    """Print a row for each fault, with so many kills for each kind of change and size."""
    began = time.perf_counter()
    print(f"{'':42} {'the book':^28}   {'TinyDB default storage':^28}")
    print(f"{'fault':42} {'injected    lost unreadable':>28}   {'injected    lost unreadable':>28}")
    total = {storage: Tally() for storage in STORAGES}
    with tempfile.TemporaryDirectory() as folder:
        for row in rows(Path(folder), count, of_interface):
            name, ours, default = row()
            print(f"{name:42} {show(ours)}   {show(default)}", flush=True)
            for storage, tally in zip(STORAGES, (ours, default), strict=True):
                if tally is not None and not name.startswith(" "):
                    total[storage].add(tally)
    print(
        f"{'together (without those taken out)':42} {show(total['ours'])}   {show(total['tinydb'])}"
    )
    print(f"acknowledged while being killed: {total['ours'].acknowledged:,}")
    print(f"{time.perf_counter() - began:.0f} s")
