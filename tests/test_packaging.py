"""Wheel and sdist build, carry catalogues and examples, and the program runs from the wheel."""

from __future__ import annotations

import os
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
BUILD = "import sys; from hatchling.build import build_{kind}; print(build_{kind}(sys.argv[1]))"


def build(kind: str, folder: Path) -> Path:
    done = subprocess.run(
        [sys.executable, "-c", BUILD.format(kind=kind), str(folder)],
        cwd=ROOT, check=True, capture_output=True, text=True,
    )  # fmt: skip
    return folder / done.stdout.split()[-1]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build("wheel", tmp_path_factory.mktemp("wheel"))


@pytest.fixture(scope="module")
def unpacked(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel laid out as an installer would."""
    folder = tmp_path_factory.mktemp("site")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder)
    return folder


def files_of(folder: str, pattern: str) -> set[str]:
    return {path.relative_to(ROOT).as_posix() for path in (ROOT / folder).rglob(pattern)}


def test_the_wheel_carries_catalogues_examples_and_type_information(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = set(archive.namelist())
    wanted = files_of("catalogs", "*.yaml") | files_of("examples", "*.*")
    assert {f"kitreckon/{name}" for name in wanted} <= names
    assert "kitreckon/py.typed" in names
    assert "kitreckon/screens/sheet.tcss" in names


def test_the_wheel_carries_nothing_but_the_package(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        tops = {name.split("/")[0] for name in archive.namelist()}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"kitreckon"}


def test_the_wheel_names_its_entry_point_and_needs(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        info = next(n for n in archive.namelist() if n.endswith("entry_points.txt"))
        assert "kitreckon = kitreckon.commands:main" in archive.read(info).decode()
        metadata = archive.read(info.replace("entry_points.txt", "METADATA")).decode()
    needs = [line for line in metadata.splitlines() if line.startswith("Requires-Dist")]
    plain = {line.split()[1].split("<")[0].split(">")[0] for line in needs if "extra" not in line}
    assert plain == {"textual", "tinydb", "rapidfuzz", "pyyaml"}


@pytest.mark.parametrize("arguments", [["demo"], ["read"], ["form"], ["check", "--schema", "list"]])
def test_the_program_runs_from_the_wheel(
    unpacked: Path, arguments: list[str], tmp_path: Path
) -> None:
    if arguments == ["read"]:
        arguments = ["read", str(unpacked / "kitreckon" / "examples" / "advert.txt")]
    code = (
        "import sys, kitreckon; from kitreckon.commands import main;"
        f"assert kitreckon.__file__.startswith({str(unpacked)!r}), kitreckon.__file__;"
        "sys.exit(main(sys.argv[1:]))"
    )
    environment = {**os.environ, "PYTHONPATH": str(unpacked), "XDG_DATA_HOME": str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments],
        cwd=tmp_path, env=environment, stdin=subprocess.DEVNULL, capture_output=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr.decode()
    assert done.stdout


def test_the_sdist_carries_what_is_needed_to_test_it(tmp_path: Path) -> None:
    with tarfile.open(build("sdist", tmp_path)) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    assert {"README.md", "pyproject.toml", ".ci/run", "tests/builders.py"} <= names
    assert files_of("catalogs", "*.yaml") | files_of("examples", "*.*") <= names
