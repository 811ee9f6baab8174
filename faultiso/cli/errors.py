"""The one place where an error becomes a sentence and an exit code. Nobody ever sees a traceback.

0: done. 1: the answer is no. 2: it could not be done as asked. 130: stopped by the person.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable

from faultiso.base.problems import FaultisoError, InvalidModel
from faultiso.base.text import clean, wrap
from faultiso.cli.streams import columns_of

DONE, NO, WRONG_USE, LEFT = 0, 1, 2, 130
TRACE = "FAULTISO_TRACE"


def guarded(action: Callable[[], int | None]) -> int:
    """Run ``action`` and give the exit code, whatever happens in it."""
    try:
        code = action() or DONE
        sys.stdout.flush()
        return code
    except BrokenPipeError:
        _let_go()
        return DONE
    except KeyboardInterrupt:
        return _told("\nStopped.", LEFT)
    except Exception as error:
        return _explained(error)


def _explained(error: Exception) -> int:
    if os.environ.get(TRACE):
        sys.excepthook(type(error), error, error.__traceback__)
    match error:
        case InvalidModel():
            return _told(str(error), NO)
        case FaultisoError():
            return _told(str(error), WRONG_USE)
        case OSError():
            return _told(_of_the_system(error), WRONG_USE)
        case MemoryError():
            return _told("There is not enough memory for this.", WRONG_USE)
    usage = getattr(error, "format_message", None)
    if usage is not None and type(error).__module__.startswith("typer"):
        return _told(_of_usage(error, usage()), WRONG_USE)
    return _told(_of_ours(error), WRONG_USE)


def _told(text: str, code: int) -> int:
    """Say it on stderr, cleaned and wrapped, and give the code; a closed stderr changes nothing."""
    lines = [line for part in clean(text, 20_000).split("\n") for line in wrap(part, columns_of(sys.stderr))]
    try:
        sys.stdout.flush()
        sys.stderr.write("\n".join(lines) + "\n")
        sys.stderr.flush()
    except (OSError, ValueError):
        _let_go()
    return code


def _of_the_system(error: OSError) -> str:
    reason = (error.strerror or str(error) or type(error).__name__).rstrip(".")
    return f"{error.filename}: {reason}." if error.filename else f"{reason}."


def _of_usage(error: Exception, message: str) -> str:
    context = getattr(error, "ctx", None)
    path = context.command_path if context is not None else "faultiso"
    return f"{message}\nHelp: {path} --help"


def _of_ours(error: Exception) -> str:
    return (
        f"Something went wrong inside faultiso ({type(error).__name__}): a fault of the program, not yours. "
        f"Nothing that was saved is lost. For the details, set {TRACE}=1 and do the same again."
    )


def _let_go() -> None:
    """Send the rest of the output nowhere: the reader has gone, and the last flush must not complain."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (OSError, ValueError):
            try:
                os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
            except (OSError, ValueError):
                continue
