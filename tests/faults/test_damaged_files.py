"""Any file whatever in the book's place: cut short, one bit changed, or plain junk."""

from __future__ import annotations

import contextlib
import errno
import json
import random
from pathlib import Path

import pytest

from faults.faulty_systems import FailingSystem, ModelDisk, StoppedError, StoppingSystem
from faults.stories import begin, content, open_book
from kitreckon.book import BookError, NotABookError
from kitreckon.book.encoding import decode_book

PATH = Path("/disk/book.json")


def good_disk() -> ModelDisk:
    disk = ModelDisk()
    begin(PATH, disk)
    return disk


def with_file(disk: ModelDisk, data: bytes) -> ModelDisk:
    """Return a copy of the disk with other bytes in the book's place."""
    changed = disk.copy()
    if PATH.name in changed.list_folder(PATH.parent):
        changed.unlink(PATH)
    descriptor = changed.create(PATH, 0o600)
    changed.write(descriptor, data)
    changed.close(descriptor)
    return changed


def names(disk: ModelDisk) -> set[str]:
    return set(disk.list_folder(PATH.parent))


def test_every_prefix_opens_with_the_generation_before_and_says_so() -> None:
    disk = good_disk()
    whole = disk.read(PATH)
    first_only = ModelDisk()
    with open_book(PATH, first_only) as book:
        from faults.stories import LATHE

        book.commit("add a lathe", book.put(LATHE))
        expected = content(book)
    for length in range(len(whole) - 1):
        cut = with_file(disk, whole[:length])
        with open_book(PATH, cut) as book:
            assert content(book) == expected
            assert "could not be read" in book.notices[0]
            assert "book.damaged-1.json" in book.notices[1]
            assert book.read_only == ""
        assert cut.read(PATH.with_name("book.damaged-1.json")) == whole[:length]
        assert decode_book(cut.read(PATH)).intact


def test_a_file_without_its_last_newline_alone_is_seen_too() -> None:
    disk = good_disk()
    with open_book(PATH, with_file(disk, disk.read(PATH)[:-1])) as book:
        assert book.changed_outside


def test_no_bit_flips_unseen() -> None:
    data = good_disk().read(PATH)
    for at in range(len(data)):
        for bit in range(8):
            flipped = data[:at] + bytes([data[at] ^ (1 << bit)]) + data[at + 1 :]
            try:
                envelope = decode_book(flipped)
            except NotABookError:
                continue
            assert not envelope.intact


def test_a_book_of_a_format_that_never_was_brings_back_the_generation_before() -> None:
    disk = good_disk()
    data = disk.read(PATH).replace(b'"format":1', b'"format":0')
    with open_book(PATH, with_file(disk, data)) as book:
        assert "could not be read" in book.notices[0]
        assert len(book.machines()) == 1


def test_a_flipped_bit_is_told_and_the_book_not_written() -> None:
    disk = good_disk()
    data = disk.read(PATH)
    for at in range(0, len(data), 7):
        flipped = data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]
        left = with_file(disk, flipped)
        with open_book(PATH, left) as book:
            assert book.notices
            content(book)  # what can be understood is shown
            if book.changed_outside:
                assert book.read_only
                assert left.read(PATH) == flipped
                assert left.read(PATH.with_name("book.changed-1.json")) == flipped


HAND_MADE = [
    b"",
    b"\n",
    b"[]",
    b"null",
    b"{}",
    b"0",
    b'"a book"',
    b"[" * 100_000,
    b'{"a":' * 50_000,
    b"9" * 5_000,
    b'{"format":1,"generation":1,"writer":"w","sha256":"","tables":[]}',
    b'{"format":1,"generation":1,"writer":"w","sha256":"","tables":{"machines":[]}}',
    b'{"format":1,"generation":1,"writer":"w","sha256":"","tables":{"machines":{"a":[]}}}',
    b'{"format":true,"generation":1,"writer":"w","sha256":"","tables":{}}',
    b'{"format":1,"generation":-1,"writer":"w","sha256":"","tables":{}}',
    b'{"format":1e3,"generation":1,"writer":"w","sha256":"","tables":{}}',
    b'{"format":1,"generation":NaN,"writer":"w","sha256":"","tables":{}}',
    b'{"format":' + b"9" * 5_000 + b',"generation":1,"writer":"w","sha256":"","tables":{}}',
    b'{"_default":{"1":{"name":"a table of another program"}}}',
    '{"format":1}'.encode("utf-16"),
    b"\xef\xbb\xbf{}",
    b"\x00" * 4096,
    b"PK\x03\x04" + b"\x00" * 60,
    b"{'machines': {}}",
]


def junk(seed: int) -> bytes:
    """Return random bytes, or random text that looks like JSON."""
    dice = random.Random(seed)
    if seed % 2:
        return dice.randbytes(dice.randrange(400))
    return "".join(
        dice.choices('{}[]":,0123456789.eE+-truefalsn\\u \n', k=dice.randrange(400))
    ).encode()


@pytest.mark.parametrize("data", HAND_MADE, ids=range(len(HAND_MADE)))
def test_junk_is_refused_with_one_error_and_nothing_changes(data: bytes) -> None:
    disk = with_file(ModelDisk(), data)
    with pytest.raises(NotABookError):
        open_book(PATH, disk)
    assert names(disk) == {PATH.name}
    assert disk.read(PATH) == data


def test_two_thousand_random_files_are_refused_alike() -> None:
    for seed in range(2000):
        data = junk(seed)
        disk = with_file(ModelDisk(), data)
        with pytest.raises(NotABookError):
            open_book(PATH, disk)
        assert names(disk) == {PATH.name}


@pytest.mark.parametrize("data", HAND_MADE, ids=range(len(HAND_MADE)))
def test_junk_in_place_of_a_book_brings_back_the_newest_generation(data: bytes) -> None:
    disk = with_file(good_disk(), data)
    with open_book(PATH, disk) as book:
        assert len(book.machines()) == 1
        assert "could not be read" in book.notices[0]
    assert disk.read(PATH.with_name("book.damaged-1.json")) == data


def test_a_missing_book_comes_back_from_its_generations() -> None:
    disk = good_disk()
    disk.unlink(PATH)
    with open_book(PATH, disk) as book:
        assert "is missing" in book.notices[0]
        assert len(book.machines()) == 1
        book.commit("go on", book.drop(book.machines()[0]))
    with open_book(PATH, disk) as book:
        assert book.machines() == ()


@pytest.mark.parametrize("loss", ["missing", "damaged"])
def test_recovery_may_be_cut_short_at_any_call_and_is_done_by_the_next_start(loss: str) -> None:
    disk = good_disk()
    with open_book(PATH, disk.copy()) as book:
        book.undo()
        expected = content(book)[:2]
    start = with_file(disk, b"junk")
    if loss == "missing":
        start.unlink(PATH)
    for at in range(60):
        left = start.copy()
        stopped = StoppingSystem(at, left)
        with contextlib.suppress(StoppedError):
            open_book(PATH, stopped).close()
        stopped.die()
        for _ in range(2):
            with open_book(PATH, left) as book:
                assert content(book)[:2] == expected
                assert book.read_only == ""
        kept = [left.read(PATH.with_name(name)) for name in names(left) if "damaged" in name]
        assert all(data == b"junk" for data in kept)
        assert bool(kept) == (loss == "damaged")


@pytest.mark.parametrize("error", [errno.EIO, errno.ENOSPC])
def test_recovery_onto_a_failing_disk_shows_the_generation_and_leaves_the_file(error: int) -> None:
    start = with_file(good_disk(), b"junk")
    for at in range(60):
        system = FailingSystem(at, error, sticky=True, inner=start.copy())
        try:
            with open_book(PATH, system) as book:
                assert len(book.machines()) == 1
                assert book.notices
        except BookError:
            pass
        system.die()
        with open_book(PATH, system.inner) as book:
            assert len(book.machines()) == 1
            assert book.read_only == ""


def test_with_every_generation_damaged_the_book_is_refused_and_left_alone() -> None:
    disk = with_file(good_disk(), b"junk")
    folder = PATH.with_name(f".{PATH.name}.generations")
    for name in disk.list_folder(folder):
        disk.nodes[disk.folders[folder][name]] = b"more junk"
    before = names(disk)
    with pytest.raises(NotABookError, match=r"book\.json"):
        open_book(PATH, disk)
    assert names(disk) - {".book.json.lock"} == before - {".book.json.lock"}
    assert disk.read(PATH) == b"junk"


def edited(disk: ModelDisk) -> bytes:
    """Return the book as somebody left it who changed a name in an editor."""
    return json.dumps(json.loads(disk.read(PATH)), indent=1).replace("12in", "14in").encode()


def test_a_book_edited_by_hand_can_be_looked_at_accepted_or_restored() -> None:
    disk = with_file(good_disk(), edited(good_disk()))
    with open_book(PATH, disk) as book:
        assert book.machines()[0].name == "14in lathe"
        with pytest.raises(BookError, match="cannot save here"):
            book.undo()
        book.accept()
        assert not book.changed_outside
        book.commit("count nothing", book.drop(book.visit("machine-1").pieces[0], "machine-1"))
    with open_book(PATH, disk) as book:
        assert (book.notices, book.read_only) == ((), "")
        assert book.machines()[0].name == "14in lathe"


def test_instead_of_accepting_a_generation_can_be_restored() -> None:
    disk = with_file(good_disk(), edited(good_disk()))
    with open_book(PATH, disk) as book:
        book.restore(book.generations()[0].number)
        assert book.machines()[0].name == "12in lathe"
        assert not book.read_only


def test_undo_of_what_was_edited_by_hand_is_refused_in_words() -> None:
    disk = good_disk()
    text = (
        disk.read(PATH)
        .decode()
        .replace('"order":1,"kind":"chuck-3-jaw"', '"order":1,"kind":"x"', 1)
    )
    assert text.encode() != disk.read(PATH)
    with open_book(PATH, with_file(disk, text.encode())) as book:
        book.accept()
        with pytest.raises(BookError, match="changed outside the program since"):
            book.undo()
