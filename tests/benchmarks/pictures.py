"""Pictures of the screens from the example book, as SVG, made by the program itself.

    python tests/benchmarks/pictures.py [FOLDER]

FOLDER is .pictures/ beside the README unless given. Nothing is stored in the example book.
"""

from __future__ import annotations

import asyncio
import re
import shutil
import sys
import tempfile
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from kitreckon.book import Book
from kitreckon.catalogue.load import open_catalogue
from kitreckon.screens.app import KitreckonApp

ROOT = Path(__file__).parents[2]
NOON = datetime(2025, 6, 14, 12, 0, tzinfo=UTC)


@dataclass(frozen=True)
class Picture:
    """One picture of the README: its file name, size, and the keys that lead to it."""

    name: str
    size: tuple[int, int]
    keys: tuple[str, ...]


TO_OFFER = ("enter", "ctrl+o", "ctrl+g", "o")
PICTURES = (
    Picture("count", (80, 24), ("enter",)),
    Picture("count-typing", (80, 24), ("enter", *"8 g")),
    Picture("walk", (80, 24), ("enter", "ctrl+g", "f")),
    Picture("offer", (80, 24), TO_OFFER),
    Picture("missing", (80, 24), ("enter", "ctrl+o", "ctrl+g", "n")),
    Picture("compare", (80, 24), ("enter", "ctrl+o", "ctrl+g", "v")),
    Picture("buy", (80, 24), ("enter", "ctrl+o", "ctrl+g", "b", *"800", "enter")),
)


CELL = 12.2  # width of a cell in Textual's pictures
LEADING = re.compile(
    r'(<text [^>]*?x=")([\d.]+)("[^>]*?textLength=")([\d.]+)("[^>]*>)((?:&#160;)+)(?=[^<&])'
)


def shifted(svg: str) -> str:
    """Return a picture in which no text starts with spaces, which some viewers drop."""

    def shift(found: re.Match[str]) -> str:
        wide = found[6].count("&#160;") * CELL
        x, length = float(found[2]) + wide, float(found[4]) - wide
        return f"{found[1]}{x:g}{found[3]}{length:g}{found[5]}"

    return LEADING.sub(shift, svg)


async def take(picture: Picture, folder: Path, book: Path) -> None:
    """Play the keys of one picture and write it."""
    with tempfile.TemporaryDirectory() as scratch:
        copy = Path(scratch) / "book.json"
        shutil.copyfile(book, copy)
        with Book.open(copy, lambda: NOON) as opened:
            look = replace(opened.preferences(), theme="dark", ascii_only=False)
            opened.commit("look", opened.put(look))
            app = KitreckonApp(opened, open_catalogue(), now=lambda: NOON, plain=False)
            async with app.run_test(size=picture.size) as pilot:
                await pilot.pause()
                await pilot.press(*picture.keys)
                await app.workers.wait_for_complete()
                await asyncio.sleep(0.6)
                await app.workers.wait_for_complete()
                await pilot.pause()
                (folder / f"{picture.name}.svg").write_text(
                    shifted(app.export_screenshot()), encoding="utf-8"
                )


def main() -> None:
    """Make every picture."""
    folder = Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / ".pictures"
    folder.mkdir(parents=True, exist_ok=True)
    for picture in PICTURES:
        asyncio.run(take(picture, folder, ROOT / "examples" / "book.json"))
        print(folder / f"{picture.name}.svg")


if __name__ == "__main__":
    main()
