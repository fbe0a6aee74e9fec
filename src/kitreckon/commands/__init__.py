"""The command line: one module a command, each imported only when it is the one asked for."""

from __future__ import annotations

import sys

TYPE_CHECKING = False  # typing and collections take longer to import than a version to print
if TYPE_CHECKING:
    from collections.abc import Sequence

__all__ = ["main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code.

    0 done, 1 the input was refused, 2 wrong usage or no terminal, 130 interrupted from the
    keyboard, 141 the pipe was closed, 143 ended by a signal.
    """
    given = list(sys.argv[1:] if arguments is None else arguments)
    from kitreckon.commands.streams import guarded

    if given == ["--version"]:
        return guarded(_print_version)
    return guarded(lambda: _run(given))


def _print_version() -> int:
    from kitreckon import __version__

    print(f"kitreckon {__version__}")
    return 0


def _run(given: Sequence[str]) -> int:
    import gc

    from kitreckon.commands.arguments import read_arguments
    from kitreckon.commands.streams import end_on_signals

    # The catalogue is many small values that live to the end: looking for garbage among them at
    # every few hundred takes a sixth of a short command's time.
    gc.set_threshold(100_000, 50, 50)
    end_on_signals()
    run, options = read_arguments(given)
    return run(options)
