"""A user's mistake is a value: what was found, where, and what would be right."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["error", "warning"]


@dataclass(frozen=True, slots=True, order=True)
class Where:
    """A place in a text file; lines and columns count from 1, 0 means "the whole file"."""

    file: str = ""
    line: int = 0
    column: int = 0
    length: int = 1

    def __str__(self) -> str:
        return ":".join(str(part) for part in (self.file, self.line, self.column) if part)


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing that is wrong with a file.

    ``code`` is the short name of the lint or of the kind of mistake, ``message`` says in one or two
    sentences what was found and what was expected, ``nearest`` the closest valid name (or empty).
    """

    code: str
    where: Where
    message: str
    nearest: str = ""
    severity: Severity = "error"

    def __str__(self) -> str:
        hint = f"; nearest: {self.nearest}" if self.nearest else ""
        return f"{self.where}: {self.message}{hint}"


class WithProblems:
    """What was read from a file, together with everything that is wrong with it."""

    problems: tuple[Problem, ...]

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "error")

    @property
    def warnings(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "warning")


class FaultisoError(Exception):
    """Base of what a caller may want to catch; its text is meant to be read by the user."""


class UsageError(FaultisoError):
    """The request cannot be met as worded: an unknown name, an outcome that does not exist."""


class InvalidModel(FaultisoError):
    """A file that could not be used; ``problems`` lists everything that is wrong with it."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))


class TooLarge(FaultisoError):
    """An exact answer would need more memory than allowed; the text says how much and what to do."""
