"""A report on the screen or in a file."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path
from typing import Any

from kitreckon.quantities import Money, Range, clean_text
from kitreckon.reports.document import Document


def put(document: Document, options: Namespace, name: str) -> int:
    """Print a report, or write it to --output; ``name`` names it where that is a folder."""
    from kitreckon.reports.rendering import ENDINGS, render

    raw = getattr(options, "raw", False)
    text = render(document, options.format, raw=raw)
    if options.output is None:
        print(text, end="")
        return 0
    from kitreckon.commands.write_file import named_in, write_file

    target = named_in(options.output, name, ENDINGS[options.format])
    bom = options.format == "csv" and not raw  # spreadsheets take UTF-8 only with a mark
    path = write_file(target, text, overwrite=options.overwrite, bom=bom)
    print(shown_path(path))
    return 0


def shown_path(path: Path) -> str:
    """Return a path to print: exact for a script, cleaned where a terminal would obey it."""
    import sys

    return clean_text(str(path), 4096) if sys.stdout.isatty() else str(path)


def minor(money: Money | None) -> int | None:
    """Return an amount in minor units, as JSON gives it."""
    return None if money is None else money.minor


def points(figures: Range[Money]) -> list[int]:
    """Return [p10, p50, p90] in minor units."""
    return [figure.minor for figure in figures]


def to_json(data: Any) -> str:
    """Return JSON text; on a terminal every character that is not plain is spelt out."""
    import json
    import sys

    return json.dumps(data, ensure_ascii=sys.stdout.isatty(), allow_nan=False, indent=2)
