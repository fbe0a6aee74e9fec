"""An older copy put back by hand, a book brought by a sync service: no state is mistaken."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from kitreckon.book import Book, BookError
from kitreckon.book.generations import generations_folder
from kitreckon.book.system import System
from kitreckon.commands import main
from kitreckon.count import Machine


def name_it(book: Book, name: str) -> None:
    book.commit(name, book.put(Machine("m", name, "mill")))


def name_of(book: Book) -> str:
    return book.machines()[0].name


def saved(path: Path, *names: str) -> Path:
    """Save a book once for each name, all in one start of the program."""
    path.parent.mkdir(exist_ok=True)
    with Book.open(path) as book:
        for name in names:
            name_it(book, name)
    return path


@pytest.fixture
def colliding(tmp_path: Path) -> Path:
    """A book whose generations 1 and 2 are there twice, each time another state."""
    path = saved(tmp_path / "book.json", "a1", "a2", "a3")
    other = saved(tmp_path / "other" / "book.json", "b1", "b2", "b3")
    for file in generations_folder(other).iterdir():
        twin = f"{file.stem}-1.json"
        (generations_folder(path) / twin).write_bytes(file.read_bytes())
    return path


def test_after_an_older_copy_was_put_back_no_number_is_given_twice(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "old")
    old = path.read_bytes()
    saved(path, "b", "c")
    for turn in range(2):
        path.write_bytes(old)
        saved(path, f"{turn} again", f"{turn} more")
    with Book.open(path) as book:
        assert book.notices == ()
        assert (book.generation, name_of(book)) == (7, "1 more")
        assert [(one.number, one.name, one.label) for one in book.generations()] == [
            (6, "6", "1 again"), (5, "5", "old"),
            (4, "4", "0 again"), (3, "3", "old"),
            (2, "2", "b"), (1, "1", "old"),
        ]  # fmt: skip


def test_a_book_older_than_a_state_beside_it_names_it_and_the_way_back(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a")
    old = path.read_bytes()
    saved(path, "b", "c", "d")
    path.write_bytes(old)
    for _ in range(2):  # looking at it changes nothing
        with Book.open(path) as book:
            (notice,) = book.notices
            assert name_of(book) == "a"
    assert path.read_bytes() == old
    assert "older than a state kept beside it: generation 3, saved 2" in notice
    assert "(c; machines: 1, pieces: 0)" in notice
    (way_back,) = re.findall(r"history --restore (\S+)$", notice)
    with Book.open(path) as book:
        book.restore(way_back)
        assert (book.notices, name_of(book)) == ((), "c")
    with Book.open(path) as book:
        assert (book.notices, name_of(book)) == ((), "c")
        book.restore(book.generations()[0])
        assert name_of(book) == "a"  # what had been put back is a state too


def test_a_book_that_only_has_the_number_of_a_state_beside_it_is_told_of(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a1", "a2", "a3")
    other = saved(tmp_path / "other" / "book.json", "b1", "b2")
    path.write_bytes(other.read_bytes())
    with Book.open(path) as book:
        (notice,) = book.notices
        assert "does not come after a state kept beside it: generation 2, " in notice
        name_it(book, "b3")
        found = [(one.name, one.label) for one in book.generations()]
        assert (book.generation, found) == (4, [("3", "b2"), ("2", "a2"), ("1", "a1")])


def test_a_newer_state_that_is_damaged_is_told_of_and_counted_past(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a")
    old = path.read_bytes()
    saved(path, "b", "c")
    (newest,) = generations_folder(path).glob("000000002*")
    newest.write_bytes(b"junk")
    path.write_bytes(old)
    with Book.open(path) as book:
        (notice,) = book.notices
        assert "older than generation 2 beside it, which cannot be restored" in notice
        assert book.generation == 3


def test_a_save_cut_short_leaves_nothing_to_be_told(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a", "b")
    put_by = generations_folder(path) / "000000002-20260101.json"
    put_by.write_bytes(path.read_bytes())  # the old file has its second name, and no more
    with Book.open(path) as book:
        assert (book.notices, book.generation) == ((), 2)


def test_what_another_program_saves_while_the_book_is_read_is_not_beside_it(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a")

    class Between(System):
        """A disk on which the writer saves twice just after the book was read."""

        def read(self, place: Path) -> bytes:
            data = super().read(place)
            if place == path:
                name_it(writer, "b")
                name_it(writer, "c")
            return data

    with Book.open(path) as writer, Book.open(path, system=Between()) as looking:
        assert name_of(looking) == "a"
        assert looking.notices == ()


def test_states_of_one_number_are_told_apart_by_name(colliding: Path) -> None:
    with Book.open(colliding) as book:
        found = book.generations()
    assert [one.number for one in found] == [2, 2, 1, 1]
    assert {one.label for one in found[:2]} == {"a2", "b2"}
    assert len({one.name for one in found}) == 4
    assert all(re.fullmatch(rf"{one.number}-[0-9a-f]{{6}}", one.name) for one in found)


@pytest.mark.parametrize("by_name", [False, True])
@pytest.mark.parametrize("at", range(4))
def test_the_very_state_that_is_chosen_is_restored(colliding: Path, at: int, by_name: bool) -> None:
    with Book.open(colliding) as book:
        state = book.generations()[at]
        assert book.restore(state.name if by_name else state) == state
        assert name_of(book) == state.label


def test_a_number_that_several_have_is_refused_with_their_names(colliding: Path) -> None:
    with Book.open(colliding) as book:
        twice = [one for one in book.generations() if one.number == 2]
        with pytest.raises(
            BookError, match="there are 2 generations 2, and they differ"
        ) as refused:
            book.restore(2)
        assert name_of(book) == "a3"
    for one in twice:
        assert re.search(
            rf"\n  {one.name}, saved .* \({one.label}; machines: 1", str(refused.value)
        )


def test_one_state_kept_twice_is_one_state(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a", "b", "c")
    (kept,) = generations_folder(path).glob("000000002*")
    (kept.parent / "000000002-20260101-start.json").write_bytes(kept.read_bytes())
    with Book.open(path) as book:
        assert [one.name for one in book.generations()] == ["2", "2", "1"]
        book.restore(2)
        assert name_of(book) == "b"


def test_beside_a_damaged_one_of_its_number_a_state_is_restored_by_its_name(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a", "b", "c")
    (generations_folder(path) / "000000002-20260101.json").write_bytes(b"junk")
    with Book.open(path) as book:
        good, damaged = sorted(book.generations()[:2], key=lambda one: not one.good)
        assert damaged.name == "2-damaged"
        for name in ("2", damaged.name):
            with pytest.raises(BookError):
                book.restore(name)
        assert book.restore(good.name) == good
        assert name_of(book) == "b"


def test_a_file_that_is_another_since_it_was_listed_is_not_restored(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a", "b", "c")
    with Book.open(path) as book:
        newest, oldest = book.generations()
        folder = generations_folder(path)
        (folder / newest.file).unlink()
        (folder / newest.file).write_bytes((folder / oldest.file).read_bytes())
        with pytest.raises(BookError, match="generation 2 is not what it was"):
            book.restore(newest)
        assert name_of(book) == "c"


@pytest.mark.parametrize("name", ["", "-", "x", "2-", "2-zz", "٢", "2 ", "9" * 40, "1.0", "-2"])
def test_what_names_no_state_restores_none_or_the_one(name: str, tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a", "b", "c")
    with Book.open(path) as book:
        if name == "2-":
            assert book.restore(name).label == "b"
        else:
            with pytest.raises(BookError, match="there is no good generation"):
                book.restore(name)


def test_a_number_beyond_all_counting_is_no_generation(tmp_path: Path) -> None:
    path = saved(tmp_path / "book.json", "a", "b")
    folder = generations_folder(path)
    (folder / f"{'9' * 18}-20260101.json").write_bytes(path.read_bytes())
    saved(path, "c")
    with Book.open(path) as book:
        assert (book.notices, book.generation) == ((), 3)


def history(capsys: pytest.CaptureFixture[str], path: Path, *more: str) -> tuple[Any, str, str]:
    code = main(["history", *more, "--book", str(path)])
    told = capsys.readouterr()
    return code, told.out, told.err


def test_the_command_lists_the_names_refuses_a_number_and_takes_a_name(
    colliding: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, listed, _ = history(capsys, colliding)
    names = re.findall(r"\b2-[0-9a-f]{6}\b", listed)
    assert (code, len(names)) == (0, 2)
    code, told, refused = history(capsys, colliding, "--restore", "2")
    assert (code, told) == (1, "")
    assert all(re.search(rf"(?m)^kitreckon: +{name}, saved", refused) for name in names)
    (wanted,) = re.findall(r"(2-[0-9a-f]{6})\b.*\bb2\b", listed)
    code, told, _ = history(capsys, colliding, "--restore", wanted)
    assert (code, f"generation {wanted} is the book again" in told) == (0, True)
    with Book.open(colliding) as book:
        assert name_of(book) == "b2"
