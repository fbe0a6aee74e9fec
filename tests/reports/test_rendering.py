"""A report is written down safely in every form, whatever a user typed into it."""

from __future__ import annotations

import csv
import io
from html.parser import HTMLParser

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from kitreckon.quantities.cells import guard, unguard
from kitreckon.reports.document import (
    Amount,
    Bar,
    Bars,
    Blanks,
    Bullets,
    Caution,
    Column,
    Document,
    Facts,
    Heading,
    NewPage,
    Paragraph,
    Table,
)
from kitreckon.reports.rendering import FORMATS, render
from kitreckon.reports.rendering.csv import rows_to_csv
from kitreckon.reports.rendering.markdown import escape
from kitreckon.reports.rendering.text import bar_line, broken, columns

HOSTILE = (
    "=1+1", "+44 20 7946", "-loose nut", "@SUM(A1)", "|calc", "%x", "＝1", "\u200b=1", " =1",
    "<script>alert(1)</script>", '"><img src=x>', "a & b", "[link](javascript:x)", "**bold**",
    "# heading", "1. list", "| cell |", "`code`", "~~~~", "$x^2$", "<http://x>", "a\\b", "_x_",
    "http://a.example/x", "!image", "{curly}", ":---:", "'tis", "旋盤チャック", "3/8", "D1-4",
)  # fmt: skip


def a_document(text: str) -> Document:
    return Document(
        text,
        (
            Heading(text),
            Heading(text, 3),
            Paragraph(text),
            Caution(text, text),
            Facts(((text, text),)),
            Bullets((text,), tick=True),
            Bullets((text,)),
            Table(
                (Column(text), Column("n", "right"), Column("", blank=True)),
                ((text, Amount("1,200", 1200), ""),),
                tick=True,
            ),
            Bars((Bar(text, 1, 2, 3, text),), text),
            Blanks((text,)),
            NewPage(),
        ),
    )


class _Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [name for name, _ in attrs]

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def tags_of(html: str) -> _Seen:
    seen = _Seen()
    seen.feed(html)
    return seen


@pytest.mark.parametrize("text", HOSTILE)
def test_html_shows_hostile_text_and_makes_no_tag_of_it(text: str) -> None:
    ordinary = tags_of(render(a_document("plain"), "html"))
    seen = tags_of(render(a_document(text), "html"))
    assert seen.tags == ordinary.tags
    assert seen.attributes == ordinary.attributes
    assert text in seen.text


def test_html_is_one_file_with_charset_and_without_scripts_or_links() -> None:
    html = render(a_document("a"), "html")
    assert '<meta charset="utf-8">' in html
    assert "@page" in html
    assert "<svg" in html
    assert "<script" not in html
    assert "href" not in html
    assert "src=" not in html


@pytest.mark.parametrize("text", HOSTILE)
def test_markdown_cell_is_read_back_letter_by_letter(text: str) -> None:
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    rows = f"| {escape(text)} | x |"
    tokens = reader.parse(f"| a | b |\n| --- | --- |\n{rows}\n")
    inlines = [token for token in tokens if token.type == "inline"]
    cell = inlines[2]
    kinds = {child.type for child in cell.children or []}
    assert kinds <= {"text", "text_special"}
    assert cell.children is not None
    assert "".join(child.content for child in cell.children) == " ".join(text.split())


@pytest.mark.parametrize("text", HOSTILE)
def test_markdown_paragraph_stays_one_paragraph(text: str) -> None:
    tokens = MarkdownIt("commonmark").parse(escape(text))
    assert [token.type for token in tokens] == ["paragraph_open", "inline", "paragraph_close"]


_MARKS = ' \\`*_[]()#+-.!~$^=:@/"{}&<>|19ab;'


@settings(max_examples=300, deadline=None)
@example("--")
@given(st.text(_MARKS, min_size=1, max_size=14).filter(lambda text: text.split()))
def test_markdown_shows_any_run_of_marks_as_typed_wherever_it_stands(text: str) -> None:
    reader = MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"])
    escaped, typed = escape(text), " ".join(text.split())
    table = f"| a |\n| --- |\n| {escaped} |\n"
    for block in (escaped, f"# {escaped}", f"- {escaped}", f"> {escaped}", table):
        tokens = reader.parse(block)
        shown = [token for token in tokens if token.type == "inline"][-1].children or []
        assert {child.type for child in shown} <= {"text", "text_special"}
        assert "".join(child.content for child in shown) == typed
        assert len({token.type for token in tokens} & {"hr", "html_block", "fence"}) == 0


@pytest.mark.parametrize(
    "text",
    ["1.375in", "2-1/4-8", "D1-4 (6 studs)", "$1,157", "fees, postage & packing", "5 > 4", "a_b",
     "said: 'fair'", "+44 20", "#2 Morse", "80 %, no \"play\"!"],
)  # fmt: skip
def test_markdown_leaves_alone_what_is_no_markup(text: str) -> None:
    assert escape(text) == text


def test_markdown_boxes_and_lines_to_write_on_stand_as_they_are() -> None:
    written = render(a_document("_x_ [ ]: [a]"), "markdown")
    assert "| [ ] |" in written
    assert ": _________\n" in written
    tokens = MarkdownIt("commonmark").enable(["table", "strikethrough"]).parse(written)
    shown = [token.children or [] for token in tokens if token.type == "inline"]
    assert ["[ ]"] in [[child.content for child in line] for line in shown]
    *_, line = shown  # what is below it is a rule
    assert {child.type for child in line} <= {"text", "text_special"}
    assert "".join(child.content for child in line) == "_x_ [ ]: [a]: _________"


@pytest.mark.parametrize("text", ["http://x.example/y", "www.x.example", "me@x.example"])
def test_markdown_makes_no_link_of_an_address(text: str) -> None:
    assert "\\" in escape(text)


@pytest.mark.parametrize("text", HOSTILE)
def test_guarded_csv_cell_starts_no_formula_and_reads_back(text: str) -> None:
    written = guard(text)
    visible = written.lstrip("\ufeff\u200b\u200c\u200d\u2060 \u00a0")
    assert visible[:1] not in set("=+-@|%\t\r\n＝＋－＠")
    assert unguard(written) == text


def test_csv_figures_are_numbers_and_never_guarded() -> None:
    written = rows_to_csv([["thing", "net"], ["=x", Amount("-12", -12)]])
    assert written == "thing,net\r\n'=x,-12\r\n"


def test_raw_csv_is_left_as_typed() -> None:
    assert rows_to_csv([["=x"]], raw=True) == "=x\r\n"


def test_csv_holds_every_table_with_its_titles() -> None:
    rows = list(csv.reader(io.StringIO(render(a_document("a"), "csv"), newline="")))
    assert rows == [["a", "n", ""], ["a", "1200", ""]]


@pytest.mark.parametrize("width", [50, 80, 120])
@pytest.mark.parametrize("text", [*HOSTILE, "a long name " * 12, "x" * 300])
def test_no_line_of_plain_text_is_wider_than_asked(text: str, width: int) -> None:
    document = Document(
        text,
        (
            Heading("Pieces"),
            Paragraph(text),
            Caution(text),
            Facts((("label", text), (text[:40], "value"))),
            Bullets((text,)),
            Table(
                (
                    Column("Qty", "right"),
                    Column("Thing"),
                    Column("State"),
                    Column("Worth", "right"),
                ),
                ((Amount("1", 1), text, text, Amount("1,200 to 1,900", 1)),),
                tick=True,
            ),
        ),
    )
    assert (
        max(columns(line) for line in render(document, "text", width=width).splitlines()) <= width
    )


@given(st.text(), st.integers(min_value=2, max_value=40))
def test_breaking_a_text_keeps_every_word(text: str, width: int) -> None:
    lines = broken(text, width)
    assert "".join("".join(lines).split()) == "".join(text.split())


@given(st.text(max_size=60))
def test_every_form_takes_any_text(text: str) -> None:
    for form in FORMATS:
        assert render(a_document(text), form).endswith("\n")


def test_a_long_label_stands_whole_above_its_bar() -> None:
    label = "13 in lathe with a screwed nose and a gap in the bed"
    document = Document("t", (Bars((Bar(label, 1, 2, 3, "1 to 3"),)),))
    text = render(document, "text")
    assert label in text
    assert max(columns(line) for line in text.splitlines()) <= 80
    assert label in render(document, "html")


def test_bar_shows_low_typical_and_high_on_a_scale_from_nothing() -> None:
    assert bar_line(0, 5, 10, 10, 11) == "-----o-----"
    assert bar_line(0, 0, 0, 0, 5).strip() == ""
