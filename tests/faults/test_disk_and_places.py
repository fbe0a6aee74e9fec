"""Real disks and folders: full, read-only, shared by two programs, linked, with odd modes."""

from __future__ import annotations

import errno
import os
import resource
import select
import subprocess
import sys
from pathlib import Path

import pytest

from faults.faulty_systems import OneByteSystem
from faults.stories import (
    CHUCK,
    LATHE,
    add_two,
    begin,
    content,
    drop_chuck,
    expected_contents,
    open_book,
    shorten_note,
    undo,
)
from kitreckon.book import (
    Book,
    BookError,
    ChangedBehindError,
    ReadOnlyError,
)
from kitreckon.book.system import Stamp, System


def mode(path: Path) -> int:
    return path.stat().st_mode & 0o777


FILL_THE_DISK = """
import resource, signal, sys
sys.dont_write_bytecode = True
from pathlib import Path
from kitreckon.book import Book, NotSavedError
from kitreckon.count import Piece
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
path = Path(sys.argv[1])
size = path.stat().st_size
with Book.open(path) as book:
    for room in (0, 1, 100, size - 1, size):
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, resource.RLIM_INFINITY))
        before = book.visit("machine-1")
        try:
            book.commit("grow", book.put(Piece("piece-9", "other", note="x" * 900), "machine-1"))
        except NotSavedError as error:
            assert "too large" in str(error), error
        else:
            raise SystemExit("saved on a full disk")
        assert book.visit("machine-1") == before
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    book.commit("grow", book.put(Piece("piece-9", "other"), "machine-1"))
"""


def test_a_full_disk_leaves_the_book_whole_and_can_be_got_over(tmp_path: Path) -> None:
    assert resource.getrlimit(resource.RLIMIT_FSIZE)[1] == resource.RLIM_INFINITY
    path = tmp_path / "book.json"
    begin(path)
    done = subprocess.run(
        [sys.executable, "-c", FILL_THE_DISK, str(path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    with open_book(path) as book:
        assert [piece.id for piece in book.visit(LATHE.id).pieces] == ["piece-1", "piece-9"]
    assert not list(tmp_path.glob(".*.part"))


def test_one_byte_at_a_time_is_enough(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    expected = expected_contents(path, OneByteSystem())
    with open_book(path) as book:
        assert content(book) == expected[-1]


# Two programs


def in_another_program(code: str, path: Path) -> subprocess.CompletedProcess[str]:
    head = "import sys\nfrom kitreckon.book import *\nfrom kitreckon.count import *\n"
    command = [sys.executable, "-c", head + code, str(path)]
    return subprocess.run(command, capture_output=True, text=True, check=True)


def test_the_second_program_looks_on_and_is_told_who_writes(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path)
    with open_book(path) as book:
        code = "book = Book.open(sys.argv[1]); print(book.read_only); print(len(book.machines()))"
        reason, machines = in_another_program(code, path).stdout.splitlines()
        assert f"process {os.getpid()} on" in reason
        assert machines == "1"
        book.commit("still mine", book.drop(CHUCK, LATHE.id))


def test_the_second_program_cannot_change_anything(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path)
    before = path.read_bytes()
    with open_book(path), open_book(path) as second:
        assert second.read_only
        for step in (shorten_note, add_two, drop_chuck, undo, lambda book: book.restore(1)):
            with pytest.raises(ReadOnlyError):
                step(second)
        with pytest.raises(ReadOnlyError):
            second.draft.write({"line": "x"})
        with pytest.raises(ReadOnlyError):
            second.accept()
    assert path.read_bytes() == before


def test_the_second_program_may_write_when_the_first_has_gone(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path)
    first, second = open_book(path), open_book(path)
    first.commit("one more", first.drop(CHUCK, LATHE.id))
    first.close()
    second.reload()
    assert second.read_only == ""
    assert second.visit(LATHE.id).pieces == ()
    second.commit("and back", second.put(CHUCK, LATHE.id))
    second.close()


def test_a_killed_program_leaves_no_lock(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path)
    code = (
        "import sys, time; from kitreckon.book import Book; book = Book.open(sys.argv[1]);"
        "print(repr(book.read_only), flush=True); time.sleep(60)"
    )
    with subprocess.Popen([sys.executable, "-c", code, str(path)], stdout=subprocess.PIPE) as other:
        assert other.stdout is not None
        assert select.select([other.stdout], [], [], 30)[0]
        assert other.stdout.readline().strip() == b"''"
        with open_book(path) as book:
            assert f"process {other.pid}" in book.read_only
        other.kill()
        other.wait()
    with open_book(path) as book:
        assert book.read_only == ""


WRITE_FORTY = """
import time
path, name = sys.argv[1].rsplit(":", 1)
saved = 0
for turn in range(400):
    with Book.open(path) as book:
        if book.read_only:
            time.sleep(0.002)
            continue
        book.commit("add", book.put(Machine(f"{name}-{saved}", name, "mill")))
        saved += 1
    if saved == 40:
        break
print(saved)
"""


def test_two_programs_taking_turns_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    head = "import sys\nfrom kitreckon.book import *\nfrom kitreckon.count import *\n"
    both = [
        subprocess.Popen(
            [sys.executable, "-c", head + WRITE_FORTY, f"{path}:{name}"],
            stdout=subprocess.PIPE,
            text=True,
        )
        for name in ("here", "there")
    ]
    saved = [int(one.communicate(timeout=60)[0]) for one in both]
    with open_book(path) as book:
        names = [machine.name for machine in book.machines()]
    assert [names.count("here"), names.count("there")] == saved
    assert min(saved) > 0


# The file changed behind the back


def test_a_file_changed_behind_the_back_is_not_overwritten(tmp_path: Path) -> None:
    path, copy = tmp_path / "book.json", tmp_path / "copy.json"
    begin(path)
    with open_book(path) as book:
        theirs = path.read_bytes().replace(b"12in", b"13in")
        path.write_bytes(theirs)
        for _ in range(2):
            with pytest.raises(ChangedBehindError, match="copy, or reload"):
                book.commit("no chuck", book.drop(CHUCK, LATHE.id) + book.put(CHUCK))
        assert book.behind
        assert path.read_bytes() == theirs
        assert book.shelf() == (CHUCK,)  # kept in memory
        assert book.save_copy(copy) == copy
        book.reload()
        assert not book.behind
        assert book.changed_outside
    with open_book(copy) as book:
        assert book.shelf() == (CHUCK,)
        assert book.notices == ()


@pytest.mark.parametrize("gone", ["file", "folder"])
def test_a_file_gone_behind_the_back_is_not_made_anew(gone: str, tmp_path: Path) -> None:
    path = tmp_path / "place" / "book.json"
    begin(path)
    with open_book(path) as book:
        if gone == "file":
            path.unlink()
        else:
            path.parent.rename(tmp_path / "moved")
        with pytest.raises(ChangedBehindError):
            book.commit("no chuck", book.drop(CHUCK, LATHE.id))
        assert not path.exists()
        book.save_copy(tmp_path / "copy.json")
    with open_book(tmp_path / "copy.json") as book:
        assert book.visit(LATHE.id).pieces == ()


def test_a_file_that_appears_behind_the_back_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    with open_book(path) as book:
        path.write_text("somebody's notes")
        with pytest.raises(ChangedBehindError):
            book.commit("add", book.put(LATHE))
    assert path.read_text() == "somebody's notes"


def test_a_copy_never_overwrites(tmp_path: Path) -> None:
    path, notes = tmp_path / "book.json", tmp_path / "notes.txt"
    notes.write_text("notes")
    begin(path)
    with open_book(path) as book:
        for target in (path, notes):
            with pytest.raises(BookError, match="already"):
                book.save_copy(target)
        with pytest.raises(BookError, match="no such file"):
            book.save_copy(tmp_path / "nowhere" / "copy.json")
    assert notes.read_text() == "notes"


# Places and modes


def test_a_new_book_is_for_its_user_alone_and_a_mode_set_later_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "fresh" / "book.json"
    begin(path)
    assert mode(path) == 0o600
    assert mode(path.parent) == 0o700
    assert mode(tmp_path / "fresh" / ".book.json.generations") == 0o700
    path.chmod(0o664)
    with open_book(path) as book:
        book.commit("no chuck", book.drop(CHUCK, LATHE.id))
        assert mode(path) == 0o664
        path.chmod(0o640)
        book.undo()
    assert mode(path) == 0o640


def test_a_symlink_stays_one_and_everything_lies_beside_its_target(tmp_path: Path) -> None:
    real, link = tmp_path / "real" / "book.json", tmp_path / "links" / "mine.json"
    begin(real)
    link.parent.mkdir()
    link.symlink_to(real)
    with open_book(link) as book, open_book(real) as other:
        assert other.read_only
        book.commit("no chuck", book.drop(CHUCK, LATHE.id))
        book.draft.write({"line": "x"})
    assert link.is_symlink()
    assert [file.name for file in link.parent.iterdir()] == ["mine.json"]
    with open_book(real) as book:
        assert book.visit(LATHE.id).pieces == ()


@pytest.mark.parametrize("what", ["file", "folder"])
def test_what_is_read_only_opens_to_look_at(what: str, tmp_path: Path) -> None:
    path = tmp_path / "place" / "book.json"
    begin(path)
    protected = path if what == "file" else path.parent
    protected.chmod(0o400 if what == "file" else 0o500)
    before = path.read_bytes()
    try:
        with open_book(path) as book:
            assert "read-only" in book.read_only
            assert book.machines() == (LATHE,)
            with pytest.raises(ReadOnlyError, match=r"cannot save here: the .* is read-only"):
                book.commit("no chuck", book.drop(CHUCK, LATHE.id))
            copy = book.save_copy(tmp_path / "copy.json")
        with open_book(copy) as book:
            assert book.visit(LATHE.id).pieces == (CHUCK,)
    finally:
        protected.chmod(0o700)
    assert path.read_bytes() == before


class Forbidding(System):
    """A folder in which no lock can be made, as on some network drives."""

    def open_lock(self, path: Path) -> int:
        raise OSError(errno.ENOLCK, os.strerror(errno.ENOLCK))


def test_where_no_lock_can_be_made_the_book_opens_to_look_at(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path)
    with open_book(path, Forbidding()) as book:
        assert "no lock can be made" in book.read_only
        assert book.machines() == (LATHE,)


class Linkless(System):
    """A file system without hard links."""

    def link(self, old: Path, new: Path) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))


def test_without_hard_links_generations_are_copies(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path, Linkless())
    with open_book(path, Linkless()) as book:
        book.commit("no chuck", book.drop(CHUCK, LATHE.id))
        assert [one.number for one in book.generations()] == [2, 1]
        assert all(one.good for one in book.generations())
    path.write_bytes(b"junk")
    with open_book(path, Linkless()) as book:
        assert book.visit(LATHE.id).pieces == (CHUCK,)
    assert (tmp_path / "book.damaged-1.json").read_bytes() == b"junk"


def test_a_folder_or_a_pipe_in_its_place_is_refused_at_once(tmp_path: Path) -> None:
    (tmp_path / "folder.json").mkdir()
    os.mkfifo(tmp_path / "pipe.json")
    for name in ("folder.json", "pipe.json"):
        with pytest.raises(BookError):
            open_book(tmp_path / name)


def test_files_that_look_like_conflict_copies_are_named(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path)
    like = [
        "book (1).json",
        "book (old laptop's conflicted copy).json",
        "book.sync-conflict-1.json",
    ]
    unlike = ["books.json", "booking 2.json", "notes.json", "book.json.txt"]
    for name in like + unlike:
        (tmp_path / name).write_text("x")
    with open_book(path) as book:
        named = "\n".join(book.notices)
    assert all(name in named for name in like)
    assert not any(name in named for name in unlike)


def test_what_a_killed_program_left_half_written_is_swept(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path)
    (tmp_path / ".book.json.0123456789ab.part").write_text("half")
    (tmp_path / ".other.json.0123456789ab.part").write_text("somebody else's")
    open_book(path).close()
    assert sorted(file.name for file in tmp_path.glob("*.part")) == [
        ".other.json.0123456789ab.part"
    ]


def test_a_clock_that_jumps_back_orders_nothing_anew(tmp_path: Path) -> None:
    from datetime import UTC, datetime

    path = tmp_path / "book.json"
    times = iter([datetime(2026, 5, day, tzinfo=UTC) for day in (9, 9, 9, 1, 1, 1, 20, 20, 20)])
    with Book.open(path, lambda: next(times)) as book:
        for number in range(1, 4):
            book.commit(
                f"machine {number}", book.put(type(LATHE)(f"machine-{number}", "m", "mill"))
            )
        assert [one.id for one in book.machines()] == ["machine-1", "machine-2", "machine-3"]
        assert [action.label for action in book.history.actions] == [
            "machine 1",
            "machine 2",
            "machine 3",
        ]
        assert [one.number for one in book.generations()] == [2, 1]


def test_a_stamp_tells_one_state_of_a_file_from_another(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("one")
    before = System().stamp(file)
    file.write_text("four")
    assert System().stamp(file)[:3] != before[:3]
    assert isinstance(before, Stamp)


def test_a_book_that_is_not_there_makes_no_file_until_something_is_saved(tmp_path: Path) -> None:
    path = tmp_path / "new" / "book.json"
    with open_book(path) as book:
        assert (book.machines(), book.read_only, book.notices) == ((), "", ())
    assert not path.exists()


def test_saving_is_refused_once_the_book_is_closed(tmp_path: Path) -> None:
    path = tmp_path / "book.json"
    begin(path)
    book = open_book(path)
    book.close()
    with pytest.raises(ReadOnlyError, match="closed"):
        book.undo()
