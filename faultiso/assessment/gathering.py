"""Logs in folders, in files and in zip files that were handed in: their bytes, and what lies beside them."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from faultiso.assessment.beside import Beside, FolderBeside, ZipBeside
from faultiso.base.archive import ArchiveError, read_archive_file
from faultiso.base.bounded import read_bounded
from faultiso.base.problems import UsageError

LOG, ZIP = ".jsonl", ".zip"
LARGEST = 16_000_000  # bytes of a log
DEEPEST, MOST_FILES = 12, 20_000
#: what a system puts beside files of a person: never a log
_NOT_OURS = ("._", "__MACOSX")


@dataclass(frozen=True)
class Found:
    """The bytes of what should be a log. ``inside``: its name in the zip file ``path``, "" if it is a file.

    ``named``: whether somebody named just this file, rather than a folder or a zip file around it.
    """

    path: Path
    inside: str
    content: bytes = field(repr=False)
    beside: Beside = field(repr=False)
    named: bool = False


@dataclass(frozen=True)
class NotRead:
    """A file or folder of which nothing was read, and why, as a sentence."""

    path: Path
    sentence: str
    inside: str = ""


def gathered(paths: Iterable[Path]) -> Iterator[Found | NotRead]:
    """Every log below the paths, each file once, folders in alphabetical order; one in memory at a time."""
    for file in files_of(paths):
        if isinstance(file, NotRead):
            yield file
        else:
            yield from logs_of(file)


@dataclass(frozen=True)
class File:
    """A log or a zip file of logs, not read yet. ``named``: whether somebody named just this file."""

    path: Path
    named: bool = False


def files_of(paths: Iterable[Path]) -> Iterator[File | NotRead]:
    """Every file below the paths that may hold logs, each once, folders in alphabetical order."""
    seen: set[str] = set()
    for path in paths:
        for file in _files(path):
            if isinstance(file, NotRead):
                yield file
            elif (same := _same(file)) not in seen:
                seen.add(same)
                yield File(file, named=file == path)


def _same(file: Path) -> str:
    """The same text for every path to a file."""
    try:
        return os.path.realpath(file)
    except (OSError, ValueError):  # a name that no file can have
        return str(file)


def _files(path: Path) -> Iterator[Path | NotRead]:
    """A file as it is; of a folder all logs and zip files. Links to folders are not followed."""
    try:
        if not path.is_dir():
            yield path
            return
    except (OSError, ValueError):  # a name that no file can have: reading says so
        yield path
        return
    yield from _below(path)


def _below(top: Path) -> Iterator[Path | NotRead]:
    left = MOST_FILES
    unread: list[NotRead] = []
    for folder, folders, names in os.walk(top, onerror=lambda error: unread.append(_unread(top, error))):
        here = Path(folder)
        folders[:] = sorted(name for name in folders if not name.startswith(_NOT_OURS))
        if len(here.relative_to(top).parts) >= DEEPEST and folders:
            yield NotRead(here, f"folders deeper than {DEEPEST} are not looked into.")
            folders.clear()
        for name in sorted(filter(_may_be_read, names)):
            left -= 1
            if left < 0:
                yield NotRead(top, f"more than {MOST_FILES:,} logs; name smaller folders.")
                return
            yield here / name
    yield from unread


def _unread(top: Path, error: OSError) -> NotRead:
    return NotRead(Path(error.filename or top), f"the folder cannot be read: {error.strerror or error}.")


def _may_be_read(name: str) -> bool:
    return name.casefold().endswith((LOG, ZIP)) and not name.startswith(_NOT_OURS)


def logs_of(found: File) -> Iterator[Found | NotRead]:
    """What a file holds; a pipe or a device, which might never end, is not opened."""
    file = found.path
    try:
        if not file.is_file():
            yield NotRead(file, "there is no such file or folder.")
        elif file.suffix.casefold() == ZIP:
            yield from _in_zip(file)
        else:
            content = read_bounded(file, LARGEST, "log")
            yield _bounded(Found(file, "", content, FolderBeside(file.parent), found.named))
    except (ArchiveError, UsageError) as error:
        yield NotRead(file, str(error).removeprefix(f"{file}: "))
    except (OSError, ValueError):
        yield NotRead(file, "the name is not a file name.")


def _in_zip(file: Path) -> Iterator[Found | NotRead]:
    """The logs of a zip file: that of one person, or a folder that was packed whole."""
    files = read_archive_file(file)
    inner = [name for name in sorted(files) if not _is_of_a_system(name)]
    for name in inner:
        if name.casefold().endswith(LOG):
            yield _bounded(Found(file, name, files[name], ZipBeside(files, PurePosixPath(name).parent)))
        elif name.casefold().endswith(ZIP):
            yield NotRead(file, "a zip file in a zip file is not opened; unpack the outer one.", name)
    if not any(name.casefold().endswith((LOG, ZIP)) for name in inner):
        yield NotRead(file, "there is no log in this zip file; faultiso hand-in writes one with its log.")


def _is_of_a_system(name: str) -> bool:
    return any(part.startswith(_NOT_OURS) for part in PurePosixPath(name).parts)


def _bounded(found: Found) -> Found | NotRead:
    if len(found.content) <= LARGEST:
        return found
    sentence = f"larger than {LARGEST // 1_000_000} MB; expected the log of a session."
    return NotRead(found.path, sentence, found.inside)
