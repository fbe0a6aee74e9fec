"""``kitreckon check``: the faults of catalogue files and count sheets, all at once."""

from __future__ import annotations

import argparse
import json
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from kitreckon.commands.arguments import add_catalogue, add_json
from kitreckon.commands.opening import is_table
from kitreckon.errors import FileError, KitreckonError, Problem

if TYPE_CHECKING:
    from kitreckon.catalogue.load import OpenCatalogue
    from kitreckon.catalogue.yaml_text import Scalar


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "paths",
        nargs="*",
        type=Path,
        metavar="PATH",
        help="a catalogue file, a count sheet, or a folder of them",
    )
    parser.add_argument(
        "--schema",
        metavar="SUBJECT",
        help='print the JSON Schema of a subject ("count" for sheets; "list" names them all)',
    )
    add_json(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Print every fault with file, line and column; return 1 when there is one."""
    from kitreckon.commands.opening import open_catalogue, user_path

    catalogue = open_catalogue(options)
    if options.schema is not None:
        return _print_schema(options.schema, catalogue)
    if not options.paths:
        raise KitreckonError("nothing to check", want="the path of a file or a folder")
    found = Found()
    for path in options.paths:
        with found.faults_of(path):
            _check(user_path(path), catalogue, options, found)
    return _tell(found, options.json)


@dataclass(slots=True)
class Found:
    """What was found so far in ``files`` files: faults, and notices, which are none."""

    problems: list[Problem] = field(default_factory=list)
    notices: list[Problem] = field(default_factory=list)
    files: int = 0

    @contextmanager
    def faults_of(self, path: Path) -> Iterator[None]:
        """Take what cannot be read as a fault of this path: it hides no fault of the others."""
        try:
            yield
        except KitreckonError as error:
            self.problems.append(Problem(str(path), 0, 0, error.what, error.want))


def _check(path: Path, catalogue: OpenCatalogue, options: Namespace, found: Found) -> None:
    """Check a file, or every file of a folder and what they are once they lie over ours."""
    folder = _is_folder(path)
    for file in _files_in(path) if folder else [path]:
        with found.faults_of(file):
            if folder and not file.is_file():  # a pipe would be waited for without end
                raise KitreckonError("not an ordinary file", want="take it out of the folder")
            faults, remarks = check_one(file, catalogue)
            found.problems += faults
            found.notices += remarks
            found.files += 1
    if folder:
        found.problems += _laid_over(path, options)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError as error:  # a name that is too long, a folder that is closed to us
        raise KitreckonError(
            error.strerror or "cannot be read", want="check the name and the rights of the file"
        ) from error


def _files_in(folder: Path) -> list[Path]:
    found = sorted(file for file in folder.rglob("*.y*ml") if file.suffix in (".yaml", ".yml"))
    if not found:
        raise KitreckonError("no .yaml file in this folder", want="the folder of a catalogue")
    return found


def check_one(file: Path, catalogue: OpenCatalogue) -> tuple[list[Problem], tuple[Problem, ...]]:
    """Return the faults of one file, and its notices, which are none."""
    from kitreckon.book.sheet import SUBJECT, read_sheet
    from kitreckon.catalogue.load import catalogue_folder, check_file
    from kitreckon.catalogue.shapes import nearest
    from kitreckon.catalogue.subjects import FILES
    from kitreckon.commands.opening import is_book, read_bytes

    data = read_bytes(file)
    other = "a book" if is_book(data) else "a table" if is_table(file) else ""
    if other:
        found = f"{other}, neither a catalogue file nor a count sheet"
        return [Problem(str(file), 0, 0, found, "kitreckon import reads it")], ()
    subject = _subject(data, file)
    names = (SUBJECT, *FILES)
    if subject.text not in ("", *names):
        found = f"unknown subject {subject.text!r}"
        remedy = nearest(subject.text, names)
        return [Problem(str(file), subject.line, subject.column, found, remedy)], ()
    if subject.text != SUBJECT:
        ours = file.resolve().is_relative_to(catalogue_folder())  # these lie over nothing
        return check_file(file, None if ours else catalogue), ()
    try:
        sheet = read_sheet(data, str(file), catalogue)
    except FileError as error:
        return list(error.problems), ()
    return [], sheet.notices


def _subject(data: bytes, file: Path) -> Scalar:
    """Return what the file says its subject is; a machine in it makes it a count sheet."""
    from kitreckon.catalogue.yaml_text import Scalar, parse

    root, _ = parse(data, str(file))
    entries = root.entries if root is not None else {}
    node = entries.get("subject")
    if isinstance(node, Scalar):
        return node
    return Scalar(str(file), 1, 1, "count" if "machine" in entries else "", plain=True)


def _laid_over(folder: Path, options: Namespace) -> list[Problem]:
    """Return what is wrong with a folder's entries once they lie over ours."""
    from kitreckon.catalogue.load import open_catalogue
    from kitreckon.catalogue.model import SUBJECTS
    from kitreckon.commands.opening import catalogue_folders

    catalogue = open_catalogue((*catalogue_folders(options), folder))
    for subject in SUBJECTS:
        getattr(catalogue, subject)
    inside = str(folder)
    return [problem for problem in catalogue.problems if problem.file.startswith(inside)]


def _tell(found: Found, as_json: bool) -> int:
    problems, notices, files = list(dict.fromkeys(found.problems)), found.notices, found.files
    if as_json:
        print(
            json.dumps(
                {
                    "problems": [_data(problem) for problem in problems],
                    "notices": [_data(notice) for notice in notices],
                },
                ensure_ascii=False,
            )
        )
        return 1 if problems else 0
    from kitreckon.quantities import clean_text

    for problem in sorted(problems):
        print(clean_text(str(problem), 2_000))
    for notice in notices:
        print(clean_text(f"{notice} (not a fault)", 2_000))
    counted = f"{files or 'no'} file{'' if files == 1 else 's'} checked"
    print(f"{counted}: {len(problems) or 'no'} fault{'' if len(problems) == 1 else 's'}")
    return 1 if problems else 0


def _data(problem: Problem) -> dict[str, Any]:
    return {
        "file": problem.file,
        "line": problem.line,
        "column": problem.column,
        "found": problem.found,
        "remedy": problem.remedy,
    }


def _print_schema(subject: str, catalogue: OpenCatalogue) -> int:
    from kitreckon.catalogue.shapes import nearest
    from kitreckon.catalogue.subjects import FILES

    names = ("count", *FILES)
    if subject == "list":
        print("\n".join(names))
        return 0
    if subject not in names:
        raise KitreckonError(f"unknown subject {subject!r}", want=nearest(subject, names))
    print(json.dumps(schema_of(subject, catalogue), indent=2, ensure_ascii=False))
    return 0


def schema_of(subject: str, catalogue: OpenCatalogue) -> dict[str, Any]:
    """Return the JSON Schema of a catalogue subject, or of count sheets ("count")."""
    from kitreckon.book.sheet import sheet_schema
    from kitreckon.catalogue.subjects import FILES

    if subject == "count":
        return sheet_schema(catalogue)
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema"}
    return {**head, "title": f"kitreckon catalogue: {subject}", **FILES[subject].json_schema()}
