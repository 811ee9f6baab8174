"""Nothing that somebody wrote is written over, whatever the command is.

Neither what it reads, nor any file but one that this program made, which the notice in it tells.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from faultiso.base.notice import NOT_APPROVED
from faultiso.base.problems import UsageError
from faultiso.base.text import one_line

#: options that name a file to be written, in all commands
WRITTEN = ("--csv", "--html", "--out", "--svg", "--to", "--markdown")
_NEVER = (".yaml", ".yml", ".jsonl", ".zip", ".pack")
_READ = 1 << 20  # bytes of a file within which its notice stands


def refuse_overwriting(words: Sequence[str]) -> None:
    """UsageError where an option for a file names one that is read, or one of somebody else."""
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
        if path.is_file() and not _ours(path):
            raise UsageError(
                f"{option} {one_line(named, 80)}: there is already a file of this name, and nothing "
                "is written over it; name another one to write."
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


def _ours(path: Path) -> bool:
    """Whether a file is empty or bears the notice; one that cannot be read is left to who writes it.

    Models, logs and what people hand in are never taken for something that can be made again.
    """
    if path.suffix.casefold() in _NEVER:
        return False
    try:
        with path.open("rb") as file:
            start = file.read(_READ)
    except OSError:
        return True
    return not start or NOT_APPROVED.encode() in start
