"""Nothing that a command reads is written over by what it writes, whatever the command is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from faultiso.base.problems import UsageError
from faultiso.base.text import one_line

#: options that name a file to be written, in all commands
WRITTEN = ("--csv", "--html", "--out", "--svg", "--to")


def refuse_overwriting(words: Sequence[str]) -> None:
    """UsageError where an option for a file names one that another word names too."""
    written, others = _parted(words)
    seen: dict[Path, str] = {}
    for option, named in written:
        path = _real(named)
        if path is None:
            continue
        if path in seen:
            raise UsageError(f"{option} and {seen[path]} name the same file, {one_line(named, 80)}.")
        seen[path] = option
        if path.is_file() and any(_real(other) == path for other in others):
            raise UsageError(
                f"{option} {one_line(named, 80)}: that file is read here; name another one to write."
            )


def _parted(words: Sequence[str]) -> tuple[list[tuple[str, str]], list[str]]:
    """Pairs of option and file to be written, and all other words."""
    written: list[tuple[str, str]] = []
    others: list[str] = []
    left: Iterator[str] = iter(words)
    for word in left:
        option, equals, value = word.partition("=")
        if option in WRITTEN:
            written.append((option, value if equals else next(left, "")))
        else:
            others += [word, value] if equals else [word]
    return written, others


def _real(named: str) -> Path | None:
    try:
        return Path(named).resolve() if named else None
    except (OSError, ValueError, RuntimeError):
        return None
