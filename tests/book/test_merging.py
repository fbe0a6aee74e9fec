"""Two counts of one machine become one, and nothing is counted twice."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from builders import a_finding, a_lathe, a_piece, a_visit, dollars, length
from kitreckon.book.merging import merge_machines, merge_shelves, merge_visits
from kitreckon.count import Piece, Reading


def test_the_same_count_twice_changes_nothing() -> None:
    visit = a_visit(
        a_piece("chuck-3-jaw", size="6in"), a_piece("caliper", qty=2), looks={"follow-rest": 0}
    )
    merged = merge_visits(visit, visit)
    assert merged.visit == visit
    assert merged.added == ()


def test_inches_and_millimetres_of_one_chuck_are_one_piece() -> None:
    ours = a_visit(a_piece("chuck-3-jaw", size="6in"))
    theirs = a_visit(a_piece("chuck-3-jaw", size="152mm"))
    assert len(merge_visits(ours, theirs).visit.pieces) == 1


def test_chucks_of_different_size_stay_two() -> None:
    ours = a_visit(a_piece("chuck-3-jaw", size="6in"))
    theirs = a_visit(a_piece("chuck-3-jaw", size="8in"))
    merged = merge_visits(ours, theirs)
    assert len(merged.visit.pieces) == 2
    assert len({piece.id for piece in merged.visit.pieces}) == 2


def test_what_one_left_open_is_taken_from_the_other() -> None:
    ours = a_visit(Piece("p1", "chuck-3-jaw"))
    theirs = a_visit(a_piece("chuck-3-jaw", size="6in", mount="D1-4", condition="fair"))
    (piece,) = merge_visits(ours, theirs).visit.pieces
    assert (piece.id, piece.mount, piece.condition) == ("p1", "D1-4", "fair")


def test_where_they_differ_the_first_word_stands_and_is_told() -> None:
    ours = a_visit(a_piece("caliper", condition="good"))
    theirs = a_visit(a_piece("caliper", condition="poor"))
    merged = merge_visits(ours, theirs)
    assert merged.visit.pieces[0].condition == "good"
    assert [piece.condition for piece in merged.differing] == ["poor"]


def test_a_repair_one_count_states_is_taken_and_two_figures_are_told() -> None:
    sound = a_visit(a_piece("caliper"))
    broken = a_visit(a_piece("caliper", repair=dollars(8), repair_of="battery door"))
    (piece,) = merge_visits(sound, broken).visit.pieces
    assert (piece.repair, piece.repair_of) == (dollars(8), "battery door")
    merged = merge_visits(broken, a_visit(a_piece("caliper", repair=dollars(20))))
    assert merged.visit.pieces[0].repair == dollars(8)
    assert [piece.repair for piece in merged.differing] == [dollars(20)]


def test_no_and_none_at_all_are_answers_that_stand() -> None:
    ours = a_visit(a_piece("chuck-3-jaw", tried=False), a_piece("collets-r8", set_of=8, set_has=0))
    silent = a_visit(a_piece("chuck-3-jaw"), a_piece("collets-r8", set_of=8))
    other = a_visit(a_piece("chuck-3-jaw", tried=True), a_piece("collets-r8", set_of=8, set_has=4))
    for theirs, differing in ((silent, 0), (other, 2)):
        merged = merge_visits(ours, theirs)
        assert [(p.tried, p.set_has) for p in merged.visit.pieces] == [(False, None), (None, 0)]
        assert len(merged.differing) == differing


def test_of_flags_either_counts_word_is_enough() -> None:
    ours = a_visit(a_piece("caliper", seen=False, his=True), a_piece("drills"))
    theirs = a_visit(a_piece("caliper"), a_piece("drills", seen=False, his=True))
    pieces = merge_visits(ours, theirs).visit.pieces
    assert [(piece.seen, piece.his) for piece in pieces] == [(True, True), (True, True)]


def test_a_greater_number_of_the_second_count_stands_and_is_told_as_such() -> None:
    merged = merge_visits(a_visit(a_piece("drills")), a_visit(a_piece("drills", qty=3)))
    assert [piece.qty for piece in merged.visit.pieces] == [3]
    assert merged.differing == ()
    assert [(piece.id, piece.qty) for piece in merged.grown] == [(merged.visit.pieces[0].id, 3)]


def test_what_either_count_measured_is_kept() -> None:
    runs_out, mouth = Reading("run-out", length(".004in")), Reading("bell-mouth", length(".002in"))
    other = Reading("run-out", length(".009in"))
    ours = a_visit(a_piece("chuck-3-jaw", readings=(runs_out,)))
    theirs = a_visit(a_piece("chuck-3-jaw", readings=(other, mouth)))
    assert merge_visits(ours, theirs).visit.pieces[0].readings == (runs_out, mouth)


def test_looks_keep_the_greater_number_and_findings_stand_once() -> None:
    ours = a_visit(looks={"centre-dead": 1}, findings=(a_finding("not-run"),))
    theirs = a_visit(looks={"centre-dead": 2, "follow-rest": 0}, findings=(a_finding("not-run"),))
    merged = merge_visits(ours, theirs).visit
    assert {look.want: look.seen for look in merged.looks} == {"centre-dead": 2, "follow-rest": 0}
    assert len(merged.findings) == 1


def test_lines_kept_as_typed_match_by_their_words() -> None:
    ours = a_visit(Piece("p1", None, text="Coffee can"))
    theirs = a_visit(Piece("p1", None, text="coffee can"), Piece("p2", None, text="a box"))
    assert len(merge_visits(ours, theirs).visit.pieces) == 2


def test_a_machines_open_facts_are_filled_and_known_ones_stand() -> None:
    ours = a_lathe(nose=None, asking=None, features=(("gearbox", True),))
    theirs = a_lathe(nose="L0", tailstock_socket="MT2", features=(("gearbox", False), ("x", True)))
    merged = merge_machines(ours, theirs)
    assert (merged.nose, merged.tailstock_socket) == ("L0", "MT3")
    assert merged.asking == theirs.asking
    assert dict(merged.features) == {"gearbox": True, "x": True}


def test_shelves_are_put_together_once() -> None:
    assert len(merge_shelves((a_piece("caliper"),), (a_piece("caliper"), a_piece("drills")))) == 2


pieces = st.lists(
    st.builds(
        Piece,
        id=st.uuids().map(str),
        kind=st.sampled_from(["caliper", "chuck-3-jaw", None]),
        text=st.sampled_from(["", "a", "b"]),
        qty=st.integers(1, 3),
        mount=st.sampled_from([None, "D1-4", "L0"]),
        condition=st.sampled_from([None, "good", "poor"]),
    ),
    max_size=5,
)


@given(pieces, pieces)
def test_merging_drops_nothing_and_doubles_nothing(one: list[Piece], other: list[Piece]) -> None:
    merged = merge_visits(a_visit(*one), a_visit(*other))
    assert len(merged.visit.pieces) == len(one) + len(merged.added)
    assert len(merged.added) + len(merged.same) == len(other)
    assert len({piece.id for piece in merged.visit.pieces}) == len(merged.visit.pieces)
    again = merge_visits(merged.visit, a_visit(*other))
    assert len(again.added) <= len(merged.same)


def test_a_finding_that_one_count_saw_outranks_the_sellers_word_in_the_other() -> None:
    said = a_visit(findings=(a_finding("half-nut-wear", seen=False, note="bit worn"),))
    saw = a_visit(findings=(a_finding("half-nut-wear", note="rocks"),))
    for ours, theirs in ((said, saw), (saw, said)):
        (found,) = merge_visits(ours, theirs).visit.findings
        assert (found.seen, found.note) == (True, "rocks")
