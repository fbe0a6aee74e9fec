"""A visit says what was looked at and who saw it; a table of it has every fact of a piece."""

from __future__ import annotations

from dataclasses import fields

from builders import a_piece, a_visit
from kitreckon.book.count_table import HEADINGS
from kitreckon.count import Look, Piece
from kitreckon.count.columns import COLUMNS


def test_every_fact_of_a_piece_has_a_column_that_is_read_again() -> None:
    facts = {field.name for field in fields(Piece)} - {"id"}  # ids are given on reading
    assert set(COLUMNS) == facts | {"thing"}
    assert set(HEADINGS) == set(COLUMNS)
    assert len(set(COLUMNS)) == len(COLUMNS)


def test_no_heading_means_two_columns() -> None:
    words = [word for known in HEADINGS.values() for word in known]
    assert len(set(words)) == len(words)


def test_looked_for_and_none_seen_is_not_the_same_as_not_looked() -> None:
    visit = a_visit(looks={"follow-rest": 0})
    assert visit.looked("follow-rest") == Look("follow-rest", 0)
    assert visit.looked("steady-rest") is None


def test_what_nobody_has_looked_at_is_the_sellers_word() -> None:
    said = a_piece("faceplate", seen=False)
    assert a_visit(a_piece("caliper"), said).only_said == (said,)
