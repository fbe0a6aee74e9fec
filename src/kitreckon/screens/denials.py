"""Words that deny what follows them on a typed line: "not tried", "never been cracked". Pure."""

from __future__ import annotations

import re

_DENIES = re.compile(
    r"not|never|no|nor|neither|without|w/o|nothing|none|hardly|"
    r"(?:is|was|are|were|has|have|had|does|did|do|would|wo|ca|could|ai)n['’]?t|cannot",
    re.IGNORECASE,
)
# what may stand between a denial and what it denies
_BETWEEN = (
    "a|an|the|any|at|all|yet|been|be|being|is|are|was|were|in|of|really|very|so|quite|that|even|"
    "actually|longer|seen|ever|to|have|has|had"
)
_GOES_ON = frozenset({"or", "nor"})  # "not tried or cracked" denies both
_DENIAL = rf"(?:{_DENIES.pattern})(?:\s+(?:{_BETWEEN})\b)*"
_ENDS_DENIED = re.compile(rf"(?:^|[\s,;]){_DENIAL}\s*$", re.IGNORECASE)
_OPENS_DENIED = re.compile(rf"\s*{_DENIAL}\s+", re.IGNORECASE)


def denies(word: str) -> bool:
    """Return whether a word denies what follows it.

    >>> [denies(word) for word in ("not", "Isn't", "no.", "good")]
    [True, True, False, False]
    """
    return _DENIES.fullmatch(word) is not None


def passes_on(word: str) -> bool:
    """Return whether a denial holds on over this word to the next."""
    return word.lower() in _BETWEEN.split("|")


def goes_on(word: str) -> bool:
    """Return whether what was denied before this word goes on after it."""
    return word.lower() in _GOES_ON


def undenied(text: str) -> str | None:
    """Return what a text denies; None where it does not begin with a denial.

    >>> undenied("not very worn"), undenied("worn, not bad")
    ('worn', None)
    """
    found = _OPENS_DENIED.match(text)
    return text[found.end() :].strip() if found else None


def ends_denied(text: str) -> bool:
    """Return whether what follows a text is denied by its last words.

    >>> ends_denied("key is not"), ends_denied("not good, key")
    (True, False)
    """
    return _ENDS_DENIED.search(text) is not None
