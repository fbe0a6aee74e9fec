"""Tables of things, ours or other people's, are understood as far as they go, and no further."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import dollars, length
from kitreckon.book.count_table import CountTable, read_count_csv
from kitreckon.catalogue.load import open_catalogue
from kitreckon.errors import FileError, KitreckonError
from kitreckon.reading import Reader

CATALOGUE = open_catalogue()
READER = Reader(CATALOGUE.kinds, CATALOGUE.rules)


def read(text: str, **columns: str) -> CountTable:
    return read_count_csv(text, "t.csv", READER, CATALOGUE.kinds, "USD", columns)


@pytest.mark.parametrize(
    "head",
    ["Qty,Item", "Item;Qty", "QUANTITY\tDescription", "No.|Tool", "Anzahl;Gegenstand",
     "Quantité,Désignation", "How many?,What"],
)  # fmt: skip
def test_headings_in_other_words_and_orders(head: str) -> None:
    separator = max(",;\t|", key=head.count)
    first = re.sub("[^a-z]", "", head.split(separator)[0].lower())
    row = ["steady rest", "3"] if first == "item" else ["3", "steady rest"]
    table = read(f"{head}\n{separator.join(row)}\n")
    assert [(piece.kind, piece.qty) for piece in table.pieces] == [("steady-rest", 3)]


def test_what_the_user_names_goes_before_the_headings_we_know() -> None:
    table = read("item,Zeug,qty\n7,steady rest,1\n", thing="Zeug")
    assert [piece.kind for piece in table.pieces] == ["steady-rest"]


def test_a_heading_in_letters_we_do_not_know_is_told_from_others() -> None:
    table = read(",Номер,Вещь\n,7,steady rest\n", thing="вещь")
    assert [piece.kind for piece in table.pieces] == ["steady-rest"]
    assert [piece.kind for piece in read("a1,a2\n7,steady rest\n", thing="a2").pieces] == [
        "steady-rest"
    ]


@pytest.mark.parametrize(
    ("text", "columns", "said"),
    [
        ("thing,qty\nvise,1\n", {"thing": "Zeug"}, "'Zeug'"),
        ("thing,qty\nvise,1\n", {"qty": "Zahl"}, "'Zahl'; one of: thing, qty"),
        ("Zeug,Zahl\nvise,1\n", {"qty": "Zahl"}, "no column says what the things are"),
        ("Zeug,Zahl\nvise,1\n", {"qty": "Zahl", "thing": "Sache"}, "'Sache'"),
    ],
)
def test_a_heading_the_user_names_that_is_not_there_is_refused(
    text: str, columns: dict[str, str], said: str
) -> None:
    with pytest.raises(KitreckonError) as refused:
        read(text, **columns)
    assert said in str(refused.value)


def test_a_title_above_the_headings_is_passed() -> None:
    table = read("My list,,\n,,\nitem,qty,size\nthree jaw chuck,1,6in\n")
    assert [piece.kind for piece in table.pieces] == ["chuck-3-jaw"]
    assert table.pieces[0].size == length("6in")


def test_other_peoples_words_for_state_are_not_guessed() -> None:
    table = read("item,condition\ncaliper,Very Good\ncaliper,mint as new!!\n")
    assert [piece.condition for piece in table.pieces] == ["very-good", None]
    assert [notice.line for notice in table.notices] == [3]


def test_a_table_without_a_column_of_things_is_refused() -> None:
    with pytest.raises(KitreckonError, match="no column says"):
        read("a,b\n1,2\n")


def test_a_kind_nobody_knows_is_told_with_its_place() -> None:
    with pytest.raises(FileError) as caught:
        read("kind,qty\nchuck-9-jaw,1\n")
    assert [(p.line, p.column) for p in caught.value.problems] == [(2, 1)]


@settings(max_examples=100)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_with_one_error(text: str) -> None:
    try:
        read("item,qty,size\n" + text)
    except KitreckonError:
        return


def test_what_a_description_says_of_its_set_is_kept() -> None:
    (piece,) = read('item\n"r8 collets, set of 18, 2 missing"\n').pieces
    assert (piece.kind, piece.set_of, piece.set_has) == ("collets-r8", 18, 16)


@pytest.mark.parametrize("head", ["item,note\n{},\n", "item,qty\n{},2\n"])
def test_each_of_several_sizes_is_a_piece_of_its_own(head: str) -> None:
    table = read(head.format('"two 4 jaw chucks, 6in and 8in"'))
    assert [(p.kind, p.qty, p.size) for p in table.pieces] == [
        ("chuck-4-jaw", 1, length("6in")),
        ("chuck-4-jaw", 1, length("8in")),
    ]
    assert [piece.id for piece in table.pieces] == ["p1", "p2"]
    assert table.notices == []


@pytest.mark.parametrize("column", ["qty,3", "repair,40", "size,10in", "floor,30"])
def test_what_is_said_of_one_of_several_is_asked_not_guessed(column: str) -> None:
    name, value = column.split(",")
    table = read(f'item,{name}\n"two 4 jaw chucks, 6in and 8in",{value}\n')
    assert [piece.kind for piece in table.pieces] == [None]
    assert (len(table.notices), table.kept) == (1, 1)


@pytest.mark.parametrize("quantity", ["1", "4"])
def test_what_is_not_there_is_not_there_though_its_row_has_a_quantity(quantity: str) -> None:
    table = read(f"item,qty\nno follow rest,{quantity}\n")
    assert (table.pieces, table.absent) == ([], ["follow-rest"])
    assert [(notice.line, notice.column) for notice in table.notices] == [(2, 2)]


def test_a_row_that_says_none_without_a_quantity_is_not_noticed() -> None:
    table = read("item,qty\nno follow rest,\nsteady rest,0\n")
    assert (table.pieces, table.absent, table.notices) == ([], ["follow-rest", "steady-rest"], [])


def test_a_speed_has_thousands_and_its_unit() -> None:
    table = read('item,rpm\n3 jaw chuck,"1,200"\n4 jaw chuck,2500 rpm\n')
    assert [piece.marked_rpm for piece in table.pieces] == [1200, 2500]


@pytest.mark.parametrize("speed", ["1.5", "40in", "fast"])
def test_what_is_no_speed_is_told_with_its_place(speed: str) -> None:
    with pytest.raises(FileError, match="is not a speed") as caught:
        read(f"item,rpm\n3 jaw chuck,{speed}\n")
    assert [(p.line, p.column) for p in caught.value.problems] == [(2, 2)]


@pytest.mark.parametrize(
    ("column", "word"),
    [("tried", "perhaps"), ("his", "dunno"), ("seen", "partly"), ("condition", "mint"),
     ("back", "round"), ("body", "wooden")],
)  # fmt: skip
def test_a_word_that_is_not_ours_is_told_and_kept_in_the_note(column: str, word: str) -> None:
    table = read(f"item,note,{column}\ncaliper,in a box,{word}\n")
    (piece,), (notice,) = table.pieces, table.notices
    assert piece.note == f"in a box; {column}: {word}"
    assert (notice.line, notice.column, table.kept) == (2, 3, 0)
    assert repr(word) in notice.found


def test_words_are_read_however_they_are_spelt() -> None:
    table = read(
        "item,condition,back,body,tried,seen\n3 jaw chuck,Very_Good,PLAIN back,Cast iron,Yes,nein\n"
    )
    (piece,) = table.pieces
    assert (piece.condition, piece.back, piece.body) == ("very-good", "plain", "cast-iron")
    assert (piece.tried, piece.seen, table.notices) == (True, False, [])


def test_what_the_seller_says_only_comes_in_as_his_word() -> None:
    table = read("item,seen\ncaliper,no\nfaceplate,\n")
    assert [piece.seen for piece in table.pieces] == [False, True]


@pytest.mark.parametrize(
    ("cell", "unsafe"),
    [("yes", "unsafe"), ("x", "unsafe"), ("cracked hub", "cracked hub"), ("no", "")],
)
def test_a_column_of_dangers_may_be_ticks(cell: str, unsafe: str) -> None:
    assert [piece.unsafe for piece in read(f"item,danger\nfaceplate,{cell}\n").pieces] == [unsafe]


def test_no_tick_takes_a_danger_back_that_the_words_tell() -> None:
    (piece,) = read("item,unsafe\ncracked faceplate,no\n").pieces
    assert piece.unsafe


def test_parts_and_repairs_are_read() -> None:
    table = read(
        "item,missing,repair,to be done\n3 jaw chuck,none,25,new key\n4 jaw chuck,key; jaw,,\n"
    )
    first, second = table.pieces
    assert (first.parts_missing, first.repair, first.repair_of) == ((), dollars(25), "new key")
    assert second.parts_missing == ("key", "jaw")


def test_money_of_another_sign_is_refused_with_its_place() -> None:
    with pytest.raises(FileError, match="is not in USD"):
        read("item,repair\ncaliper,£30\n")


def test_a_reading_without_a_name_is_refused() -> None:
    with pytest.raises(FileError, match="is no reading"):
        read("item,measured\n3 jaw chuck,.004in\n")


@pytest.mark.parametrize(
    ("cells", "told"), [("size,7", "no unit"), ("mount,round hole", "no designation")]
)
def test_what_cannot_be_reckoned_with_is_kept_and_told(cells: str, told: str) -> None:
    name, value = cells.split(",")
    table = read(f"item,{name}\n3 jaw chuck,{value}\n")
    assert str(getattr(table.pieces[0], name)) == value
    assert [told in notice.found for notice in table.notices] == [True]
    assert (table.notices[0].line, table.notices[0].column, table.kept) == (2, 2, 0)
