"""A book opened to look at only: the file and its folder stay as they are, byte for byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from builders import a_lathe
from kitreckon.book import Book, ReadOnlyError


def a_book(folder: Path) -> Path:
    path = folder / "other.json"
    with Book.open(path) as book:
        for name in ("first", "second"):
            book.commit(name, book.put(a_lathe(id="machine-1", name=name)))
    (folder / ".other.json.lock").unlink()
    return path


def held_in(folder: Path) -> dict[str, tuple[bytes, int]]:
    return {
        str(file.relative_to(folder)): (file.read_bytes(), file.stat().st_mtime_ns)
        for file in folder.rglob("*")
        if file.is_file()
    }


def sound(path: Path) -> None:
    """Leave it as it is."""


def damaged(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-40])


def missing(path: Path) -> None:
    path.unlink()


def changed_outside(path: Path) -> None:
    path.write_bytes(path.read_bytes().replace(b"second", b"secand"))


def half_written(path: Path) -> None:
    path.with_name(".other.json.0123456789ab.part").write_bytes(b"half")


@pytest.mark.parametrize("befall", [sound, damaged, missing, changed_outside, half_written])
def test_nothing_on_disk_changes(befall: object, tmp_path: Path) -> None:
    path = a_book(tmp_path)
    befall(path)  # type: ignore[operator]
    before = held_in(tmp_path)
    with Book.open(path, look_only=True) as book:
        assert [machine.id for machine in book.machines()] == ["machine-1"]
        assert "look at only" in book.read_only
        with pytest.raises(ReadOnlyError):
            book.commit("change", book.put(a_lathe(id="machine-2")))
        with pytest.raises(ReadOnlyError):
            book.draft.write({"line": "8 g"})
        book.reload()
        with pytest.raises(ReadOnlyError):
            book.accept()
    assert held_in(tmp_path) == before


def test_it_is_looked_at_while_another_program_writes_it(tmp_path: Path) -> None:
    path = a_book(tmp_path)
    with Book.open(path) as writer, Book.open(path, look_only=True) as looker:
        assert writer.read_only == ""
        writer.commit("third", writer.put(a_lathe(id="machine-1", name="third")))
        looker.reload()
        assert looker.machines()[0].name == "third"


def test_a_folder_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    with Book.open(tmp_path / "gone" / "book.json", look_only=True) as book:
        assert book.machines() == ()
    assert list(tmp_path.iterdir()) == []
