"""Where answers come from: a person at a terminal, a file, or the lines of standard input.

Whoever asks does not know which it is. Questions go to stderr, so that a result on stdout stays clean.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

from faultiso.base.problems import FaultisoError, UsageError
from faultiso.base.text import clean, one_line, width
from faultiso.cli.streams import columns_of, is_conversation, plain, say, show
from faultiso.report.page import Page

_LONGEST_LINE = 10_000


class OutOfAnswers(FaultisoError):
    """The lines ran out while a question was open; ``question`` is that question."""

    def __init__(self, question: str) -> None:
        self.question = question
        super().__init__(f"The answers ran out at an open question: {question}")


class Left(KeyboardInterrupt):
    """The person left at a prompt: Ctrl-C twice, or the end of the input."""


class Console(Protocol):
    """Asks for one line after the other, and narrates."""

    @property
    def interactive(self) -> bool:
        """Whether a person is there to be asked again."""

    def prepare(self) -> None:
        """Load what asking needs, so that the question appears at once."""

    def ask(self, prompt: str, question: str = "") -> str:
        """The next line, without its end. ``question`` names what is asked if ``prompt`` alone does not.

        Raises OutOfAnswers if prepared lines run out, Left if a person leaves.
        """

    def say(self, text: str) -> None:
        """A line of narration."""

    def show(self, page: Page) -> None:
        """A page of narration: cautions, lists to pick from."""


def open_console(answers: Path | None = None) -> Console:
    """The console for this run: ``--answers FILE``, else the terminal, else the lines of standard input."""
    if answers is not None:
        return LineConsole(_lines_of(answers))
    return TerminalConsole() if is_conversation() else LineConsole(_lines_of_input())


def folded(prompt: str, columns: int = 0) -> str:
    """The prompt, broken where two blanks part its choices if it is wider than the screen."""
    columns = columns or columns_of(sys.stderr)
    lines: list[str] = []
    for piece in clean(prompt).split("  "):
        if lines and width(lines[-1]) + 2 + width(piece) <= columns:
            lines[-1] += f"  {piece}"
        else:
            lines.append(piece)
    return "\n".join(lines)


class _Narrator:
    """What all consoles share: narration goes to stderr."""

    def say(self, text: str) -> None:
        say(clean(text))

    def prepare(self) -> None:
        """Nothing to load for prepared lines."""

    def show(self, page: Page) -> None:
        show(page, sys.stderr)
        sys.stderr.flush()


class LineConsole(_Narrator):
    """Prepared lines, each echoed behind its prompt; lines that begin with "#" are comments."""

    interactive = False

    def __init__(self, lines: Iterator[str]) -> None:
        self._lines = lines

    def ask(self, prompt: str, question: str = "") -> str:
        for line in self._lines:
            line = line.rstrip("\r\n")
            if not line.lstrip().startswith("#"):
                say(f"{folded(prompt)}{one_line(line)}")
                return line
        raise OutOfAnswers(one_line(question or prompt).rstrip(" >"))


class TerminalConsole(_Narrator):
    """A person. Ctrl-C clears the line, twice in a row leaves; so does the end of the input."""

    interactive = True

    def __init__(self, read: Callable[[str], str] | None = None) -> None:
        self._read = read

    def prepare(self) -> None:
        self._read = self._read or _reader()

    def ask(self, prompt: str, question: str = "") -> str:
        if self._read is None:
            self._read = _reader()
        try:
            return self._once_more(self._read, folded(prompt))
        except EOFError:
            say("")
            raise Left from None

    def _once_more(self, read: Callable[[str], str], prompt: str) -> str:
        try:
            return read(prompt)
        except KeyboardInterrupt:
            say("\nCtrl-C once more leaves.")
        try:
            return read(prompt)
        except KeyboardInterrupt:
            raise Left from None


def _reader() -> Callable[[str], str]:
    """Line editing where the terminal can do it; else, and for screen readers, a plain line."""
    return _plain_line if plain() or os.environ.get("TERM") == "dumb" else _edited_line()


def _plain_line(prompt: str) -> str:
    sys.stderr.write(prompt)
    sys.stderr.flush()
    line = sys.stdin.readline(_LONGEST_LINE)
    if not line:
        raise EOFError
    return line.rstrip("\r\n")


def _edited_line() -> Callable[[str], str]:
    """A prompt with editing and history, drawn on stderr: stdout may be going to a file."""
    os.environ.setdefault(
        "PROMPT_TOOLKIT_NO_CPR", "1"
    )  # we draw no menus: no need to ask where the cursor is
    from prompt_toolkit import PromptSession
    from prompt_toolkit.output import create_output

    session: PromptSession[str] = PromptSession(output=create_output(stdout=sys.stderr))
    return lambda prompt: session.prompt(prompt)


def _lines_of_input() -> Iterator[str]:
    while sys.stdin is not None and (line := sys.stdin.readline(_LONGEST_LINE)):
        yield line.removeprefix("\ufeff")


def _lines_of(file: Path) -> Iterator[str]:
    """The lines of a file of answers; the file is opened at once, so that a wrong name is told at once."""
    if str(file) == "-":
        return _lines_of_input()
    try:
        text = file.read_text(encoding="utf-8-sig", errors="replace")
        return iter(text.removesuffix("\n").split("\n") if text else ())
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not a file name"
        raise UsageError(f"{file}: the answers can not be read: {reason}.") from None
