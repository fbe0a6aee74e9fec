"""Standard input and output as they really are: closed pipes, full disks, narrow encodings."""

from __future__ import annotations

import os
import sys

TYPE_CHECKING = False  # kept free of typing: this is imported before a version is printed
if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import NoReturn, TextIO

CLOSED_PIPE = 141
INTERRUPTED = 130
ENDED_BY_SIGNAL = 143
REFUSED = 1


def guarded(action: Callable[[], int]) -> int:
    """Run the action and return its exit code; every mistake of a user is one clear message."""
    if sys.stdout is None:
        complain("standard output is closed: nothing can be printed")
        return REFUSED
    _widen()
    try:
        code = action()
        sys.stdout.flush()
    except BrokenPipeError:
        code = CLOSED_PIPE
    except KeyboardInterrupt:
        code = INTERRUPTED
    except SystemExit as ended:
        return _flushed(ended.code if isinstance(ended.code, int) else REFUSED)
    except OSError as error:
        complain(_reason(error))
        code = REFUSED
    except Exception as error:
        from kitreckon.errors import KitreckonError

        if not isinstance(error, KitreckonError):
            raise
        complain(str(error))
        code = REFUSED
    return _flushed(code)


def complain(message: str) -> None:
    """Print a message for the user on standard error, cleaned, if there is one to print on."""
    if sys.stderr is None:
        return
    from kitreckon.quantities.text import clean_text

    for line in message.splitlines() or [""]:
        text = clean_text(line, 2_000)
        try:
            print(f"kitreckon: {text}", file=sys.stderr)
        except OSError:
            return


def end_on_signals() -> None:
    """Make the signals that end a program end it in order, with its own exit code."""
    import signal

    def leave(_number: int, _frame: object) -> NoReturn:
        raise SystemExit(ENDED_BY_SIGNAL)

    for name in ("SIGTERM", "SIGHUP"):
        if hasattr(signal, name):
            try:
                signal.signal(getattr(signal, name), leave)
            except ValueError:  # not the main thread: whoever called us handles signals
                return


def _widen() -> None:
    """Let a terminal that cannot show a character show "?": it never stops the program."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _reason(error: OSError) -> str:
    reason = error.strerror or str(error)
    return f"{error.filename}: {reason}" if error.filename else f"cannot go on: {reason}"


def _flushed(code: int) -> int:
    """Flush what was printed; what cannot be printed is dropped here, not at exit."""
    try:
        if sys.stderr is not None:
            sys.stderr.flush()
    except (OSError, ValueError):  # the terminal is gone: Python would end with 120 for it
        _drop(sys.stderr)
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        code = code or CLOSED_PIPE
    except (OSError, ValueError) as error:
        if code == 0:
            complain(f"cannot print: {error}")
            code = REFUSED
    else:
        return code
    _drop(sys.stdout)
    return code


def _drop(stream: TextIO) -> None:
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
    except (OSError, ValueError):
        return
