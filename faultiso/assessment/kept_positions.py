"""What positions are worth, kept between runs: a cache in the home folder that can be deleted at any time.

It never changes a result: a key names everything that the text hangs on (the program's own source, numpy,
the model's digest, the position), and each text carries a proof that it is whole. Whatever is wrong with the
file, it is as if it were empty; several processes may use it at once.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from hashlib import sha256
from pathlib import Path

import numpy as np

import faultiso
from faultiso.assessment.memory import Memory
from faultiso.session.home import Home, HomeError

FILE = "positions.sqlite"
OURS = 0x46495350  # sqlite's application_id
LARGEST = 64_000_000  # bytes of text; then the older half is let go
PUT_TOGETHER = 32
PATIENCE = 2.0  # seconds that another process is waited for
#: Rooms whose source decides what a position is worth.
ROOMS = ("base", "model", "network", "engine", "belief", "planning", "session", "assessment")
_TABLE = (
    "CREATE TABLE IF NOT EXISTS positions"
    "(number INTEGER PRIMARY KEY, key TEXT UNIQUE NOT NULL, text TEXT NOT NULL, proof TEXT NOT NULL)"
)


class KeptPositions:
    """Texts by key in a file; where the file cannot be used, nothing is kept and nothing is found."""

    def __init__(self, path: Path, program: str | None = None, largest: int = LARGEST) -> None:
        self._program = program_digest() if program is None else program
        self._largest = largest
        self._waiting: list[tuple[str, str, str]] = []
        self._path = path
        self._file = _opened(path)

    def get(self, key: str) -> str | None:
        name = self._name(key)
        try:
            found = (
                self._file
                and self._file.execute("SELECT text, proof FROM positions WHERE key = ?", (name,)).fetchone()
            )
        except sqlite3.Error as error:
            self._give_up(error)
            return None
        return str(found[0]) if found and found[1] == _proof(name, found[0]) else None

    def put(self, key: str, text: str) -> None:
        """Written together with others: when there are many, or by ``write``."""
        name = self._name(key)
        self._waiting.append((name, text, _proof(name, text)))
        if len(self._waiting) >= PUT_TOGETHER:
            self.write()

    def close(self) -> None:
        self.write()
        _closed(self._file)
        self._file = None

    def _name(self, key: str) -> str:
        return sha256(f"{self._program} {key}".encode()).hexdigest()

    def write(self) -> None:
        """Write what waits to be written."""
        waiting, self._waiting = self._waiting, []
        if self._file is None or not waiting:
            return
        try:
            with self._file:
                self._file.executemany(
                    "INSERT OR REPLACE INTO positions(key, text, proof) VALUES (?, ?, ?)", waiting
                )
                self._let_go(self._file)
        except sqlite3.Error as error:  # what is not kept is worked out again
            self._give_up(error)

    def _give_up(self, error: sqlite3.Error) -> None:
        """In use for long or no room: better luck the next time. Damaged: it is made anew the next time."""
        if not isinstance(error, sqlite3.OperationalError):
            _closed(self._file)
            self._file = None
            _removed(self._path)

    def _let_go(self, file: sqlite3.Connection) -> None:
        """The older half, where there is too much."""
        wanted = ("page_count", "freelist_count", "page_size")
        pages, free, size = (file.execute(f"PRAGMA {name}").fetchone()[0] for name in wanted)
        if (pages - free) * size > self._largest:
            middle = "(SELECT (min(number) + max(number)) / 2 FROM positions)"
            file.execute(f"DELETE FROM positions WHERE number <= {middle}")


def kept_positions(place: Home) -> KeptPositions | None:
    """The cache of a home folder; None where there can be none."""
    try:
        return KeptPositions(place.ready(place.cache) / FILE)
    except HomeError:
        return None


@contextmanager
def remembered(place: Home | None) -> Iterator[Memory]:
    """A memory with the cache of a home folder behind it; None: without any."""
    kept = kept_positions(place) if place else None
    try:
        yield Memory(kept)
    finally:
        if kept:
            kept.close()


@cache
def program_digest() -> str:
    """Of everything of the program that decides what a position is worth."""
    top = Path(faultiso.__file__).parent
    digest = sha256(f"{faultiso.__version__} numpy {np.__version__}".encode())
    for file in sorted(file for room in ROOMS for file in (top / room).rglob("*.py")):
        digest.update(file.read_bytes())
    return digest.hexdigest()


def _opened(path: Path) -> sqlite3.Connection | None:
    """The file, made anew if it is damaged or another program's; None if that does not help."""
    for _ in range(2):
        file = None
        try:
            file = sqlite3.connect(path, timeout=PATIENCE, check_same_thread=False)
            file.execute("PRAGMA synchronous = OFF")
            if file.execute("PRAGMA application_id").fetchone()[0] != OURS:
                if file.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                    raise sqlite3.DatabaseError("another program's")
                file.execute(f"PRAGMA application_id = {OURS}")
            with file:
                file.execute(_TABLE)
            return file
        except sqlite3.OperationalError:  # in use, no room, no leave to write: nothing to be mended
            _closed(file)
            return None
        except sqlite3.Error:
            _closed(file)
            if not _removed(path):
                return None
    return None


def _closed(file: sqlite3.Connection | None) -> None:
    if file is not None:
        file.close()


def _removed(path: Path) -> bool:
    try:
        path.unlink()
    except OSError:
        return False
    return True


def _proof(name: str, text: str) -> str:
    return sha256(f"{name} {text}".encode("utf-8", "replace")).hexdigest()[:16]
