"""Files of other formats: the golden file of each, converted; a later one only looked at."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from builders import a_lathe
from kitreckon.book import Book, BookError, NotABookError, ReadOnlyError
from kitreckon.book import encoding as encoding_module
from kitreckon.book import formats as formats_module
from kitreckon.book import opening as opening_module
from kitreckon.book.encoding import FORMAT, Tables, decode_book
from kitreckon.book.opening import open_storage
from kitreckon.book.system import System
from kitreckon.count import Look, Preferences

GOLDEN = Path(__file__).with_name("golden")


def golden_book(number: int, folder: Path) -> Path:
    """Return a copy of the golden file of a format, as the program of that format wrote it."""
    path = folder / "book.json"
    path.write_bytes((GOLDEN / f"format-{number}.json").read_bytes())
    return path


@pytest.mark.parametrize("number", range(1, FORMAT + 1))
def test_the_golden_file_of_every_format_opens_with_all_it_holds(
    number: int, tmp_path: Path
) -> None:
    path = golden_book(number, tmp_path)
    with Book.open(path) as book:
        (machine,) = book.machines()
        assert machine == a_lathe(id="machine-1", serial_number="Nº 41½")
        visit = book.visit("machine-1")
        assert [piece.kind for piece in visit.pieces] == ["chuck-3-jaw", None]
        assert visit.pieces[0].parts_missing == ("key",)
        assert visit.looks == (Look("steady-rest", 0),)
        assert visit.clock_s == 754
        assert visit.findings[0].note == "two teeth gone"
        assert visit.sayings[0].keeps == ("piece-2",)
        assert [len(x) for x in (book.shelf(), book.purchases(), book.own_prices())] == [1, 1, 1]
        assert book.corrections()[0].kind == "steady-rest"
        assert book.preferences() == Preferences(units="mm", power=0.4)
        assert (book.undo_label, book.redo_label) == ("settings", "drop the shelf")
        assert book.read_only == ""
        book.redo()
        assert book.shelf() == ()


def test_every_format_has_a_golden_file_and_a_way_up() -> None:
    assert sorted(file.name for file in GOLDEN.iterdir()) == [
        f"format-{number}.json" for number in range(1, FORMAT + 1)
    ]
    assert set(formats_module.CONVERTERS) == set(range(1, FORMAT))


def test_what_this_program_writes_is_what_the_golden_file_holds(tmp_path: Path) -> None:
    path = golden_book(FORMAT, tmp_path)
    before = json.loads(path.read_bytes())
    with Book.open(path) as book:
        book.redo()
        book.undo()
    after = json.loads(path.read_bytes())
    assert after["tables"] == before["tables"]
    assert after["generation"] == before["generation"] + 2


def test_a_later_format_opens_to_look_at(tmp_path: Path) -> None:
    path = golden_book(FORMAT, tmp_path)
    later = path.read_bytes().replace(b'"format":1', b'"format":9')
    path.write_bytes(later)
    with Book.open(path) as book:
        assert len(book.machines()) == 1
        assert book.read_only
        with pytest.raises(ReadOnlyError):
            book.undo()
    assert path.read_bytes() == later


def test_a_later_format_that_is_whole_names_both_formats(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "book.json"
    with monkeypatch.context() as patch:
        patch.setattr(encoding_module, "FORMAT", 9)
        with Book.open(path) as book:
            book.commit("lathe", book.put(a_lathe()))
    before = path.read_bytes()
    with Book.open(path) as book:
        assert "format 9" in book.read_only
        assert "format 1" in book.read_only
        assert book.machines() == (a_lathe(),)
    assert path.read_bytes() == before


def test_a_record_of_a_later_format_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    path = golden_book(FORMAT, tmp_path)
    path.write_bytes(path.read_bytes().replace(b'"qty":1', b'"qty":"one"'))
    with Book.open(path) as book:
        assert any("qty" in notice for notice in book.notices)
        assert book.visit("machine-1").pieces == ()
        with pytest.raises(BookError, match="qty"):
            book.accept()
        assert book.read_only


def test_an_earlier_format_is_converted_step_by_step_and_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = golden_book(1, tmp_path)
    old = path.read_bytes()

    def renamed(tables: Tables) -> dict[str, dict[str, Any]]:
        machines = {
            key: {**record, "name": "converted"} for key, record in tables["machines"].items()
        }
        return {**{name: dict(table) for name, table in tables.items()}, "machines": machines}

    for module in (encoding_module, formats_module, opening_module):
        monkeypatch.setattr(module, "FORMAT", 3)
    converters = {1: renamed, 2: lambda tables: {**tables, "added": {}}}
    opened = open_storage(path, System(), lambda: datetime.now(UTC), converters=converters)
    assert "format 1 and is now of format 3" in opened.notices[0]
    envelope = decode_book(path.read_bytes())
    assert (envelope.format, envelope.intact) == (3, True)
    assert envelope.tables["machines"]["machine-1"]["name"] == "converted"
    assert "added" in envelope.tables
    (kept,) = (tmp_path / ".book.json.generations").iterdir()
    assert kept.read_bytes() == old


def test_an_earlier_format_that_is_only_looked_at_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = golden_book(1, tmp_path)
    for module in (encoding_module, formats_module, opening_module):
        monkeypatch.setattr(module, "FORMAT", 2)
    old = path.read_bytes()
    opened = open_storage(
        path,
        System(),
        lambda: datetime.now(UTC),
        look_only=True,
        converters={1: lambda tables: {**tables, "added": {}}},
    )
    assert "added" in opened.storage.read()
    assert (path.read_bytes(), list(tmp_path.iterdir())) == (old, [path])


def test_a_format_that_never_was_is_refused(tmp_path: Path) -> None:
    path = golden_book(1, tmp_path)
    path.write_bytes(path.read_bytes().replace(b'"format":1', b'"format":0'))
    with pytest.raises(NotABookError, match="format 0"):
        Book.open(path)
