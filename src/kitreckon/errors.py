"""What can go wrong, said once: where, what was found, what would be right."""

from __future__ import annotations

from dataclasses import dataclass


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
        text = f"{self.where}: {self.what}" if self.where else self.what
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
        place = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return f"{place}: {self.found}; {self.remedy}" if self.remedy else f"{place}: {self.found}"


class FileError(KitreckonError):
    """A file that cannot be used, with every problem found in it."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("\n".join(str(problem) for problem in problems))
        self.problems = problems
