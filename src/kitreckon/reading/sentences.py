"""An advert cut into sentences and the lines of its lists."""

from __future__ import annotations

import re
from collections.abc import Iterator

_SENTENCE = re.compile(r"\n+|(?<=[A-Za-z0-9\")])[.!?]+(?=\s+[\"(A-Z0-9$]|\s*$)|[;•!?]+|\.{2,}")
_NUMBER = re.compile(r"\bno\.\s*\d", re.IGNORECASE)  # "No. 3" ends no sentence
_LISTED = re.compile(r"^[ \t]*(\d{1,2})[ \t]*[-.):][ \t]+(?=\S)", re.MULTILINE)
_LIST = 3  # lines that count on
_WRAPPED = 50  # letters of a line from which text is taken for wrapped
_EVEN = 0.75  # of the longest line


def unwrapped(text: str) -> str:
    r"""Return the text with the line breaks inside running text as spaces.

    A paragraph is running text where all its lines but the last are about equally long; the
    lines of a list are not.

    >>> unwrapped("Manual\nSteady rest")
    'Manual\nSteady rest'
    """
    paragraphs = re.split(r"\n\s*\n", text)
    return "\n\n".join(map(_unwrapped, paragraphs))


def unnumbered(text: str) -> str:
    r"""Return the text without the numbers of a list that counts its lines.

    >>> unnumbered("1 - vise\n2 - 4 jaw chuck\n3 - dogs")
    'vise\n4 jaw chuck\ndogs'
    >>> unnumbered("2 - 4 jaw chucks\n1 faceplate")
    '2 - 4 jaw chucks\n1 faceplate'
    """
    found = list(_LISTED.finditer(text))
    numbers = [int(match[1]) for match in found]
    if len(numbers) < _LIST or numbers != list(range(numbers[0], numbers[0] + len(numbers))):
        return text
    return _LISTED.sub("", text)


def _unwrapped(paragraph: str) -> str:
    lines = paragraph.split("\n")
    longest = max(map(len, lines))
    bullets = sum(1 for line in lines[1:] if re.match(r"\s*[-*;\u2022]|\s*\d+[.)]\s", line))
    even = all(len(line.rstrip()) >= _EVEN * longest for line in lines[:-1])
    if len(lines) > 1 and longest >= _WRAPPED and even and not bullets:
        return " ".join(line.strip() for line in lines)
    return paragraph


def sentences_of(text: str) -> Iterator[tuple[str, str]]:
    r"""Yield the sentences and list lines of an advert, each with the mark it ends in.

    >>> list(sentences_of("Lathe, 6in. chuck. A steady? No"))
    [('Lathe, 6in. chuck', '.'), (' A steady', '?'), (' No', '')]
    """
    start = 0
    for match in _SENTENCE.finditer(text):
        if match[0] == "." and _NUMBER.search(text, max(0, match.start() - 4), match.end() + 4):
            continue
        if text[start : match.start()].strip():
            yield text[start : match.start()], match[0]
        start = match.end()
    if text[start:].strip():
        yield text[start:], ""
