"""YAML as text with positions: every scalar stays what was written, every node knows its place.

YAML's own guesses ("no" is false, 010 is eight, 1:30 is ninety) never happen here: the shapes of
kitreckon.catalogue.shapes convert. Anchors, aliases and tags are refused, and size, depth and
number of nodes are limited, so that no file can be a bomb. Pure: takes bytes or text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

import yaml

from kitreckon.errors import Problem
from kitreckon.quantities import clean_text

MOST_BYTES = 2_000_000
MOST_NODES = 200_000
MOST_DEPTH = 20
TEXT_LIMIT = 2_000

_Parser = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # C where libyaml is there


@dataclass(slots=True)
class Node:
    """One node of a file; lines and columns count from 1."""

    file: str
    line: int
    column: int


@dataclass(slots=True)
class Scalar(Node):
    """A piece of text; ``plain`` when it stood without quotes."""

    text: str
    plain: bool

    @property
    def empty(self) -> bool:
        """Whether it says nothing: empty, ~ or null without quotes."""
        return self.plain and self.text in {"", "~", "null", "Null", "NULL"}


@dataclass(slots=True)
class Sequence(Node):
    """A list of nodes."""

    items: list[Node] = field(default_factory=list)


@dataclass(slots=True)
class Mapping(Node):
    """Named nodes in the order written, with the place of each name."""

    entries: dict[str, Node] = field(default_factory=dict)
    keys: dict[str, Scalar] = field(default_factory=dict)


def parse(data: bytes | str, file: str) -> tuple[Mapping | None, list[Problem]]:
    """Return the document's top-level mapping and all problems found.

    The mapping is None when the file cannot be used at all. Accepts UTF-8 with or without BOM
    and UTF-16 with BOM.
    """
    problems: list[Problem] = []
    text = _decode(data, file, problems)
    if text is None:
        return None, problems
    builder = _Builder(file, problems)
    try:
        root = builder.build(yaml.parse(text, Loader=_Parser))
    except yaml.MarkedYAMLError as error:
        problems.append(_syntax_problem(error, file, text))
        return None, problems
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        reason = str(error).splitlines()[0] if str(error) else "not YAML"
        problems.append(Problem(file, 0, 0, clean_text(reason), "save it as plain UTF-8 YAML"))
        return None, problems
    if builder.stopped:
        return None, problems
    if not isinstance(root, Mapping):
        line, column = (root.line, root.column) if root is not None else (0, 0)
        found = "the file is empty" if root is None or _says_nothing(root) else "no fields"
        problems.append(
            Problem(file, line, column, found, 'start with "format: 1" and "subject: ..."')
        )
        return None, problems
    return root, problems


def _says_nothing(node: Node) -> bool:
    return isinstance(node, Scalar) and node.empty


def _decode(data: bytes | str, file: str, problems: list[Problem]) -> str | None:
    if len(data) > MOST_BYTES:
        problems.append(Problem(file, 0, 0, "the file is over 2 MB", "split it into several files"))
        return None
    if isinstance(data, str):
        text = data
    else:
        utf16 = data.startswith((b"\xff\xfe", b"\xfe\xff"))
        try:
            text = data.decode("utf-16" if utf16 else "utf-8-sig")
        except UnicodeDecodeError as error:
            line = data[: error.start].count(b"\n") + 1
            column = error.start - data[: error.start].rfind(b"\n")
            problems.append(Problem(file, line, column, "not UTF-8 text", "save the file as UTF-8"))
            return None
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    match = re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]", text)
    if match is not None:
        line = text[: match.start()].count("\n") + 1
        column = match.start() - text.rfind("\n", 0, match.start())
        found = f"a control character (code {ord(match[0])})"
        problems.append(Problem(file, line, column, found, "delete it"))
        return None
    return text


def _syntax_problem(error: yaml.MarkedYAMLError, file: str, text: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark is not None else (0, 0)
    lines = text.splitlines()
    here = lines[line - 1] if 0 < line <= len(lines) else ""
    if "\t" in here[: max(column, 1)]:
        return Problem(file, line, column, "a tab in the indentation", "use spaces")
    if error.problem and "document" in error.problem:
        return Problem(file, line, column, "a second document", "one document a file: no ---")
    remedy = "put quotes round text that holds : # [ ] { } or starts with @ ` % * & ! | >"
    return Problem(file, line, column, clean_text(error.problem or "not YAML"), remedy)


class _Builder:
    """Builds the tree from the parser's events in one pass, with all limits checked."""

    def __init__(self, file: str, problems: list[Problem]) -> None:
        self.file = file
        self.problems = problems
        self.stopped = False
        self.nodes = 0

    def build(self, events: Iterator[yaml.Event]) -> Node | None:
        root: Node | None = None
        documents = 0
        for event in events:
            if isinstance(event, yaml.DocumentStartEvent):
                documents += 1
                if documents > 1:
                    self._stop(event, "a second document", "one document a file: no ---")
            elif isinstance(event, yaml.NodeEvent):
                node = self._node(event, events, 1)
                root = node if root is None else root
            if self.stopped:
                return None
        return root

    def _stop(self, event: yaml.Event, found: str, remedy: str) -> None:
        if not self.stopped:
            self.problems.append(Problem(self.file, *self._place(event), found, remedy))
        self.stopped = True

    @staticmethod
    def _place(event: yaml.Event) -> tuple[int, int]:
        mark = event.start_mark
        return (mark.line + 1, mark.column + 1) if mark is not None else (0, 0)

    def _node(self, event: yaml.Event, events: Iterator[yaml.Event], depth: int) -> Node:
        self.nodes += 1
        line, column = self._place(event)
        self._check(event, depth)
        if isinstance(event, yaml.ScalarEvent) and not self.stopped:
            text = clean_text(event.value.strip(), TEXT_LIMIT)
            return Scalar(self.file, line, column, text, not event.style)
        if isinstance(event, yaml.MappingStartEvent) and not self.stopped:
            return self._mapping(Mapping(self.file, line, column), events, depth)
        if isinstance(event, yaml.SequenceStartEvent) and not self.stopped:
            return self._sequence(Sequence(self.file, line, column), events, depth)
        return Scalar(self.file, line, column, "", True)

    def _check(self, event: yaml.Event, depth: int) -> None:
        """Stop at what no catalogue needs and a hostile file would use."""
        if self.nodes > MOST_NODES:
            self._stop(event, "more than 200,000 entries", "split it into several files")
        elif depth > MOST_DEPTH:
            self._stop(event, f"nested over {MOST_DEPTH} deep", "a catalogue is never that deep")
        elif isinstance(event, yaml.AliasEvent) or getattr(event, "anchor", None):
            self._stop(event, "an anchor or alias (& or *)", "write the text out, or quote it")
        elif (tag := getattr(event, "tag", None)) is not None and tag != "!":
            self._stop(event, f"a tag ({clean_text(str(tag))})", "leave it out, or quote it")

    def _sequence(self, node: Sequence, events: Iterator[yaml.Event], depth: int) -> Node:
        for event in events:
            if self.stopped or isinstance(event, yaml.SequenceEndEvent):
                break
            node.items.append(self._node(event, events, depth + 1))
        return node

    def _mapping(self, node: Mapping, events: Iterator[yaml.Event], depth: int) -> Node:
        for event in events:
            if self.stopped or isinstance(event, yaml.MappingEndEvent):
                break
            key = self._node(event, events, depth + 1)
            if self.stopped:
                break
            value = self._node(next(events), events, depth + 1)
            self._keep(node, key, value)
        return node

    def _keep(self, node: Mapping, key: Node, value: Node) -> None:
        if not isinstance(key, Scalar) or key.empty:
            self._problem(key, "a name that is not plain text", "name: value")
        elif key.text in node.entries:
            first = node.keys[key.text]
            self._problem(
                key,
                f"{key.text!r} stands twice (first on line {first.line})",
                "keep one of the two",
            )
        else:
            node.entries[key.text] = value
            node.keys[key.text] = key

    def _problem(self, node: Node, found: str, remedy: str) -> None:
        self.problems.append(Problem(self.file, node.line, node.column, found, remedy))


def plain_data(node: Node) -> object:
    """Return the node as str, list and dict; what says nothing becomes None."""
    if isinstance(node, Mapping):
        return {key: plain_data(value) for key, value in node.entries.items()}
    if isinstance(node, Sequence):
        return [plain_data(item) for item in node.items]
    assert isinstance(node, Scalar)
    return None if node.empty else node.text
