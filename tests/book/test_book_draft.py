"""The draft beside the book, and where a book lies."""

from __future__ import annotations

from pathlib import Path

import pytest

from kitreckon.book import Book, BookError, ReadOnlyError
from kitreckon.book.paths import default_book


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "book.json"


def test_a_draft_is_offered_again_after_a_restart_until_it_is_cleared(path: Path) -> None:
    with Book.open(path) as book:
        assert book.draft.read() == {}
        book.draft.write({"screen": "count", "line": "6in 4 jaw chcuk"})
        book.draft.write({"screen": "count", "line": "6in 4 jaw chuck, no key"})
    with Book.open(path) as book:
        assert book.draft.read() == {"screen": "count", "line": "6in 4 jaw chuck, no key"}
        book.draft.clear()
        book.draft.clear()
    with Book.open(path) as book:
        assert book.draft.read() == {}


def test_a_draft_is_for_its_user_alone_and_lies_hidden_beside_the_book(path: Path) -> None:
    with Book.open(path) as book:
        book.draft.write({"line": "x"})
    draft = path.with_name(".book.json.draft")
    assert draft.stat().st_mode & 0o777 == 0o600
    assert not path.exists()


@pytest.mark.parametrize(
    "junk", [b"", b"[]", b"{}", b"[" * 9999, b'{"format":1,"texts":[]}', b'{"format":2,"texts":{}}']
)
def test_a_damaged_draft_is_no_draft(junk: bytes, path: Path) -> None:
    path.with_name(".book.json.draft").write_bytes(junk)
    with Book.open(path) as book:
        assert book.draft.read() == {}
        book.draft.write({"line": "new"})
        assert book.draft.read() == {"line": "new"}


def test_a_draft_comes_back_cleaned(path: Path) -> None:
    text = '{"format":1,"texts":{"line":"a\\u001b[2Jb","number":7}}'
    path.with_name(".book.json.draft").write_text(text)
    with Book.open(path) as book:
        assert book.draft.read() == {"line": "a\ufffd[2Jb"}


def test_only_the_writer_of_the_book_writes_its_draft(path: Path) -> None:
    with Book.open(path) as book, Book.open(path) as second:
        book.draft.write({"line": "mine"})
        assert second.draft.read() == {"line": "mine"}
        for change in (lambda: second.draft.write({"line": "x"}), second.draft.clear):
            with pytest.raises(ReadOnlyError):
                change()


def test_a_draft_that_cannot_be_kept_says_so(path: Path) -> None:
    with Book.open(path) as book:
        path.with_name(".book.json.draft").mkdir()
        with pytest.raises(BookError, match="the draft is not kept"):
            book.draft.write({"line": "x"})
        with pytest.raises(BookError, match="cannot be removed"):
            book.draft.clear()
        assert book.draft.read() == {}


@pytest.mark.parametrize(
    ("environ", "platform", "expected"),
    [
        ({"HOME": "/h"}, "linux", "/h/.local/share/kitreckon/book.json"),
        ({"HOME": "/h", "XDG_DATA_HOME": "/d"}, "linux", "/d/kitreckon/book.json"),
        ({"HOME": "/h", "XDG_DATA_HOME": "d"}, "linux", "/h/.local/share/kitreckon/book.json"),
        ({"HOME": "/h"}, "darwin", "/h/Library/Application Support/kitreckon/book.json"),
        ({"HOME": "/h"}, "win32", "/h/AppData/Roaming/kitreckon/book.json"),
        ({"HOME": "/h", "APPDATA": "/a"}, "win32", "/a/kitreckon/book.json"),
    ],
)
def test_the_default_place_follows_the_platform(
    environ: dict[str, str], platform: str, expected: str
) -> None:
    assert default_book(environ, platform).as_posix() == expected
