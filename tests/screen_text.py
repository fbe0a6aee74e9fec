"""The screen of a running app as text, and waiting for what a worker shows."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from typing import Any

from textual.pilot import Pilot


def screen_text(app: Any) -> str:
    """Return what is drawn, a line a row, without trailing spaces."""
    strips = app.screen._compositor.render_strips()
    lines = ["".join(segment.text for segment in strip).rstrip() for strip in strips]
    return "\n".join(lines) + "\n"


async def wait_until(pilot: Pilot[Any], holds: Callable[[], bool], seconds: float = 8.0) -> None:
    """Wait until something holds; fail when it does not in time."""
    until = time.monotonic() + seconds
    while not holds():
        if time.monotonic() > until:
            raise AssertionError("it did not happen in time:\n" + screen_text(pilot.app))
        await pilot.pause()
        await asyncio.sleep(0.02)


async def type_line(pilot: Pilot[Any], text: str, *, enter: bool = True) -> int:
    """Type a line key by key; return how many keys that took."""
    names = {
        " ": "space",
        "-": "minus",
        ".": "full_stop",
        "/": "slash",
        ",": "comma",
        '"': "quotation_mark",
        ";": "semicolon",
        "+": "plus",
    }
    keys = [names.get(sign, sign) for sign in text] + (["enter"] if enter else [])
    await pilot.press(*keys)
    return len(keys)
