"""What was read becomes what is counted in one way: nothing that both know is left out."""

from __future__ import annotations

from dataclasses import fields
from itertools import count

from builders import length
from kitreckon.count import Piece
from kitreckon.reading import ReadPiece
from kitreckon.reading.to_pieces import piece_of, pieces_of

READ = ReadPiece(
    "chuck-4-jaw", qty=2, set_of=9, set_has=7, size=length("8in"), mount="D1-4", back="plain",
    condition="fair", parts_missing=("key",), unsafe="cracked", text="4 jaw chuck",
)  # fmt: skip


def test_every_fact_that_a_piece_can_have_is_carried() -> None:
    shared = {field.name for field in fields(ReadPiece)} & {field.name for field in fields(Piece)}
    piece = piece_of(READ)
    unsaid = Piece("", None)
    for name in shared:
        assert getattr(READ, name) != getattr(unsaid, name), f"{name} is not tried here"
        assert getattr(piece, name) == getattr(READ, name)


def test_the_series_it_is_of_decides_fit_where_no_mount_is_said() -> None:
    assert piece_of(ReadPiece("collets-er", series="ER32")).mount == "ER32"


def test_each_of_several_sizes_is_a_piece_with_an_id_of_its_own() -> None:
    numbers = count(1)
    read = ReadPiece("chuck-4-jaw", qty=2, sizes=(length("6in"), length("8in")))
    pieces = pieces_of(read, "two chucks, 6in and 8in", lambda: f"p{next(numbers)}")
    assert [(p.id, p.qty, str(p.size), p.text) for p in pieces] == [
        ("p1", 1, "6in", "two chucks, 6in and 8in"),
        ("p2", 1, "8in", "two chucks, 6in and 8in"),
    ]


def test_what_is_absent_is_no_piece() -> None:
    assert pieces_of(ReadPiece("follow-rest", state="absent")) == ()
