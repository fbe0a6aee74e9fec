"""English words for numbers; how many a word counts beside a thing is in catalogs/reading.yaml."""

from __future__ import annotations

ONES = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8,
    "nine": 9,
}  # fmt: skip
TWELVE = ONES | {"ten": 10, "eleven": 11, "twelve": 12}
TWENTY = TWELVE | {
    "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18,
    "nineteen": 19, "twenty": 20,
}  # fmt: skip
TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60}
JAWS = {word: str(TWELVE[word]) for word in ("two", "three", "four", "five", "six")}


def number_of(text: str, more: dict[str, int] | None = None) -> int:
    """Return the number that a word or figures stand for; 0 for anything else.

    >>> number_of("twelve"), number_of("31"), number_of("a pair", {"a pair": 2}), number_of("x")
    (12, 31, 2, 0)
    """
    if text.isdigit():
        return int(text)
    return TWENTY.get(text) or (more or {}).get(text, 0)


def either(words: dict[str, int]) -> str:
    """Return the text of a pattern of any of the words, the longest first.

    >>> either({"two": 2, "twelve": 12})
    'twelve|two'
    """
    return "|".join(sorted(words, key=lambda word: (-len(word), word)))
