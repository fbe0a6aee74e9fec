"""Running the terminal interface: an error of ours ends in one line and a log, never in a mess."""

from __future__ import annotations

import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path

from kitreckon.commands.streams import REFUSED, complain
from kitreckon.errors import KitreckonError

LOG = "kitreckon-error.log"


def run_interface(run: Callable[[], int], folder: Path) -> int:
    """Return the interface's exit code; an error of its own is written to a log in ``folder``.

    The interface has restored the terminal by then, and every change was saved when it was made.
    """
    try:
        return run()
    except KitreckonError:
        raise
    except Exception:
        path = _write_log(traceback.format_exc(), folder)
        where = f"; what happened stands in {path}" if path is not None else ""
        complain(f"the interface ended on an error of its own; what was saved is safe{where}")
        return REFUSED


def _write_log(text: str, folder: Path) -> Path | None:
    """Write the log beside the book, or where that cannot be, among the temporary files."""
    from kitreckon.commands.write_file import write_file

    for place in (folder, Path(tempfile.gettempdir())):
        try:
            return write_file(place / LOG, text, overwrite=True)
        except KitreckonError:
            continue
    return None
