"""Which parts of a thing a typed line says are missing, and which it says are not. Pure."""

from __future__ import annotations

import re
from dataclasses import replace

from kitreckon.catalogue.model import Kind, Part
from kitreckon.screens.amounts import without
from kitreckon.screens.denials import ends_denied
from kitreckon.screens.details import Details, Fact, merge

_LACKS = re.compile(r"(?<!\S)(no|without|w/o|missing)\s+([a-z][a-z' -]*)", re.IGNORECASE)
_GONE = re.compile(
    r"\b([a-z][a-z' -]*?)\s+(?:(?:is|are)\s+)?(not\s+)?(?:missing|gone)\b", re.IGNORECASE
)
_GONE_AFTER = re.compile(r"\s+(?:(?:is|are)\s+)?(?:missing|gone)$", re.IGNORECASE)
_WHOLE = re.compile(
    r"(?<!\S)(?:nothing|none|no\s+parts?)(?:\s+(?:is|are))?\s+(?:missing|gone)\b", re.IGNORECASE
)


def read_lacks(details: Details, text: str, kind: Kind | None) -> tuple[Details, str]:
    """Read which parts of the kind are missing, and which are said not to be."""
    if kind is None:
        return details, text
    if found := _WHOLE.search(text):
        there: tuple[Fact, ...] = tuple(("parts_missing", part.id) for part in kind.parts)
        details, text = merge(details, Details(denied=there)), without(text, found)
    while (lack := _lack(text, kind)) is not None:
        said, text = lack
        missing = dict.fromkeys((*details.parts_missing, *said.parts_missing))
        details = merge(details, replace(said, parts_missing=tuple(missing)))
    return details, text


def _lack(text: str, kind: Kind) -> tuple[Details, str] | None:
    """Return what the first lack named says of a part, and the text without it."""
    for found in _LACKS.finditer(text):
        named = _GONE_AFTER.sub("", found[2].strip())
        here = named != found[2].strip() or ends_denied(text[: found.start()])
        if (part := _part_named(named, kind)) is not None:
            return _said_of(part[0], here=here), _cut(text, found, part[1], here=here)
    for found in _GONE.finditer(text):
        if (part := _part_named(found[1].strip(), kind)) is not None:
            here = bool(found[2])
            return _said_of(part[0], here=here), _cut(text, found, part[1], here=False)
    return None


def _said_of(part: Part, *, here: bool) -> Details:
    if here:
        return Details(denied=(("parts_missing", part.id),))
    return Details(parts_missing=(part.id,))


def _cut(text: str, found: re.Match[str], rest: str, *, here: bool) -> str:
    """Return a text without a lack, nor the denial before it, but with what followed the part."""
    before = text[: found.start()]
    if here and ends_denied(before):
        before = re.sub(r"\S+\s*$", "", before)
    return f"{before} {rest} {text[found.end() :]}".strip()


def _part_named(named: str, kind: Kind) -> tuple[Part, str] | None:
    """Return the part of a kind that words name, and the words after its name."""
    named = named.lower()
    for part in kind.parts:
        for name in sorted((part.id.replace("-", " "), *part.names), key=len, reverse=True):
            whole = re.match(rf"{re.escape(name.lower())}(?:e?s)?(?![a-z])", named)
            if whole is not None:
                return part, named[whole.end() :].strip()
            if f" {name.lower()}".endswith(f" {named}"):
                return part, ""
    return None
