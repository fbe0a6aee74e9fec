"""Write a document down: plain text, Markdown, HTML or CSV."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from kitreckon.reports.document import Document

Format = Literal["text", "markdown", "html", "csv"]
FORMATS: tuple[Format, ...] = ("text", "markdown", "html", "csv")
ENDINGS = {"text": ".txt", "markdown": ".md", "html": ".html", "csv": ".csv"}


def render(document: Document, form: Format, *, width: int = 80, raw: bool = False) -> str:
    """Return the document as text in the wanted form.

    width: columns of plain text. raw: CSV for another program, without the guard that keeps a
    spreadsheet from taking text for a formula.
    """
    return _renderer(form, width, raw)(document)


def _renderer(form: Format, width: int, raw: bool) -> Callable[[Document], str]:
    if form == "markdown":
        from kitreckon.reports.rendering.markdown import to_markdown

        return to_markdown
    if form == "html":
        from kitreckon.reports.rendering.html import to_html

        return to_html
    if form == "csv":
        from kitreckon.reports.rendering.csv import to_csv

        return lambda document: to_csv(document, raw=raw)
    from kitreckon.reports.rendering.text import to_text

    return lambda document: to_text(document, width)
