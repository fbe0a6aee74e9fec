"""Catalogue files that set traps: each is refused in words, or read as written, within a second."""

from __future__ import annotations

import os
import threading
import time
from pathlib import Path

import pytest

from kitreckon.catalogue import yaml_text
from kitreckon.catalogue.load import check_file, open_catalogue
from kitreckon.errors import Problem

HEAD = "format: 1\nsubject: kinds\ngroup: traps\nkinds:\n"
KIND = (
    "  trap-kind:\n"
    "    british: [{name}]\n"
    "    american: [trap]\n"
    "    looks_like: a trap\n"
    "    where: in the drawer\n"
    "    seats: [spindle-nose]\n"
    "    common: no\n"
    "    machine_specific: no\n"
    "    spins: no\n"
    "    weight_kg: 1\n"
    "    price_group: trap\n"
)


def whole(name: str = "trap") -> str:
    return HEAD + KIND.replace("{name}", name)


def checked(data: bytes | str, folder: Path) -> list[Problem]:
    """Check one file and hold it to a second."""
    path = folder / "trap.yaml"
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    began = time.process_time()
    problems = check_file(path)
    assert time.process_time() - began < 1
    assert all(
        ord(character) >= 32 for problem in problems for character in str(problem).replace("\n", "")
    )
    return problems


# Values that YAML would guess at: each must stay the text that was written.

GUESSED = [
    "no", "No", "off", "OFF", "on", "ON", "yes", "y", "n", "true", "False",
    "010", "08", "0o17", "0x1F", "0b11", "1_000", "1:30", "190:20:30", "1e3", "1.0e+3", ".5", "5.",
    ".inf", "-.INF", ".nan", "2024-01-05", "2024-13-45", "2024-01-05 10:00:00", "1/2", "1-1/2",
    "3/8", "12,5", "5C", "MT3", "D1-4", "-5", "<<", "=x", "~x", "9" * 5000,
]  # fmt: skip


@pytest.mark.parametrize("text", GUESSED, ids=lambda text: text[:12])
def test_a_value_stays_the_text_that_was_written(text: str) -> None:
    root, problems = yaml_text.parse(f"a: {text}\nb:\n  - {text}\n", "trap.yaml")
    kept = text[: yaml_text.TEXT_LIMIT]
    assert (problems, root and yaml_text.plain_data(root)) == ([], {"a": kept, "b": [kept]})


@pytest.mark.parametrize("text", ["no", "on", "010", "1:30", "2024-01-05", "1e3", "0x1F"])
def test_a_name_that_yaml_would_guess_at_is_kept_as_a_name(text: str, tmp_path: Path) -> None:
    assert checked(whole(text), tmp_path) == []
    folder = tmp_path / "mine" / "kinds"
    folder.mkdir(parents=True)
    (folder / "trap.yaml").write_text(whole(text))
    catalogue = open_catalogue([tmp_path / "mine"])
    assert catalogue.kinds["trap-kind"].british == (text,)
    assert catalogue.problems == ()


# Files that cannot be used, or only in part: where, and in which words, that is said.

BOMB = "a: &a [x,x,x,x,x,x,x,x,x]\n" + "".join(
    f"{chr(98 + n)}: &{chr(98 + n)} [{','.join([f'*{chr(97 + n)}'] * 9)}]\n" for n in range(8)
)
REFUSED: dict[str, tuple[bytes | str, int, str]] = {
    "empty": ("", 0, "empty"),
    "blank lines": ("\n\n\n", 0, "empty"),
    "comment only": ("# nothing\n", 0, "empty"),
    "null": ("~\n", 1, "empty"),
    "text at the top": ("just words\n", 1, "no fields"),
    "list at the top": ("- a\n- b\n", 1, "no fields"),
    "two documents": (whole() + "---\na: b\n", 16, "second document"),
    "anchor": (HEAD + "  a: &x b\n", 5, "anchor"),
    "alias without anchor": (HEAD + "  a: *x\n", 5, "anchor or alias"),
    "alias bomb": (BOMB, 1, "anchor"),
    "endless list": ("a: &a [*a]\n", 1, "anchor"),
    "merge key": ("a: &a {b: c}\nd:\n  <<: *a\n", 1, "anchor"),
    "tag": (HEAD + "  a: !!python/object/apply:os.system [ls]\n", 5, "tag"),
    "own tag": (HEAD + "  a: !secret x\n", 5, "tag"),
    "binary tag": (HEAD + "  a: !!binary aGk=\n", 5, "tag"),
    "21 deep": ("a: " + "[" * 21 + "]" * 21, 1, "deep"),
    "5,000 lists deep": ("a: " + "[" * 5_000, 1, "nest"),
    "5,000 groups deep": ("a: " + "{b: " * 5_000, 1, "deep"),
    "5,000 dashes deep": ("- " * 5_000, 1, "deep"),
    "over two megabytes": ("a: " + "x" * 2_000_001, 0, "2 MB"),
    "too many nodes": ("a: [" + "x," * 200_001 + "]", 1, "200,000"),
    "tab in the indentation": ("format: 1\n\tsubject: kinds\n", 2, "tab"),
    "latin-1": (whole("caf\xe9").encode("latin-1"), 6, "UTF-8"),
    "utf-8 cut short": (whole("é").encode().replace(b"\xc3\xa9", b"\xc3"), 6, "UTF-8"),
    "utf-16 without a mark": (whole().encode("utf-16-le"), 1, "control character"),
    "utf-16 cut short": (whole().encode("utf-16")[:-1], 15, "UTF-8"),
    "nul": ("format: 1\na: b\x00c\n", 2, "control character"),
    "escape character": ("format: 1\na: \x1b[31mred\n", 2, "control character"),
    "delete character": ("a: b\x7f\n", 1, "control character"),
    "half a surrogate": (b"a: \xed\xa0\x80\n", 1, "UTF-8"),
    "unclosed bracket": (HEAD + "  a: [b, c\n", 6, ""),
    "unclosed quote": (HEAD + '  a: "b\n', 6, ""),
    "unknown escape": (HEAD + '  a: "b\\q"\n', 5, ""),
    "at sign": (HEAD + "  a: @x\n", 5, ""),
    "backquote": (HEAD + "  a: `x`\n", 5, ""),
    "percent": ("%YAML 9.9\n%x\n", 1, ""),
    "colon in plain text": (HEAD + "  a: b: c\n", 5, ""),
    "wrong indentation": (HEAD + "  a: b\n c: d\n", 6, ""),
    "a list and a group in one": (HEAD + "  - a\n  b: c\n", 6, ""),
    "random bytes": (bytes(range(256)), 2, "UTF-8"),
    "zip file": (b"PK\x03\x04" + b"\0" * 99, 1, "control character"),
    "no subject": ("format: 1\n", 1, "subject"),
    "unknown subject": ("format: 1\nsubject: kind\n", 2, "unknown subject"),
    "subject is a list": ("format: 1\nsubject: [kinds]\n", 2, "subject"),
    "no format": ("subject: kinds\ngroup: g\nkinds: {}\n", 1, "format"),
    "later format": (whole().replace("format: 1", "format: 2"), 1, "2"),
    "entry twice": (
        whole() + KIND.replace("{name}", "again"),
        16,
        "stands twice (first on line 5)",
    ),
    "field twice": (whole() + "    common: yes\n", 16, "stands twice (first on line 11)"),
    "twice by a quote": ("format: 1\nsubject: kinds\n'format': 1\n", 3, "stands twice"),
    "name is a list": (HEAD + "  ? [a, b]\n  : c\n", 5, "not plain text"),
    "name is nothing": (HEAD + "  ~: c\n", 5, "not plain text"),
    "entries are a list": (HEAD + "  - a\n", 5, "no fields"),
    "entry is text": (HEAD + "  trap-kind: chuck\n", 5, "no fields"),
    "names are a group": (whole().replace("american: [trap]", "american: {a: b}"), 7, "fields"),
    "yes or no is maybe": (whole().replace("spins: no", "spins: maybe"), 13, "maybe"),
    "number in words": (whole().replace("weight_kg: 1", "weight_kg: heavy"), 14, "heavy"),
    "number is nan": (whole().replace("weight_kg: 1", "weight_kg: .nan"), 14, ".nan"),
    "number below nothing": (whole().replace("weight_kg: 1", "weight_kg: -1"), 14, "-1"),
    "number out of all bounds": (whole().replace("kg: 1", f"kg: {'9' * 4999}"), 14, "99"),
    "number in another script": (whole().replace("kg: 1", "kg: ٣"), 14, "٣"),
    "unknown seat": (whole().replace("spindle-nose", "spindel-nose"), 10, "spindel-nose"),
    "unknown field": (whole() + "    colour: grey\n", 16, "colour"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_trap_is_answered_in_words_with_its_place(name: str, tmp_path: Path) -> None:
    data, line, found = REFUSED[name]
    problems = checked(data, tmp_path)
    assert problems, "nothing was found"
    assert any(
        problem.line == line and found in f"{problem.found} {problem.remedy}"
        for problem in problems
    ), problems
    assert all(problem.file.endswith("trap.yaml") and problem.remedy for problem in problems)


ACCEPTED: dict[str, bytes] = {
    "byte order mark": b"\xef\xbb\xbf" + whole().encode(),
    "utf-16 little end first": whole("é").encode("utf-16"),
    "utf-16 big end first": b"\xfe\xff" + whole("é").encode("utf-16-be"),
    "carriage returns and line feeds": whole().replace("\n", "\r\n").encode(),
    "carriage returns alone": whole().replace("\n", "\r").encode(),
    "no newline at the end": whole().rstrip("\n").encode(),
    "one document mark": b"---\n" + whole().encode(),
    "flow style": whole().replace("seats: [spindle-nose]", "seats: [ spindle-nose ]").encode(),
    "quoted": whole('"quoted: with # and \' in it"').encode(),
}


@pytest.mark.parametrize("name", ACCEPTED)
def test_what_an_editor_may_write_is_accepted(name: str, tmp_path: Path) -> None:
    assert checked(ACCEPTED[name], tmp_path) == []


def test_an_escape_in_quotes_does_not_come_alive(tmp_path: Path) -> None:
    name = '"\\e]52;c;eA==\\a \\u202e \\uD800x"'
    problems = checked(whole(name), tmp_path)
    root, _ = yaml_text.parse(whole('"\\e[2J\\u202e"'), "trap.yaml")
    assert root is not None
    assert "\ufffd[2J\ufffd" in str(yaml_text.plain_data(root))
    assert not any("\x1b" in str(problem) for problem in problems)


def test_a_thousand_faults_are_told_at_once(tmp_path: Path) -> None:
    entries = "".join(
        KIND.format(name="x").replace("trap-kind", f"trap-{n}").replace("spins: no", "spins: maybe")
        for n in range(1000)
    )
    problems = checked(HEAD + entries, tmp_path)
    assert len({problem.line for problem in problems}) == 1000


def test_thirty_thousand_entries_are_read_or_refused_in_time(tmp_path: Path) -> None:
    data = "format: 1\nsubject: kinds\n" + "".join(f"k{n}: {{a: b}}\n" for n in range(30_000))
    assert checked(data, tmp_path)


def test_bad_files_are_passed_over_and_the_rest_of_the_catalogue_stands(tmp_path: Path) -> None:
    folder = tmp_path / "mine" / "kinds"
    folder.mkdir(parents=True)
    names = {f"{name}.yaml" for name in REFUSED}
    for number, (name, (data, _, _)) in enumerate(REFUSED.items()):
        path = folder / f"{name}.yaml"
        own = data if isinstance(data, bytes) else data.replace("trap-kind", f"k{number}").encode()
        path.write_bytes(own)
    (folder / "zz-good.yaml").write_text(whole("a good one").replace("trap-kind", "good-kind"))
    (folder / "yy-unreadable.yaml").symlink_to(tmp_path / "nowhere.yaml")
    ours = len(open_catalogue([]).kinds)
    began = time.process_time()
    catalogue = open_catalogue([tmp_path / "mine"])
    kinds = catalogue.kinds
    assert time.process_time() - began < 10
    assert kinds["good-kind"].british == ("a good one",)
    assert len(kinds) > ours
    told = {Path(problem.file).name for problem in catalogue.problems}
    assert "yy-unreadable.yaml" in told
    assert not sorted(names - told), sorted(names - told)
    assert "zz-good.yaml" not in told


def test_a_pipe_in_the_folder_does_not_hold_the_program_up(tmp_path: Path) -> None:
    pipe = tmp_path / "trap.yaml"
    os.mkfifo(pipe)
    found: list[list[Problem]] = []
    reader = threading.Thread(target=lambda: found.append(check_file(pipe)), daemon=True)
    reader.start()
    reader.join(2)
    if reader.is_alive():  # let it go, then fail
        pipe.open("w").close()
    assert found
