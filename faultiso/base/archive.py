"""Zip files from people: read into memory within stated limits, or refused with one sentence.

Nothing is ever unpacked to a disk. What is stated in the list at the end of the file is judged before
anything is unpacked, and what is unpacked must be as long as stated. Names are judged as names for every
system: what is safe here is safe where somebody else unpacks it.
"""

from __future__ import annotations

import io
import re
import stat
import struct
import unicodedata
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from faultiso.base.bounded import read_bounded
from faultiso.base.problems import FaultisoError
from faultiso.base.text import one_line

_END = struct.Struct("<4s4H2LH")  # the end record of a zip file without a comment
_LOCATOR = b"PK\x06\x07"  # stands before the end record where files are huge
_ENTRY_ROOM = 1_024  # bytes of the list that an entry may take: 46, its name, and what systems add
_SMALL = 1_000_000  # what is no larger may be packed as tightly as can be
_EARLIEST = (1980, 1, 1, 0, 0, 0)
_DEVICES = re.compile(r"(con|prn|aux|nul|com[0-9]|lpt[0-9])(\..*)?", re.IGNORECASE)
_UNREADABLE = (BadZipFile, zlib.error, EOFError, ValueError, struct.error, OSError, NotImplementedError,
               RuntimeError, LookupError, OverflowError)  # fmt: skip


class ArchiveError(FaultisoError):
    """A zip file that is not read; the text says which, what was found and what was expected."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a zip file may hold: how many files, of how many bytes when ``unpacked``, itself of how many.

    ``ratio``: unpacked bytes to packed ones of a file; ``depth``: folders in a path, the file counted too;
    ``name``: characters of a part of a path.
    """

    files: int = 1_000
    unpacked: int = 128_000_000
    packed: int = 64_000_000
    ratio: int = 200
    depth: int = 8
    name: int = 120


USUAL = Limits()


def read_archive_file(path: Path, limits: Limits = USUAL) -> dict[str, bytes]:
    """``read_archive`` of a file; UsageError if the file cannot be read."""
    return read_archive(read_bounded(path, limits.packed, "file"), str(path), limits)


def read_archive(data: bytes, called: str, limits: Limits = USUAL) -> dict[str, bytes]:
    """The files of a zip file by their names, folders parted by "/"; ArchiveError calls it ``called``.

    Refused: what goes beyond the limits; names that are absolute, climb, or mean something to a system; two
    names that are one where upper and lower case are the same; links, devices, passwords, unusual packing.
    """
    try:
        stated = _judge_end(data, limits)
        with ZipFile(io.BytesIO(data)) as archive:
            entries = archive.infolist()
            if len(entries) != stated:
                raise ArchiveError(f"it states {stated} files and lists {len(entries)}.")
            _judge(entries, len(data), limits)
            return {entry.filename: _content(archive, entry) for entry in entries if not entry.is_dir()}
    except ArchiveError as error:
        raise ArchiveError(f"{called}: {error}") from None
    except _UNREADABLE:
        raise ArchiveError(f"{called}: the zip file is damaged.") from None


def zip_of(files: Mapping[str, bytes]) -> bytes:
    """A zip file with these files, the same bytes for the same files."""
    stream = io.BytesIO()
    with ZipFile(stream, "w") as archive:
        for name, content in sorted(files.items()):
            entry = ZipInfo(name, _EARLIEST)
            entry.external_attr = (stat.S_IFREG | 0o644) << 16
            archive.writestr(entry, content, ZIP_DEFLATED)
    return stream.getvalue()


def _judge_end(data: bytes, limits: Limits) -> int:
    """What the end record states, before the list of files is read; the number of files."""
    if len(data) > limits.packed:
        raise ArchiveError(f"larger than {_millions(limits.packed)}; expected a smaller zip file.")
    end = len(data) - _END.size
    if end < 0 or data[end : end + 4] != b"PK\x05\x06" or data[-2:] != b"\0\0":
        raise ArchiveError("this is not a zip file, or it is cut short.")
    _, disk, first_disk, here, count, size, _, _ = _END.unpack_from(data, end)
    if disk or first_disk or here != count or data[max(0, end - 20) :][:4] == _LOCATOR:
        raise ArchiveError("this is a part of a zip file, or of a kind for huge files; expected a plain one.")
    if count > limits.files or size > limits.files * _ENTRY_ROOM:
        raise ArchiveError(f"more files than {limits.files} are in it; expected at most {limits.files}.")
    return int(count)


def _judge(entries: list[ZipInfo], size: int, limits: Limits) -> None:
    """What the list of files states, before anything is unpacked."""
    for entry in entries:
        _judge_kind(entry)
        _judge_name(entry, limits)
        if entry.file_size > max(_SMALL, limits.ratio * entry.compress_size):
            raise ArchiveError(
                f"{_called(entry)} unpacks to more than {limits.ratio} times its size; expected a usual file."
            )
    unpacked = sum(entry.file_size for entry in entries)
    if unpacked > limits.unpacked:
        most = _millions(limits.unpacked)
        raise ArchiveError(f"it unpacks to {_millions(unpacked)}; expected at most {most}.")
    if sum(entry.compress_size for entry in entries) > size:
        raise ArchiveError("files in it lie one over the other.")
    _judge_together(entries)


def _judge_kind(entry: ZipInfo) -> None:
    kind = stat.S_IFMT(entry.external_attr >> 16)
    if kind not in (0, stat.S_IFREG, stat.S_IFDIR) or (kind == stat.S_IFDIR and not entry.is_dir()):
        raise ArchiveError(f"{_called(entry)} is a link or a device; expected files only.")
    if entry.flag_bits & 0x1:
        raise ArchiveError(f"{_called(entry)} is locked with a password.")
    if entry.compress_type not in (ZIP_STORED, ZIP_DEFLATED):
        raise ArchiveError(f"{_called(entry)} is packed in an unusual way.")
    if entry.is_dir() and entry.file_size:
        raise ArchiveError(f"{_called(entry)} is a folder with a content of its own.")


def _judge_name(entry: ZipInfo, limits: Limits) -> None:
    parts = entry.orig_filename.removesuffix("/").split("/")
    if len(parts) > limits.depth:
        raise ArchiveError(f"{_called(entry)} lies deeper than {limits.depth} folders.")
    if any(len(part) > limits.name for part in parts):
        raise ArchiveError(f"{_called(entry)}: a name in it is longer than {limits.name} characters.")
    if not all(map(is_plain_name, parts)):
        message = "is not a name that stays in its folder on every system; expected folder/file"
        raise ArchiveError(f"{_called(entry)} {message}.")


def is_plain_name(part: str) -> bool:
    """Whether one part of a path is the name of a file or folder on every system, and of nothing else."""
    return (
        part not in ("", ".", "..")
        and part.isprintable()
        and not set(part) & set('/\\:*?"<>|')
        and part[-1] not in ". "
        and part[0] != " "
        and not _DEVICES.fullmatch(part)
    )


def _judge_together(entries: Iterable[ZipInfo]) -> None:
    """Two entries for one file, or a file where another has its folder."""
    files, folders = set(), set()
    for entry in entries:
        path = unicodedata.normalize("NFC", entry.filename).casefold()
        above = [path[:at] for at, letter in enumerate(path) if letter == "/"]
        folders.update(above)
        if entry.is_dir():
            continue
        if path in files:
            raise ArchiveError(f"{_called(entry)} is in it twice.")
        files.add(path)
    both = sorted(files & folders)
    if both:
        raise ArchiveError(f'"{one_line(both[0], 60)}" is a file and a folder.')


def _content(archive: ZipFile, entry: ZipInfo) -> bytes:
    with archive.open(entry) as stream:
        content = stream.read(entry.file_size + 1)
    if len(content) != entry.file_size:
        raise ArchiveError(f"{_called(entry)} is not as long as stated.")
    return content


def _called(entry: ZipInfo) -> str:
    return f'"{one_line(entry.orig_filename, 60)}"'


def _millions(size: int) -> str:
    return f"{size / 1_000_000:.0f} MB"
