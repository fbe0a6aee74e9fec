"""The operating-system calls: what is promised of each beyond passing it on."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from kitreckon.book import system as system_module
from kitreckon.book.system import System, _patiently


def test_a_file_held_by_a_scanner_is_tried_again_for_a_while(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    times, pauses = iter([0.0, *[n / 10 for n in range(1, 60)]]), []
    monkeypatch.setattr(system_module.time, "monotonic", lambda: next(times))
    monkeypatch.setattr(system_module.time, "sleep", pauses.append)
    tries = iter([PermissionError, PermissionError, None])

    def act() -> None:
        if error := next(tries):
            raise error

    _patiently(act)
    assert len(pauses) == 2
    assert pauses[1] > pauses[0]


def test_a_file_held_for_good_is_given_up_after_two_seconds(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    clock = [0.0]
    monkeypatch.setattr(system_module.time, "monotonic", lambda: clock[0])
    monkeypatch.setattr(
        system_module.time, "sleep", lambda pause: clock.__setitem__(0, clock[0] + pause)
    )

    def act() -> None:
        raise PermissionError

    with pytest.raises(PermissionError):
        _patiently(act)
    assert 1 < clock[0] <= 2


def test_a_file_that_is_too_large_is_not_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(system_module, "LARGEST_FILE", 10)
    file = tmp_path / "large"
    file.write_bytes(b"x" * 11)
    with pytest.raises(OSError, match="too large"):
        System().read(file)
    file.write_bytes(b"x" * 10)
    assert System().read(file) == b"x" * 10


def test_a_new_file_never_takes_the_place_of_another(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("there")
    with pytest.raises(FileExistsError):
        System().create(file, 0o600)
    descriptor = System().create(tmp_path / "new", 0o600)
    os.close(descriptor)
    assert (tmp_path / "new").stat().st_mode & 0o777 == 0o600


def test_a_lock_is_held_by_one_descriptor_and_ends_with_it(tmp_path: Path) -> None:
    system = System()
    first, second = (system.open_lock(tmp_path / "lock") for _ in range(2))
    assert system.lock(first)
    assert not system.lock(second)
    system.close(first)
    assert system.lock(second)
    system.close(second)
