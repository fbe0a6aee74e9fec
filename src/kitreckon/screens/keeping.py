"""Words on a typed line that say a thing is here, but the seller keeps it. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from kitreckon.screens.details import Details

_SELLER = r"he|she|they|(?:the\s+|his\s+)?(?:seller|owner|son|widow)"
_NOT = r"not|never|n['’]t|nt|no\s+longer"
_BEFORE = rf"(?:(?:['’]s|['’]ll|is|are|will|would|wants?|to|does|do|did|wo|also|{_NOT})\s*)*"
_KEEPS = r"(?:keeps?|keeping|kept|retains?|retaining)"
_HIS = rf"(?:(?:but|and|that|which)\s+)?(?P<who>{_SELLER})?\s*(?P<how>{_BEFORE})\b{_KEEPS}\b"
_ENDS = r"(?=\s*(?:$|[,;.]))"
_IT = r"(?:\s+(?:it|them|this|that|these|those|both|all|back|himself|herself|though))*"
_STAYS = r"(?:it\s+)?(?:stays?|staying|remains?)\s+with\s+(?:him|her|them|the\s+(?:seller|owner))"
_AFTER = re.compile(rf"\s*[,;.]?\s*(?:{_HIS}{_IT}|\b(?:{_STAYS}|not\s+for\s+sale)){_ENDS}", re.I)
_NAMED = re.compile(rf"{_HIS}\s+(?:(?:on\s+to|back|the|his|her|that|this|a)\s+)*", re.I)
_DENIED = re.compile(rf"(?:{_NOT})(?=\s|$)", re.I)


@dataclass(frozen=True, slots=True)
class Keeping:
    """What a line says is kept: ``thing`` names it, empty where the row in hand is meant.

    ``form`` "named" ("he keeps the 4-jaw") may tell where a thing lies ("he keeps the steady on
    the shelf"); "after" ("4-jaw, he keeps it") may not. "beside": other things are named too.
    """

    thing: str
    details: Details
    form: Literal["after", "named", "beside"]


def read_keeping(text: str) -> Keeping | None:
    """Return what a line says the seller keeps, or does not; None where it says neither.

    >>> read_keeping("4 jaw, he keeps it").thing, read_keeping("he keeps the 4 jaw").thing
    ('4 jaw', '4 jaw')
    >>> read_keeping("he does not keep it").details.denied
    (('his', True),)
    >>> read_keeping("he keeps it well oiled") is None
    True
    """
    if found := _AFTER.search(text):
        left = f"{text[: found.start()]} {text[found.end() :]}".strip(" ,;.")
        return Keeping(left, _said(found["how"]), "after")
    found = _NAMED.search(text)
    if found is None or re.match(r"(?:it|them)\b", text[found.end() :], re.I):
        return None
    form: Literal["named", "beside"] = "beside" if text[: found.start()].strip() else "named"
    return Keeping(text[found.end() :].strip(), _said(found["how"]), form)


def _said(how: str | None) -> Details:
    """Return what is said of the thing: kept, or said not to be."""
    denied = how is not None and _DENIED.search(how) is not None
    return Details(denied=(("his", True),)) if denied else Details(his=True)
