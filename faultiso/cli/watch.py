"""Waiting for files to be saved."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from time import sleep

_EVERY = 0.3  # seconds; soon enough for a person who turns from the editor to the terminal
_GONE = 4  # looks in a row at which a file is not there: no editor takes that long to replace it
_Stamp = tuple[int, int, int] | None


class Watched:
    """Files as they were when last looked at; to be made before they are read, so that no save is missed."""

    def __init__(self, files: Iterable[Path]) -> None:
        self._seen: dict[Path, _Stamp] = {file: _stamp(file) for file in files}

    def these(self, files: Iterable[Path]) -> None:
        """Watch these from now on; of those that were watched before, an earlier look counts."""
        self._seen = {file: self._seen[file] if file in self._seen else _stamp(file) for file in files}

    def wait(self) -> None:
        """Until any of them was saved, replaced by another file, made, or taken away.

        A file that is gone for a moment, as some editors do it, counts as changed when it is there again.
        """
        gone = 0
        while True:
            sleep(_EVERY)
            now = {file: _stamp(file) for file in self._seen}
            lost = any(now[file] is None and before for file, before in self._seen.items())
            gone = gone + 1 if lost else 0
            if now != self._seen and gone in (0, _GONE):
                self._seen = now
                return


def _stamp(file: Path) -> _Stamp:
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
