"""Standard output and standard error: which look they take, and how they never raise on a character.

Results go to stdout; prompts, narration, cautions and progress go to stderr.
"""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Event, Thread
from typing import TextIO

from faultiso.report.page import Page
from faultiso.report.terminal import Look, render

#: Set by ``--plain``: made for screen readers.
PLAIN = "FAULTISO_PLAIN"
_NARROWEST, _USUAL, _WIDEST = 20, 80, 1000


def prepare() -> None:
    """Make what the console cannot show a "?", and give a program without a console silent streams."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115  # lives as long as we do
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    if sys.stdin is not None and hasattr(sys.stdin, "reconfigure"):
        sys.stdin.reconfigure(errors="replace")


def columns_of(stream: TextIO) -> int:
    """The width to write for: COLUMNS if it is set, else that of the terminal, else 80."""
    wanted = os.environ.get("COLUMNS", "")
    if wanted.isascii() and wanted.isdigit() and int(wanted[:6]) > 0:
        return max(_NARROWEST, min(int(wanted[:6]), _WIDEST))
    try:
        found = os.get_terminal_size(stream.fileno()).columns
    except (OSError, ValueError, AttributeError):
        return _USUAL
    return max(_NARROWEST, found) if found > 0 else _USUAL


def is_terminal(stream: TextIO | None) -> bool:
    """Whether a person sits at the other end; a closed or missing stream is nobody."""
    try:
        return stream is not None and stream.isatty()
    except ValueError:
        return False


def may_colour(stream: TextIO) -> bool:
    """Styles only on a terminal that wants them (NO_COLOR, TERM=dumb: no) and understands them."""
    if os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb" or not is_terminal(stream):
        return False
    return os.name != "nt" or any(name in os.environ for name in ("WT_SESSION", "ANSICON", "TERM"))


def plain() -> bool:
    """Whether the person asked for "name: value" lines and no cursor moves."""
    return os.environ.get(PLAIN, "") not in ("", "0")


def look_of(stream: TextIO) -> Look:
    return Look(columns_of(stream), may_colour(stream), plain())


def show(page: Page, stream: TextIO | None = None) -> None:
    """Write a page to stdout, or to the given stream, in the look that fits it."""
    stream = stream or sys.stdout
    stream.write(render(page, look_of(stream)))


def say(text: str) -> None:
    """Narration: one line on stderr, at once."""
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def counted(text: str) -> Callable[[int, int], None]:
    """Progress on stderr where a person sees it: ``text`` with the number done and of all, on one line."""

    def tell(done: int, of: int) -> None:
        if is_terminal(sys.stderr):
            sys.stderr.write("\r" + text.format(done, of) + ("\n" if done >= of else ""))
            sys.stderr.flush()

    return tell


@contextmanager
def counting(text: str, patience: float = 1.0) -> Iterator[Callable[[int | str], None]]:
    """Progress of nobody knows how many: ``text`` with the number done, where a person sees it and once it
    takes longer than ``patience`` (seconds)."""
    started = shown = time.monotonic()

    def tell(done: int | str) -> None:
        nonlocal shown
        now = time.monotonic()
        if now - started >= patience and now - shown >= patience / 4 and is_terminal(sys.stderr):
            shown = now
            sys.stderr.write(f"\r{text.format(done)}, {now - started:.0f} s")
            sys.stderr.flush()

    try:
        yield tell
    finally:
        if shown != started:
            say("")


@contextmanager
def patiently(text: str = "Working it out", patience: float = 1.0) -> Iterator[None]:
    """Where a person waits longer than ``patience`` (seconds): ``text`` and the seconds, counted on one line;
    once and without cursor moves where that was asked for."""
    if not is_terminal(sys.stderr):
        yield
        return
    done, quiet = Event(), plain()
    started = time.monotonic()

    def tell() -> None:
        if done.wait(patience):
            return
        if quiet:
            say(f"{text}.")
            return
        while True:
            sys.stderr.write(f"\r{text}, {time.monotonic() - started:.0f} s")
            sys.stderr.flush()
            if done.wait(1.0):
                break
        say("")

    waiting = Thread(target=tell, daemon=True)
    waiting.start()
    try:
        yield
    finally:
        done.set()
        waiting.join()


@contextmanager
def progress(patience: float = 1.0) -> Iterator[Callable[[str, int, int], None]]:
    """Progress of work in several parts: "situations 3 of 12, 4 s", where a person sees it and once it takes
    longer than ``patience`` (seconds)."""
    with counting("{}", patience) as tell:
        yield lambda what, done, of: tell(f"{what} {done} of {of}")


def is_conversation() -> bool:
    """Whether we may prompt: only if a person can type and can see the question."""
    return is_terminal(sys.stdin) and is_terminal(sys.stderr)
