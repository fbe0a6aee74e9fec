"""Every key stands in one table; whatever else names one takes it from there."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path

from kitreckon.book import Book
from kitreckon.screens.app import KitreckonApp
from kitreckon.screens.keys import KEYS, PAGES, SHEET_KEYS

ROOT = Path(__file__).resolve().parents[2]
SCREENS = ROOT / "src" / "kitreckon" / "screens"
NAMES = {name for key in (*KEYS, *SHEET_KEYS) for name in key.keys} | {"esc", "pgdn", "pgup"}
EDITING = {("entry.py", "backspace")}


def written(path: Path) -> Iterator[str]:
    """Every text in a module that is no docstring, nor the id of a key that is looked up."""
    nodes = list(ast.walk(ast.parse(path.read_text("utf-8"))))
    passed_over = {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    for node in nodes:
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "key":
            passed_over |= {id(given) for given in node.args}
    for node in nodes:
        if isinstance(node, ast.Constant) and id(node) not in passed_over:
            yield str(node.value)


def test_no_module_but_the_table_names_a_key() -> None:
    named = {
        (path.name, word)
        for path in SCREENS.rglob("*.py")
        if path.name != "keys.py"
        for text in written(path)
        for word in re.split(r"[,\s]+", text)
        if word in NAMES or re.match(r"ctrl[+-]", word)
    }
    assert named == EDITING


def test_keys_named_in_sentences_are_keys_of_the_table() -> None:
    shown = {key.shown for key in KEYS}
    letters = {page.letter for page in PAGES}
    for path in ("catalogs/words/en/screens.yaml", "README.md"):
        text = (ROOT / path).read_text("utf-8")
        assert set(re.findall(r"ctrl-[a-z]\b", text)) <= shown
        assert set(re.findall(r"ctrl-g ([a-z])\b(?=[).,;:])", text)) <= letters


async def test_arrows_move_on_every_page(
    example_book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    app = app_on(example_book)
    stuck = []
    async with app.run_test(size=(80, 24)) as pilot:
        for each in PAGES:
            app.open_page(each.page)
            await pilot.pause()
            sheet = app.screen.sheet  # type: ignore[attr-defined]
            stops = [row for row in sheet.rows if row.stops]
            if len(stops) < 2:
                continue
            sheet.move_to(stops[0].id)
            await pilot.press("down")
            if sheet.row_id == stops[0].id:
                stuck.append(each.page)
    assert not stuck


async def test_money_is_covered_from_a_sheet_by_either_of_its_keys(
    example_book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    app = app_on(example_book)
    async with app.run_test(size=(80, 24)) as pilot:
        for pressed in ("ctrl+o", "dollar_sign"):
            app.session.covered = False
            app.show_reasons("WHY", ())
            await pilot.press(pressed)
            await pilot.pause()
            assert app.session.covered
            assert app.screen.id != "reasons"
            assert getattr(app.screen, "page", "")


def test_every_key_that_is_bound_is_shown() -> None:
    for key in KEYS:
        assert len(key.keys) == 1, f"{key.id}: only {key.shown} is told of {key.keys}"


async def test_a_key_that_is_told_nowhere_changes_nothing(
    example_book: Book, app_on: Callable[..., KitreckonApp]
) -> None:
    app = app_on(example_book)
    before = example_book.undo_label
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press("ctrl+z")
        await pilot.pause()
    assert before
    assert example_book.undo_label == before
