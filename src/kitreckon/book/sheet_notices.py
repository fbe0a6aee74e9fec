"""What in a count sheet is no fault, and yet is worth a second look."""

from __future__ import annotations

from collections.abc import Iterator

from kitreckon.book.sheet_values import NOT_KNOWN
from kitreckon.catalogue.model import Catalogue
from kitreckon.catalogue.shapes import nearest
from kitreckon.catalogue.yaml_text import Mapping, Node, Scalar, Sequence
from kitreckon.errors import Problem
from kitreckon.quantities import QuantityError, read_designation, read_length

_MOUNTS = ("nose", "spindle_socket", "tailstock_socket", "mount")


def notices_of(root: Mapping, catalogue: Catalogue) -> Iterator[Problem]:
    """Yield designations nobody knows, sizes without a unit, parts a kind does not have."""
    yield from _mounts(root.entries.get("machine"))
    for name in ("pieces", "shelf"):
        entries = root.entries.get(name)
        for entry in entries.items if isinstance(entries, Sequence) else ():
            yield from _mounts(entry)
            yield from _size(entry)
            yield from _parts(entry, catalogue)


def _scalars(node: Node | None, *names: str) -> Iterator[Scalar]:
    if not isinstance(node, Mapping):
        return
    for name in names:
        value = node.entries.get(name)
        if isinstance(value, Scalar) and value.text.lower() not in NOT_KNOWN and not value.empty:
            yield value


def _mounts(node: Node | None) -> Iterator[Problem]:
    for value in _scalars(node, *_MOUNTS):
        if read_designation(value.text) is None:
            found = f"{value.text!r} is no designation we know: its fit cannot be told"
            yield _notice(value, found, "for example D1-4, L00, 1-1/2-8, MT3, ER32")


def _size(node: Node) -> Iterator[Problem]:
    for value in _scalars(node, "size"):
        try:
            known = read_length(value.text).unit is not None
        except QuantityError:
            continue
        if not known:
            found = f"{value.text} has no unit: its size is not reckoned with"
            yield _notice(value, found, f"{value.text}in or {value.text}mm")


def _parts(node: Node, catalogue: Catalogue) -> Iterator[Problem]:
    if not isinstance(node, Mapping) or "parts_missing" not in node.entries:
        return
    named = next((value.text for value in _scalars(node, "kind")), "")
    kind = catalogue.kinds.get(named)
    if kind is None:
        return
    known = tuple(part.id for part in kind.parts)
    missing = node.entries["parts_missing"]
    for value in missing.items if isinstance(missing, Sequence) else [missing]:
        if isinstance(value, Scalar) and value.text not in known:
            found = f"{value.text!r} is no part that {kind.id} is known to have"
            yield _notice(value, found, nearest(value.text, known))


def _notice(node: Scalar, found: str, remedy: str) -> Problem:
    return Problem(node.file, node.line, node.column, found, remedy)
