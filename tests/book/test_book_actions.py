"""Commit, undo, redo: one action, one write, and back again."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest

from builders import a_finding, a_lathe, a_mill, a_piece, a_visit
from kitreckon.book import Book, BookError
from kitreckon.book.history import KEPT
from kitreckon.book.storage import BookStorage
from kitreckon.count import (
    Correction,
    Look,
    Machine,
    OwnPrice,
    Piece,
    Preferences,
    Purchase,
    Saying,
    Visit,
)
from kitreckon.quantities import Money, Range


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "book.json"


@pytest.fixture
def book(path: Path) -> Any:
    with Book.open(path) as opened:
        yield opened


def a_count() -> Visit:
    return a_visit(
        a_piece("chuck-3-jaw", size="6in", id="piece-1"),
        a_piece("steady-rest", id="piece-2"),
        a_piece(None, id="piece-3", text="a thing with a knob"),
        looks={"chuck-3-jaw": 1, "taper-attachment": 0, "finding:worn": 0},
        findings=(a_finding("worn-ways"),),
        sayings=(Saying("saying-1", "me", Money(120000, "USD"), ("piece-1",)),),
        clock_s=300,
        clock_started_utc="2026-03-14T12:00:00+00:00",
    )


def everything(book: Book) -> tuple[Any, ...]:
    return (
        book.machines(),
        [book.visit(machine.id) for machine in book.machines()],
        book.shelf(),
        book.purchases(),
        book.own_prices(),
        book.corrections(),
        book.preferences(),
    )


def test_everything_put_in_is_there_after_a_restart(path: Path, book: Book) -> None:
    owned = a_piece("dial-indicator")
    bought = Purchase("purchase-1", "chuck-4-jaw", "used", Money(9000, "USD"), "2026-03-15")
    prices = Range(Money(1, "USD"), Money(2, "USD"), Money(3, "USD"))
    own = OwnPrice("price-1", "chuck-4-jaw", "used", prices, 2026)
    correction = Correction("correction-1", "doofer", "steady-rest")
    entries = [owned, bought, own, correction, Preferences(units="mm", power=0.25)]
    changes = book.put(a_lathe()) + book.put(a_count())
    for entry in entries:
        changes += book.put(entry)
    book.commit("everything", changes)
    expected = everything(book)
    book.close()
    with Book.open(path) as again:
        assert everything(again) == expected
        assert again.visit("m1") == a_count()
        assert expected[2:6] == ((owned,), (bought,), (own,), (correction,))
        assert again.preferences() == Preferences(units="mm", power=0.25)
        assert (again.undo_label, again.redo_label) == ("everything", "")


def test_one_action_is_one_write(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    writes: list[int] = []
    store = BookStorage.store
    monkeypatch.setattr(
        BookStorage, "store", lambda self, *a: (writes.append(1), store(self, *a))[1]
    )
    book.commit("lathe and mill", book.put(a_lathe()) + book.put(a_mill()) + book.put(a_count()))
    assert len(writes) == 1
    book.undo()
    assert len(writes) == 2


def test_a_commit_that_changes_nothing_writes_nothing(book: Book) -> None:
    book.commit("lathe", book.put(a_lathe()))
    before = book.generation
    assert book.commit("the same", book.put(a_lathe())).n == 0
    assert (book.generation, book.undo_label) == (before, "lathe")


def test_a_refused_commit_stores_nothing(book: Book) -> None:
    with pytest.raises(BookError, match="no machine"):
        book.commit("lathe and strays", book.put(a_mill()) + book.put(a_piece("x"), "m1"))
    assert (book.machines(), book.undo_label) == ((), "")


def test_undo_and_redo_go_through_all_actions_and_survive_a_restart(path: Path) -> None:
    states = []
    with Book.open(path) as book:
        states.append(everything(book))
        for changes in (
            book.put(a_lathe()),
            book.put(a_mill()),
        ):
            book.commit("add", changes)
            states.append(everything(book))
        book.commit("count", book.put(a_count()))
        states.append(everything(book))
        book.commit("drop", book.drop(a_lathe()))
        states.append(everything(book))
    for state in reversed(states[:-1]):
        with Book.open(path) as book:
            assert book.undo() is not None
            assert everything(book) == state
    for state in states[1:]:
        with Book.open(path) as book:
            assert book.redo() is not None
            assert everything(book) == state
    with Book.open(path) as book:
        assert book.redo() is None


def test_a_new_action_drops_what_was_undone(book: Book) -> None:
    for name in ("one", "two", "three"):
        book.commit(name, book.put(Machine(name, name, "mill")))
    book.undo()
    book.undo()
    assert (book.undo_label, book.redo_label) == ("one", "two")
    action = book.commit("four", book.put(Machine("four", "four", "mill")))
    assert action.n == 4
    assert (book.undo_label, book.redo_label) == ("four", "")
    assert [one.label for one in book.history.actions] == ["one", "four"]


def test_five_hundred_actions_are_kept(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("kitreckon.book.history.KEPT", 5)
    assert KEPT == 500
    with Book.open(path) as book:
        for number in range(9):
            book.commit(str(number), book.put(Machine("m", str(number), "mill")))
        assert [one.label for one in book.history.actions] == ["4", "5", "6", "7", "8"]
    with Book.open(path) as book:
        undone = [action.label for action in iter(book.undo, None)]
        assert undone == ["8", "7", "6", "5", "4"]
        assert book.machines()[0].name == "3"


def test_a_visit_put_again_drops_what_it_lacks_and_keeps_its_order(book: Book) -> None:
    book.commit("lathe", book.put(a_lathe()) + book.put(a_count()))
    first, second, third = a_count().pieces
    for pieces in ((first, third), (first, third, second), (second, first), ()):
        visit = a_visit(*pieces)
        book.commit("count", book.put(visit))
        assert book.visit("m1") == visit
    for _ in range(4):
        book.undo()
    assert book.visit("m1") == a_count()


def test_a_piece_put_back_by_undo_stands_where_it_stood(book: Book) -> None:
    book.commit("lathe", book.put(a_lathe()) + book.put(a_count()))
    book.commit("drop", book.drop(a_count().pieces[0], "m1"))
    book.undo()
    assert book.visit("m1").pieces == a_count().pieces


def test_one_piece_alone_changes_nothing_else_on_disk(path: Path, book: Book) -> None:
    book.commit("lathe", book.put(a_lathe()) + book.put(a_count()))
    before = set(path.read_bytes().split(b"\n"))
    book.commit("judge", book.put(a_piece("steady-rest", id="piece-2", condition="poor"), "m1"))
    changed = set(path.read_bytes().split(b"\n")) - before
    assert {line.split(b":")[0] for line in changed} <= {
        b'{"format"', b'"m1/piece-2"', b'"1"', b'"2"', b'"history"',
    }  # fmt: skip


def test_ids_need_be_unique_in_one_visit_only(book: Book) -> None:
    chuck = a_piece("chuck-3-jaw", id="p1")
    book.commit("both", book.put(a_lathe()) + book.put(a_mill()) + book.put(chuck))
    book.commit("count", book.put(chuck, "m1") + book.put(a_piece("vice", id="p1"), "m2"))
    assert book.visit("m1").pieces == book.shelf() == (chuck,)
    assert [piece.kind for piece in book.visit("m2").pieces] == ["vice"]
    book.commit("drop", book.drop(chuck, "m1"))
    assert (book.visit("m1").pieces, book.shelf()) == ((), (chuck,))
    with pytest.raises(BookError, match="same id"):
        book.put(a_visit(chuck, chuck))


def test_a_look_that_found_none_is_kept_apart_from_no_look(book: Book) -> None:
    book.commit("lathe", book.put(a_lathe()) + book.put(Look("steady-rest", 0), "m1"))
    assert book.visit("m1").looked("steady-rest") == Look("steady-rest", 0)
    assert book.visit("m1").looked("follow-rest") is None
    book.undo()
    assert book.visit("m1").looked("steady-rest") is None


def test_a_machine_takes_its_visit_with_it_and_undo_brings_both_back(book: Book) -> None:
    book.commit("lathe", book.put(a_lathe()) + book.put(a_count()) + book.put(a_mill()))
    book.commit("sold", book.drop(a_lathe()))
    assert book.machines() == (a_mill(),)
    assert book.visit("m1") == Visit("m1")
    book.undo()
    assert book.machines() == (a_lathe(), a_mill())
    assert book.visit("m1") == a_count()


def test_new_ids_were_never_used_before_even_by_what_was_dropped(path: Path) -> None:
    with Book.open(path) as book:
        assert [book.next_id("piece") for _ in range(3)] == ["piece-1", "piece-2", "piece-3"]
        book.commit("lathe", book.put(a_lathe()))
        book.commit("count", book.put(a_piece("x", id="piece-41"), "m1"))
        assert book.next_id("piece") == "piece-42"
        book.commit("drop", book.drop(a_piece("x", id="piece-41"), "m1"))
    with Book.open(path) as book:
        assert book.next_id("piece") == "piece-42"
        assert book.next_id("machine") == "machine-1"


@pytest.mark.parametrize("bad", ["", "a\tb", "\x1b[31m", "x" * 201])
def test_an_id_that_is_no_plain_name_is_refused(bad: str, book: Book) -> None:
    with pytest.raises(BookError, match="cannot be an id"):
        book.put(Machine(bad, "name", "mill"))


def test_what_could_not_be_read_back_is_refused_before_it_is_stored(book: Book) -> None:
    with pytest.raises(BookError, match="condition"):
        book.put(Piece("p", "vice", condition="very good"))  # type: ignore[arg-type]
    with pytest.raises(BookError, match="floor"):
        book.put(Piece("p", "vice", floor=Money(1, "dollars")))


def test_hostile_text_is_stored_cleaned(path: Path, book: Book) -> None:
    book.commit("\x1b]52;c;x\x07", book.put(a_lathe(name="lathe\x1b[2J\u202e\nwith a bed")))
    assert book.machines()[0].name == "lathe\ufffd[2J\ufffd with a bed"
    assert book.undo_label == "\ufffd]52;c;x\ufffd"
    assert b"\x1b" not in path.read_bytes()


def test_what_a_later_version_wrote_into_a_record_is_kept(path: Path, book: Book) -> None:
    book.commit("lathe", book.put(a_lathe()) + book.put(a_count()))
    changed = path.read_bytes().replace(b'"order":1,', b'"order":1,"colour":["grey",7],')
    path.write_bytes(changed)
    book.reload()
    book.accept()
    book.commit("rename", book.put(a_lathe(name="renamed")))
    book.reload()
    assert book.machines() == (a_lathe(name="renamed"),)
    line = next(line for line in path.read_text().split("\n") if line.startswith('"m1":{"id":"m1"'))
    assert '"colour":["grey",7]' in line


def test_many_random_actions_can_all_be_undone_and_redone(path: Path) -> None:
    dice = random.Random(3)
    with Book.open(path) as book:
        book.commit("lathe", book.put(a_lathe()))
        states = [everything(book)]
        for turn in range(60):
            piece = a_piece("vice", id=f"piece-{dice.randrange(8)}", note=str(turn))
            here = {one.id for one in book.visit("m1").pieces}
            drop = piece.id in here and dice.random() < 0.4
            make = book.drop if drop else book.put
            book.commit(str(turn), make(piece, "m1"))
            states.append(everything(book))
        at = 60
        for _ in range(200):
            at += 1 if (forward := dice.random() < 0.5 and at < 60) else -1 if at > 0 else 0
            if not forward and at == 0:
                break
            assert (book.redo() if forward else book.undo()) is not None
            assert everything(book) == states[at]
        assert len(book.history.actions) == 61
