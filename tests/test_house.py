"""The house keeps its rules: imports run one way, the core is pure, every reason has a sentence."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

SOURCE = Path(__file__).resolve().parents[1] / "src" / "kitreckon"

PURE = {"quantities", "count", "standards", "reading", "fitting", "reckoning", "reports"}
IMPURE = {
    "textual", "tinydb", "os", "pathlib", "io", "time", "datetime", "shutil", "tempfile",
    "subprocess", "socket", "urllib", "http", "sqlite3", "rich",
}  # fmt: skip
OUTSIDE = {
    "textual": {"screens"},
    "tinydb": {"book"},
    "rapidfuzz": {"reading"},
    "rich": {"screens"},
}


DEVELOPERS = Path(__file__).resolve().parents[1] / "DEVELOPERS.md"
_ROW = re.compile(r"\| `(\w+)/` \|[^|]*\| ([\w, ]+) \|")


def beneath() -> dict[str, list[str]]:
    """Each room with the rooms right beneath it, as DEVELOPERS says."""
    rows = dict(_ROW.findall(DEVELOPERS.read_text("utf-8")))
    return {room: [] if below == "nothing" else below.split(", ") for room, below in rows.items()}


def may_import(room: str, rooms: dict[str, list[str]]) -> set[str]:
    """Every room that lies beneath one, at any depth."""
    found: set[str] = set()
    ahead = list(rooms[room])
    while ahead:
        below = ahead.pop()
        if below not in found:
            found.add(below)
            ahead += rooms[below]
    return found


def test_the_rooms_stand_one_above_the_other() -> None:
    rooms = beneath()
    assert set(rooms) == {path.name for path in SOURCE.iterdir() if (path / "__init__.py").exists()}
    assert [room for room in rooms if room in may_import(room, rooms)] == []
    assert may_import("fitting", rooms) == {"catalogue", "standards", "count", "quantities"}


def modules() -> list[Path]:
    return sorted(SOURCE.rglob("*.py"))


def room_of(path: Path) -> str:
    inside = path.relative_to(SOURCE)
    return inside.parts[0] if len(inside.parts) > 1 else ""


def imports(path: Path) -> Iterator[tuple[int, str]]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            for alias in node.names:
                yield node.lineno, f"{node.module}.{alias.name}"
        elif isinstance(node, ast.ImportFrom) and node.level:
            yield node.lineno, "a relative import"


def test_imports_run_one_way() -> None:
    wrong = []
    rooms = beneath()
    for path in modules():
        room = room_of(path)
        if not room:
            continue
        for line, name in imports(path):
            parts = name.split(".")
            if parts[0] != "kitreckon" or len(parts) < 2:
                continue
            target = parts[1]
            if target in rooms and target not in {room, *may_import(room, rooms)}:
                wrong.append(f"{path}:{line}: {room} may not import {name}")
    assert not wrong, "\n".join(wrong)


def test_no_relative_imports() -> None:
    wrong = [f"{p}:{line}" for p in modules() for line, name in imports(p) if " " in name]
    assert not wrong, wrong


def test_the_core_knows_no_files_clock_or_screen() -> None:
    wrong = []
    for path in modules():
        pure = room_of(path) in PURE or (room_of(path) == "catalogue" and path.stem != "load")
        for line, name in imports(path):
            top = name.split(".")[0]
            if pure and top in IMPURE:
                wrong.append(f"{path}:{line}: {name} in the core")
            if top in OUTSIDE and room_of(path) not in OUTSIDE[top]:
                wrong.append(f"{path}:{line}: {name} outside {OUTSIDE[top]}")
    assert not wrong, "\n".join(wrong)


def test_no_module_of_the_core_opens_a_file_or_reads_the_environment() -> None:
    wrong = []
    for path in modules():
        if room_of(path) not in PURE:
            continue
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if _calls(node, {"open", "input", "print", "eval", "exec"}):
                wrong.append(f"{path}:{node.lineno}: {ast.unparse(node)[:40]}")
    assert not wrong, "\n".join(wrong)


def _calls(node: ast.AST, names: set[str]) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in names


# One thing alone is told of by its name: what nobody has a kind for.
NAMED_IN_CODE = {"other"}


def test_no_kind_and_no_class_decides_by_its_name() -> None:
    """What fitting and the reports must know of one stands in its file, so a user's own can too."""
    from kitreckon.catalogue.load import open_catalogue
    from kitreckon.catalogue.model import Role, Sort

    catalogue = open_catalogue()
    words = NAMED_IN_CODE.union(get_args(Role), get_args(Sort))  # what a file may say of one
    ids = {*catalogue.kinds, *catalogue.outfits} - words
    wrong = [
        f"{path}:{node.lineno}: {node.value}"
        for path in modules()
        if room_of(path) in {"fitting", "reports"}
        for node in ast.walk(ast.parse(path.read_text("utf-8")))
        if isinstance(node, ast.Constant) and node.value in ids
    ]
    assert not wrong, "\n".join(wrong)


def test_there_is_no_circle_of_imports() -> None:
    graph: dict[str, set[str]] = {}
    for path in modules():
        tree = ast.parse(path.read_text("utf-8"))
        graph[_name(path)] = {
            target
            for node in tree.body  # only what is imported when the module is
            for target in _targets(node)
        }
    names = set(graph)
    seen: dict[str, int] = {}

    def visit(name: str, trail: tuple[str, ...]) -> None:
        if seen.get(name) == 2:
            return
        assert seen.get(name) != 1, " -> ".join((*trail, name))
        seen[name] = 1
        for target in sorted(graph[name] & names):
            visit(target, (*trail, name))
        seen[name] = 2

    for name in sorted(names):
        visit(name, ())


def _name(path: Path) -> str:
    parts = path.relative_to(SOURCE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _targets(node: ast.stmt) -> Iterator[str]:
    if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("kitreckon."):
        for alias in node.names:
            inside = f"{node.module}.{alias.name}"
            yield inside if inside in NAMES else node.module


NAMES = {_name(path) for path in modules()}


@pytest.mark.parametrize("module", ["kitreckon.commands", "kitreckon.reports", "kitreckon.book"])
def test_the_command_line_never_loads_textual(module: str) -> None:
    code = f"import sys, {module}; sys.exit('textual' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], check=False, env=dict(os.environ))
    assert done.returncode == 0


def reasons_in(path: Path) -> Iterator[tuple[int, str]]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Call) and _calls(node, {"because", "Reason"}) and node.args:
            first = node.args[0]
            if isinstance(first, ast.Constant) and isinstance(first.value, str):
                yield node.lineno, first.value


def test_every_reason_has_a_sentence() -> None:
    from kitreckon.catalogue.load import open_catalogue

    sentences = open_catalogue().words.sentences
    missing = [
        f"{path.relative_to(SOURCE)}:{line}: {reason}"
        for path in modules()
        for line, reason in reasons_in(path)
        if reason not in sentences
    ]
    assert not missing, "\n".join(missing)


def test_every_shipped_catalogue_file_is_sound() -> None:
    from kitreckon.catalogue.load import catalogue_folder, check_file

    files = sorted(catalogue_folder().rglob("*.yaml"))
    assert len(files) > 20
    problems = [str(problem) for file in files for problem in check_file(file)]
    assert not problems, "\n".join(problems)


def test_the_shipped_catalogue_opens_without_a_problem() -> None:
    from kitreckon.catalogue.load import open_catalogue

    for language in ("en", "de", "fr"):
        catalogue = open_catalogue(language=language)
        for subject in ("kinds", "prices", "outfits", "findings", "shares", "chances", "judgement"):
            assert getattr(catalogue, subject)
        assert catalogue.words
        assert catalogue.standards
        assert catalogue.rules
        assert catalogue.problems == ()


def test_every_picture_is_shown_in_the_readme() -> None:
    root = DEVELOPERS.parent
    readme = (root / "README.md").read_text("utf-8")
    shown = re.findall(r"\(\.pictures/([\w.-]+)\)", readme)
    assert sorted(shown) == sorted(path.name for path in (root / ".pictures").iterdir())
