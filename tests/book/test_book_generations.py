"""Earlier states of the book: which are kept, how they are listed and brought back."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from builders import a_lathe, a_mill, a_piece
from kitreckon.book import Book, BookError
from kitreckon.book.generations import DAYS, LAST, STARTS, Kept, generations_folder, superfluous
from kitreckon.count import Machine

START = datetime(2026, 1, 1, 9, 0, tzinfo=UTC)


class Clock:
    def __init__(self) -> None:
        self.time = START

    def __call__(self) -> datetime:
        return self.time


def name_it(book: Book, name: str) -> None:
    book.commit(name, book.put(Machine("m", name, "mill")))


def test_the_last_five_the_starts_and_the_days_are_kept(tmp_path: Path) -> None:
    clock = Clock()
    for day in range(40):
        clock.time = START + timedelta(days=day)
        with Book.open(tmp_path / "book.json", clock) as book:
            for save in range(8):
                name_it(book, f"{day}/{save}")
    with Book.open(tmp_path / "book.json", clock) as book:
        found = book.generations()
    starts = [one for one in found if one.start]
    assert [one.label for one in found[:LAST]] == ["39/6", "39/5", "39/4", "39/3", "39/2"]
    assert len(starts) == STARTS
    assert {one.label for one in starts} == {f"{day}/7" for day in range(9, 39)}
    last_of_days = {f"{day}/6" for day in range(10, 40)}
    assert last_of_days <= {one.label for one in found}
    assert len(found) <= LAST + STARTS + DAYS
    assert all(one.good for one in found)


def test_what_goes_is_chosen_by_counter_and_never_by_the_clock() -> None:
    def kept(number: int, day: str, start: bool = False) -> Kept:
        return Kept(number, day, start, 0, f"{number}-{day}")

    one_day = [kept(number, "20260101") for number in range(1, 10)]
    assert [one.number for one in superfluous(one_day)] == [4, 3, 2, 1]
    clock_jumps_back = [*one_day, *(kept(number, "20250101") for number in range(10, 20))]
    assert [one.number for one in superfluous(clock_jumps_back)] == [
        14,
        13,
        12,
        11,
        10,
        *range(8, 0, -1),
    ]
    with_start = [kept(1, "20260101", True), *one_day[1:]]
    assert 1 not in [one.number for one in superfluous(with_start)]
    assert superfluous([]) == []


def test_a_restored_generation_brings_its_actions_and_is_a_new_generation(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    with Book.open(path) as book:
        book.commit("lathe", book.put(a_lathe()))
        book.commit("mill", book.put(a_mill()))
        book.commit("chuck", book.put(a_piece("chuck-3-jaw"), "m1"))
        book.undo()
        assert book.generation == 4
        book.restore(2)
        assert book.generation == 5
        assert book.machines() == (a_lathe(), a_mill())
        assert (book.undo_label, book.redo_label) == ("mill", "")
    with Book.open(path) as book:
        assert book.undo_label == "mill"
        book.undo()
        assert book.machines() == (a_lathe(),)
        book.restore(4)  # the state that was restored over is a generation too
        assert (book.undo_label, book.redo_label) == ("mill", "chuck")


def test_a_generation_is_listed_with_what_it_holds(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    with Book.open(path) as book:
        book.commit("lathe", book.put(a_lathe()))
        book.commit("chuck", book.put(a_piece("chuck-3-jaw"), "m1"))
        book.commit("mill", book.put(a_mill()))
        newest, oldest = book.generations()
        assert (newest.number, newest.label, newest.machines, newest.pieces) == (2, "chuck", 1, 1)
        assert (oldest.number, oldest.label, oldest.machines, oldest.pieces) == (1, "lathe", 1, 0)
        assert abs(datetime.fromisoformat(newest.saved_utc) - datetime.now(UTC)).days == 0


def test_a_damaged_generation_is_listed_as_such_and_not_restored(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    with Book.open(path) as book:
        for name in ("a", "b", "c"):
            name_it(book, name)
        folder = generations_folder(path)
        newest = folder / book.generations()[0].file
        newest.write_bytes(newest.read_bytes().replace(b'"b"', b'"x"'))
        assert [one.good for one in book.generations()] == [False, True]
        with pytest.raises(BookError, match="no good generation 2"):
            book.restore(2)
        with pytest.raises(BookError, match="no good generation 77"):
            book.restore(77)
        assert book.machines()[0].name == "c"


def test_recovery_passes_over_damaged_generations(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    with Book.open(path) as book:
        for name in ("a", "b", "c"):
            name_it(book, name)
        newest = generations_folder(path) / book.generations()[0].file
    newest.write_bytes(b"junk")
    path.write_bytes(b"junk")
    with Book.open(path) as book:
        assert book.machines()[0].name == "a"
        assert "generation 1" in book.notices[0]
        name_it(book, "d")
        assert book.generation > 3  # numbers go on, and none is given twice


def test_a_book_from_elsewhere_counts_on_from_the_states_beside_it(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    with Book.open(path) as book:
        for name in ("a", "b", "c"):
            name_it(book, name)
    (tmp_path / "other").mkdir()
    with Book.open(tmp_path / "other" / "book.json") as other:
        name_it(other, "elsewhere")
    path.write_bytes((tmp_path / "other" / "book.json").read_bytes())
    with Book.open(path) as book:
        name_it(book, "d")
        assert sorted((one.number, one.label) for one in book.generations()) == [
            (1, "a"), (2, "b"), (3, "elsewhere"),
        ]  # fmt: skip


def test_strange_files_among_the_generations_are_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    with Book.open(path) as book:
        name_it(book, "a")
        name_it(book, "b")
        for name in ("notes.txt", "1-20260101.json", "000000001.json"):
            (generations_folder(path) / name).write_text("x")
        for name in "cdefghijk":
            name_it(book, name)
        assert len(book.generations()) == LAST
    assert (generations_folder(path) / "notes.txt").exists()
