"""Copies of models, cases and packs that were handed in beside a log, in a folder or in a zip file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Protocol

from faultiso.base.archive import is_plain_name
from faultiso.base.bounded import read_bounded
from faultiso.base.problems import UsageError
from faultiso.casebook.packs.envelope import LARGEST
from faultiso.language.nodes import MAX_BYTES
from faultiso.session.home import PACK

KEPT = "kept"
Files = Mapping[str, bytes]


class Beside(Protocol):
    """Where copies lie that were handed in together with a log."""

    def copies(self, name: str) -> Iterator[Files]:
        """The folders of that name that may hold a copy."""


class FolderFiles(Files):
    """The files of one folder, each read when it is asked for; a name with folders in it is none."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def __getitem__(self, name: str) -> bytes:
        path = self._folder / name
        try:
            if is_plain_name(name) and path.is_file():
                return read_bounded(path, LARGEST if name == PACK else MAX_BYTES, "copy")
        except (UsageError, OSError):  # what cannot be read is as if it were not there
            pass
        raise KeyError(name)

    def __iter__(self) -> Iterator[str]:
        return (path.name for path in sorted(self._folder.iterdir())) if self._folder.is_dir() else iter(())

    def __len__(self) -> int:
        return sum(1 for _ in self)


@dataclass(frozen=True)
class FolderBeside:
    """Copies beside a log on a disk: in ``kept`` in its folder, or in the folder around it."""

    folder: Path

    def copies(self, name: str) -> Iterator[Files]:
        for around in (self.folder, self.folder.absolute().parent):
            yield FolderFiles(around / KEPT / name)


@dataclass(frozen=True)
class ZipBeside:
    """Copies beside a log in a zip file, by the same rule."""

    files: Files
    folder: PurePosixPath

    def copies(self, name: str) -> Iterator[Files]:
        for around in dict.fromkeys((self.folder, self.folder.parent)):
            above = f"{(around / KEPT / name).as_posix()}/"
            yield {
                path.removeprefix(above): self.files[path] for path in self.files if path.startswith(above)
            }
