"""What can go wrong, said once: where, what was found, what would be right."""

from __future__ import annotations

from dataclasses import dataclass

MOST_SHOWN = 400  # characters of what was found: what would be right stands behind it
LONGEST_PATH = 1_000


def shortened(text: str, most: int = MOST_SHOWN) -> str:
    """Return a text that can be told in a message, its middle left out where it is very long.

    >>> len(shortened("x" * 5_000)), shortened("a short one")
    (305, 'a short one')
    """
    if len(text) <= most or "\n" in text:  # several messages, each shortened by itself
        return text
    return f"{text[:200]} ... {text[-100:]}"


class KitreckonError(Exception):
    """Root of every error a user can cause or meet.

    where: the file, line, column or field; what: what was found; want: what would be right.
    """

    def __init__(self, what: str, *, where: str = "", want: str = "") -> None:
        super().__init__(what)
        self.where = where
        self.what = what
        self.want = want

    def __str__(self) -> str:
        what = shortened(self.what)
        text = f"{shortened(self.where, LONGEST_PATH)}: {what}" if self.where else what
        return f"{text}; {self.want}" if self.want else text


@dataclass(frozen=True, slots=True, order=True)
class Problem:
    """One thing wrong in a file the user can edit.

    Lines and columns count from 1; line 0 means the whole file.
    """

    file: str
    line: int
    column: int
    found: str
    remedy: str

    def __str__(self) -> str:
        file = shortened(self.file, LONGEST_PATH)
        place = f"{file}:{self.line}:{self.column}" if self.line else file
        found = shortened(self.found)
        return f"{place}: {found}; {self.remedy}" if self.remedy else f"{place}: {found}"


class FileError(KitreckonError):
    """A file that cannot be used, with every problem found in it."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems
