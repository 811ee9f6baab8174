"""Waiting for files to be saved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from time import sleep

_EVERY = 0.3  # seconds; soon enough for a person who turns from the editor to the terminal


def each_save(files: Sequence[Path]) -> Iterator[None]:
    """Once for each time that any of the files has changed; ends only when the person stops it.

    A file that is gone for a moment, as some editors do it, counts as changed when it is there again.
    """
    before = _stamps(files)
    while True:
        sleep(_EVERY)
        now = _stamps(files)
        if now != before and None not in now:
            before = now
            yield


def _stamps(files: Sequence[Path]) -> list[tuple[int, int] | None]:
    return [_stamp(file) for file in files]


def _stamp(file: Path) -> tuple[int, int] | None:
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size
