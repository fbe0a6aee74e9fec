"""The process is killed, or the power goes, at every call: what was acknowledged is there.

The power-cut model proves itself: with a sync taken out it finds lost and unreadable books.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from faults.faulty_systems import ModelDisk, StoppedError, StoppingSystem, WatchedSystem
from faults.stories import STEPS, begin, content, expected_contents, open_book
from kitreckon.book import BookError
from kitreckon.book.system import System

PATH = Path("/disk/book.json")


class NoFileSync(ModelDisk):
    """Says that a file is synced, and forgets it."""

    def fsync(self, descriptor: int) -> None:
        if isinstance(self.descriptors[descriptor], Path):
            super().fsync(descriptor)


class NoFolderSync(ModelDisk):
    """Says that a folder is synced, and forgets it."""

    def fsync(self, descriptor: int) -> None:
        if not isinstance(self.descriptors[descriptor], Path):
            super().fsync(descriptor)


def calls_of_the_story(path: Path, inner: System) -> int:
    begin(path, inner)
    system = WatchedSystem(inner)
    with open_book(path, system) as book:
        for step in STEPS:
            step(book)
    return len(system.calls)


def steps_until_stopped(path: Path, system: StoppingSystem) -> int:
    """Return how many steps were acknowledged before the process was gone."""
    done = 0
    try:
        with open_book(path, system) as book:
            for step in STEPS:
                step(book)
                done += 1
    except StoppedError:
        pass
    system.die()
    return done


def test_killed_at_any_call_the_book_is_old_or_new(tmp_path: Path) -> None:
    expected = expected_contents(tmp_path / "whole" / "book.json")
    calls = calls_of_the_story(tmp_path / "count" / "book.json", System())
    for at in range(calls):
        path = tmp_path / str(at) / "book.json"
        begin(path)
        done = steps_until_stopped(path, StoppingSystem(at))
        with open_book(path) as book:
            assert (book.read_only, book.notices) == ("", ())
            assert content(book) in expected[done : done + 2]
        assert not list(path.parent.glob(".*.part"))


def power_cuts(disk_kind: type[ModelDisk], every: int = 1) -> tuple[int, int, int]:
    """Return how many disks were tried, how many had lost something, how many opened not at all.

    ``every``: the power goes at every call, or at every few of them.
    """
    expected = expected_contents(PATH, ModelDisk())
    tried = lost = unreadable = 0
    for at in range(0, calls_of_the_story(PATH, ModelDisk()), every):
        disk = disk_kind()
        begin(PATH, disk)
        done = steps_until_stopped(PATH, StoppingSystem(at, disk))
        for left in disk.after_power_cut():
            tried += 1
            try:
                with open_book(PATH, left) as book:
                    lost += content(book) not in expected[done : done + 2]
            except BookError:
                unreadable += 1
    return tried, lost, unreadable


def test_a_power_cut_at_any_call_loses_nothing_acknowledged() -> None:
    tried, lost, unreadable = power_cuts(ModelDisk)
    assert tried > 300
    assert (lost, unreadable) == (0, 0)


@pytest.mark.parametrize("careless", [NoFileSync, NoFolderSync])
def test_the_model_finds_a_sync_that_is_missing(careless: type[ModelDisk]) -> None:
    _, lost, unreadable = power_cuts(careless, every=9)
    assert lost + unreadable > 0
