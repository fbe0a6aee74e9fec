"""Every call to the operating system fails, once or from then on: old or new, never a mix."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest

from faults.faulty_systems import FailingSystem, ModelDisk, WatchedSystem
from faults.stories import STEPS, begin, content, content_on_disk, expected_contents, open_book
from kitreckon.book import Book, BookError, NotConfirmedError

ERRORS = (errno.EIO, errno.ENOSPC, errno.EDQUOT, errno.EACCES, errno.EROFS, errno.EINTR)
PATH = Path("/disk/book.json")


def ready_disk() -> ModelDisk:
    disk = ModelDisk()
    begin(PATH, disk)
    return disk


def calls_of_the_story() -> list[str]:
    system = WatchedSystem(ready_disk())
    with open_book(PATH, system) as book:
        for step in STEPS:
            step(book)
    return system.calls


def check_step(book: Book, disk: ModelDisk, step: object, old: object, new: object) -> bool:
    """Take one step on a failing system. True when it was acknowledged."""
    try:
        step(book)  # type: ignore[operator]
    except NotConfirmedError:
        assert content(book) == content_on_disk(PATH, disk) == new
        return True
    except BookError:
        assert content(book) == content_on_disk(PATH, disk) == old
        return False
    assert content(book) == content_on_disk(PATH, disk) == new
    return True


def run_story(disk: ModelDisk, system: FailingSystem, expected: list[object]) -> None:
    at = 0
    try:
        book = open_book(PATH, system)
    except BookError:
        book = None
    if book is not None:
        for number, step in enumerate(STEPS):
            if number != at:
                break  # the step before was refused: the later ones would mean something else
            if check_step(book, disk, step, expected[at], expected[at + 1]):
                at += 1
        book.close()
    system.die()
    with open_book(PATH, disk) as again:
        assert again.read_only == ""
        assert content(again) == expected[at]
        assert not [name for name in disk.list_folder(PATH.parent) if name.endswith(".part")]


@pytest.fixture(scope="module")
def expected() -> list[object]:
    return list(expected_contents(PATH, ModelDisk()))


@pytest.mark.parametrize("sticky", [False, True], ids=["once", "from then on"])
@pytest.mark.parametrize("error", ERRORS, ids=errno.errorcode.get)
def test_whichever_call_fails_the_book_is_old_or_new(
    error: int, sticky: bool, expected: list[object]
) -> None:
    start = ready_disk()
    calls = calls_of_the_story()
    assert len(calls) * len(ERRORS) * 2 >= 900
    for at in range(len(calls)):
        disk = start.copy()
        system = FailingSystem(at, error, sticky=sticky, inner=disk)
        run_story(disk, system, expected)
        assert system.failed > 0


def test_a_step_that_was_refused_can_be_taken_again(expected: list[object]) -> None:
    start = ready_disk()
    for at in range(len(calls_of_the_story())):
        disk = start.copy()
        system = FailingSystem(at, errno.EIO, sticky=False, inner=disk)
        try:
            book = open_book(PATH, system)
        except BookError:
            continue
        if book.read_only:
            book.close()
            continue
        for number, step in enumerate(STEPS):
            if not check_step(book, disk, step, expected[number], expected[number + 1]):
                step(book)
            assert content(book) == content_on_disk(PATH, disk) == expected[number + 1]
        book.close()


def test_once_a_failing_disk_works_again_so_does_saving(expected: list[object]) -> None:
    start = ready_disk()
    for at in range(len(calls_of_the_story())):
        disk = start.copy()
        system = FailingSystem(at, errno.EIO, sticky=True, inner=disk)
        try:
            book = open_book(PATH, system)
        except BookError:
            continue
        if not book.read_only:
            for step in STEPS[:2]:
                try:
                    step(book)
                except BookError:
                    break
            system.sticky, system.at = False, -1
            book.restore(1)
            book.draft.write({"line": "x"})
            assert content(book) == content_on_disk(PATH, disk)
        book.close()


@pytest.mark.parametrize("sticky", [False, True], ids=["once", "from then on"])
def test_a_draft_is_old_or_new_whichever_call_fails(sticky: bool) -> None:
    old, new = {"line": "6in 4 jaw"}, {"line": "6in 4 jaw, no key"}
    start = ready_disk()
    with open_book(PATH, start) as book:
        book.draft.write(old)
    for at in range(60):
        disk = start.copy()
        system = FailingSystem(at, errno.EIO, sticky=sticky, inner=disk)
        told = False
        try:
            with open_book(PATH, system) as book:
                book.draft.write(new)
        except BookError:
            told = True
        system.die()
        with open_book(PATH, disk) as again:
            left = again.draft.read()
            assert left in (old, new)
            assert left == new or told


def test_no_failure_reaches_the_user_as_an_os_error() -> None:
    disk = ready_disk()
    for at in range(40):
        system = FailingSystem(at, errno.ENOSPC, sticky=True, inner=disk.copy())
        try:
            with open_book(PATH, system) as book:
                book.draft.write({"line": "6in 4 jaw"})
        except BookError as error:
            assert "no space left" in str(error) or "cannot save here" in str(error)
