"""Slips of the keys: which known word an unknown one may have been meant as."""

from __future__ import annotations

from collections.abc import Iterable

NEVER_SPELLED = 4  # shorter words are taken as they stand


def singular(word: str) -> str:
    """Return the singular of a word, as far as its ending tells.

    >>> singular("chucks"), singular("boxes"), singular("bushings")
    ('chuck', 'box', 'bushing')
    """
    if len(word) <= 3 or not word.endswith("s") or word.endswith(("ss", "us", "is", "ous")):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + "y"
    if word.endswith(("ches", "shes", "xes", "sses")):
        return word[:-2]
    return word[:-1]


def without_one(word: str) -> Iterable[str]:
    """Return the word with each of its letters left out in turn."""
    return (word[:i] + word[i + 1 :] for i in range(len(word)))


def deletions_of(vocabulary: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Return the words by themselves and by what they are with one letter left out."""
    found: dict[str, list[str]] = {}
    for word in vocabulary:
        if len(word) < NEVER_SPELLED or not word.isalpha():
            continue
        for shape in {word, *without_one(word)}:
            found.setdefault(shape, []).append(word)
    return {shape: tuple(words) for shape, words in found.items()}


def plausible(text: str, candidate: str, slips: int) -> bool:
    """Return whether a text may be a slip of the candidate, that many letters away."""
    # A short word one letter off is as likely another word or a name, unless letters changed
    # places; the first letter is seldom the wrong one.
    allowed = 1 if len(candidate) <= 7 else 2
    if text.startswith(candidate) and text[len(candidate) :] in {
        "d",
        "r",
        "y",
        "t",
        "e",
        "ed",
        "er",
        "ly",
    }:
        return False  # another form of the word, not a slip
    if text[0] != candidate[0]:
        return len(candidate) >= 7 and slips == 1 and len(text) != len(candidate)
    if len(text) <= 5 and len(candidate) <= len(text):
        return slips <= 1 and (sorted(text) == sorted(candidate) or len(candidate) < len(text) > 4)
    return slips <= allowed
