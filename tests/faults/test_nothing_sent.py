"""Nothing listens, nothing is sent, and nothing is written but where the user said."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

from faults.terminals import example_copy, surroundings

SOURCE = Path(__file__).parents[2] / "src"
NETWORK = {
    "socket", "socketserver", "ssl", "http", "urllib", "ftplib", "smtplib", "poplib", "imaplib",
    "telnetlib", "xmlrpc", "webbrowser", "requests", "httpx", "aiohttp",
}  # fmt: skip

WATCHED = """
import asyncio, io, os, sys
sys.dont_write_bytecode = True
folder, book, sheet = sys.argv[1:]
strays = []

def watch(event, arguments):
    if event in ("socket.connect", "socket.bind", "socket.sendto", "socket.getaddrinfo",
                 "webbrowser.open", "urllib.Request"):
        if str(arguments[-1]) not in ("('127.0.0.1', 0)",):
            strays.append((event, str(arguments)))
    if event in ("subprocess.Popen", "os.system", "os.exec", "os.posix_spawn"):
        strays.append((event, str(arguments)))
    if event == "open":
        path, mode, flags = arguments
        writes = flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT) if isinstance(flags, int) else 0
        if writes and isinstance(path, (str, bytes)) and not stays(os.fsdecode(path)):
            strays.append((event, path))
    if event == "os.remove" and arguments[1] != -1:
        return  # clearing a temporary folder, whose own place was looked at when it was made
    if event in ("os.rename", "os.link", "os.remove", "os.mkdir"):
        for path in arguments[:2] if event in ("os.rename", "os.link") else arguments[:1]:
            if not stays(os.fsdecode(path)):
                strays.append((event, path))

def stays(path):
    real = os.path.realpath(path)
    return real.startswith(folder + os.sep) or real in ("/dev/null", "/dev/tty", folder)

from kitreckon.commands import main
from kitreckon.screens.app import KitreckonApp
from kitreckon.book import Book
from kitreckon.catalogue.load import open_catalogue
from kitreckon.screens.keys import PAGES

sys.addaudithook(watch)
own = ["--book", book]
with open(os.path.join(folder, "out.txt"), "w") as out:
    sys.stdout = out
    for arguments in (
        ["reckon", sheet], ["report", "buyer", sheet, "-o", os.path.join(folder, "report.txt")],
        ["export", "book", "-o", os.path.join(folder, "copy.json"), *own],
        ["import", sheet, "--as-new", *own], ["history", *own], ["manual"], ["demo"],
        ["compare", *own], ["form", "bench-lathe"], ["check", sheet],
    ):
        code = main(arguments)
        if code:
            strays.append((arguments, code))
    sys.stdout = sys.__stdout__

async def use():
    with Book.open(book) as opened:
        app = KitreckonApp(opened, open_catalogue(), plain=False)
        async with app.run_test(size=(80, 24)) as pilot:
            for page in PAGES:
                app.open_page(page.page)
                await pilot.pause()
            await pilot.press("space", "a", "backspace")

asyncio.run(use())
for stray in strays:
    print(stray)
"""


def test_the_program_writes_only_beside_its_book_and_talks_to_nobody(tmp_path: Path) -> None:
    book = example_copy(tmp_path)
    sheet = SOURCE.parent / "examples" / "lathe-12in.yaml"
    done = subprocess.run(
        [sys.executable, "-c", WATCHED, str(tmp_path.resolve()), str(book), str(sheet)],
        capture_output=True,
        text=True,
        timeout=120,
        env=surroundings() | {"TMPDIR": str(tmp_path), "XDG_DATA_HOME": str(tmp_path / "data")},
    )
    assert (done.stdout, done.returncode) == ("", 0), done.stderr


def test_no_module_knows_a_network() -> None:
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            assert not {name.split(".")[0] for name in names} & NETWORK, path
