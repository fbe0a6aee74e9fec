"""``kitreckon read``: an advert, or typed lines, into pieces."""

from __future__ import annotations

import argparse
import json
import sys
from argparse import Namespace
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from kitreckon.commands.arguments import add_catalogue, add_json, add_style
from kitreckon.errors import KitreckonError

if TYPE_CHECKING:
    from kitreckon.catalogue.load import OpenCatalogue
    from kitreckon.catalogue.words import Style
    from kitreckon.reading.findings_said import SaidFinding
    from kitreckon.reading.model import ReadPiece, TextReading

LONGEST_LINE = 20_000  # bytes of one line; the rest of a longer one is dropped


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument(
        "file", nargs="?", default="-", metavar="FILE", help="text to read; - is standard input"
    )
    parser.add_argument("--lines", action="store_true", help="each line is one mention, by itself")
    add_style(parser)
    add_json(parser)
    add_catalogue(parser)


def run(options: Namespace) -> int:
    """Read the text and print what it says."""
    from kitreckon.commands.opening import open_catalogue, tell_problems
    from kitreckon.reading import Reader
    from kitreckon.reading.findings_said import faults_told

    catalogue = open_catalogue(options, options.language)
    reader = Reader(catalogue.kinds, catalogue.rules, ())
    tell_problems(catalogue)
    with _opened(options.file) as stream:
        if options.lines:
            write = _json_line if options.json else _line_writer(catalogue, options)
            _read_lines(Lines(stream, _named(options.file)), reader, write)
        else:
            text = _whole(stream, options.file)
            reading, faults = reader.read_advert(text), faults_told(text, "", catalogue)
            if options.json:
                _print_json({**reading_data(reading), "findings": _findings_data(faults)})
            else:
                print(advert_text(reading, catalogue, _style(options), faults), end="")
    return 0


def _opened(name: str) -> IO[bytes]:
    if name == "-":
        if sys.stdin is None:
            raise KitreckonError("standard input is closed", want="the name of a file")
        return sys.stdin.buffer
    from kitreckon.commands.opening import user_path

    try:
        return user_path(name).open("rb")
    except OSError as error:
        raise KitreckonError(
            error.strerror or "cannot be read",
            where=str(Path(name)),
            want="check the name and the rights of the file",
        ) from error


def _whole(stream: IO[bytes], name: str) -> str:
    from kitreckon.commands.opening import LONGEST_TEXT, text_of

    data = stream.read(LONGEST_TEXT + 1)
    if len(data) > LONGEST_TEXT:
        raise KitreckonError("too long to be read at once", where=_named(name), want="--lines")
    return text_of(data, _named(name))


def _named(name: str) -> str:
    return "standard input" if name == "-" else name


def _read_lines(lines: Lines, reader: Any, write: Callable[[TextReading], None]) -> None:
    from kitreckon.commands.progress import Progress
    from kitreckon.commands.streams import complain

    with Progress(lines.stream) as progress:
        for line in lines:
            write(reader.read_line(line))
            progress.step(len(line))
    for notice in lines.notices():
        complain(notice)


class Lines:
    """A text line by line, so that memory stays flat however long it is.

    Each line of it gives one, whatever is in it: what could not be read of it is told after all.
    """

    def __init__(self, stream: IO[bytes], name: str) -> None:
        self.stream = stream
        self.name = name
        self.unclear: list[int] = []  # numbers of lines that are not UTF-8
        self.cut: list[int] = []  # and of those that are too long

    def __iter__(self) -> Iterator[str]:
        number = 0
        while data := self.stream.readline(LONGEST_LINE):
            number += 1
            rest = self._rest(data)
            if rest:
                self.cut.append(number)
            text = data.decode("utf-8-sig" if number == 1 else "utf-8", "replace")
            sound = text[:-1] if rest else text  # the cut may go through a character
            if "\ufffd" in sound or "\0" in sound:
                self.unclear.append(number)
            yield text.rstrip("\r\n")

    def _rest(self, data: bytes) -> int:
        """Pass over the rest of a line that was cut, and return how long it was."""
        passed = 0
        while data and not data.endswith(b"\n"):
            data = self.stream.readline(LONGEST_LINE)
            passed += len(data)
        return passed

    def notices(self) -> Iterator[str]:
        """Yield what to say of lines that were not read whole."""
        if self.unclear:
            yield f"{self.name}: not UTF-8, and read with gaps: {_numbers(self.unclear)}"
        if self.cut:
            most = f"{LONGEST_LINE:,} bytes"
            yield f"{self.name}: over {most}, and not read to the end: {_numbers(self.cut)}"


def _numbers(lines: Sequence[int]) -> str:
    first = ", ".join(map(str, lines[:5]))
    more = f" and {len(lines) - 5} more" if lines[5:] else ""
    return f"line{'' if len(lines) == 1 else 's'} {first}{more}"


def _json_line(reading: TextReading) -> None:
    _print_json(reading_data(reading))


def _print_json(data: dict[str, Any]) -> None:
    # on a terminal every character that is not plain is spelt out: none can steer it
    plain = sys.stdout.isatty()
    print(json.dumps(data, ensure_ascii=plain, allow_nan=False))


def _findings_data(faults: Iterable[SaidFinding]) -> list[dict[str, Any]]:
    return [
        {"kind": each.kind, "text": each.text, "sure": each.sure, "danger": each.danger}
        for each in faults
    ]


def reading_data(reading: TextReading) -> dict[str, Any]:
    """Return what a text was read as, in the shape other programs rely on."""
    return {
        "text": reading.text,
        "none_confidence": round(reading.none_confidence, 4),
        "pieces": [_piece_data(piece) for piece in reading.pieces],
        "not_understood": list(reading.not_understood),
        "unsafe": reading.unsafe,
        "machine_text": reading.machine_text,
        "asking_text": reading.asking_text,
    }


def _piece_data(piece: ReadPiece) -> dict[str, Any]:
    size = piece.size
    return {
        "kind": piece.kind,
        "qty": piece.qty,
        "set_of": piece.set_of,
        "set_has": piece.set_has,
        "size_mm": round(size.mm, 4) if size is not None and size.unit is not None else None,
        "size_text": str(size) if size is not None else None,
        "sizes_text": [str(each) for each in piece.sizes],
        "mount": piece.mount,
        "series": piece.series,
        "back": piece.back,
        "condition": piece.condition,
        "parts_missing": list(piece.parts_missing),
        "unsafe": piece.unsafe,
        "state": piece.state,
        "confidence": round(piece.confidence, 4),
        "taken": piece.taken,
        "others": [
            {"kind": other.kind, "confidence": round(other.confidence, 4)} for other in piece.others
        ],
        "text": piece.text,
    }


def _style(options: Namespace) -> Style:
    from kitreckon.catalogue.words import Style

    return Style(options.units, options.words)


def _line_writer(catalogue: OpenCatalogue, options: Namespace) -> Callable[[TextReading], None]:
    from kitreckon.reports.reading import line_text

    style = _style(options)

    def write(reading: TextReading) -> None:
        print(line_text(reading, catalogue.words, style))

    return write


def advert_text(
    reading: TextReading,
    catalogue: OpenCatalogue,
    style: Style,
    faults: tuple[SaidFinding, ...] = (),
) -> str:
    """Return an advert's reading as plain text."""
    from kitreckon.reports.reading import advert_report
    from kitreckon.reports.rendering.text import to_text

    return to_text(advert_report(reading, catalogue.words, style, faults))
