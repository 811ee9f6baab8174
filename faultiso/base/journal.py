"""An append-only log: one JSON line an event, on the disk before anything goes on.

Every line carries the seal of the line before it and its own, so that a line that was altered, removed or
moved is found, with its number. This finds accidents and careless edits; who rewrites every seal is found by
the receipt, eight characters of the last seal that are handed in separately.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Any

from faultiso.base.problems import FaultisoError

FIRST = "0" * 32
#: Without I, L, O and U: nothing that a hand-written receipt could be misread for.
_ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
_AS_MEANT = str.maketrans("OIL", "011", "- ")
_SEAL_LENGTH = len(f',"own":"{FIRST}"}}')
_LARGEST = 64_000_000
_MOST_MISSING = 1_000  # lines that are told as removed


class JournalError(FaultisoError):
    """The log cannot be read or written; the text says why and what is safe."""


class InUse(JournalError):
    """Another process has the log open."""


class NotSaved(JournalError):
    """One line did not reach the disk; all lines before it did."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line: its number from 1 on, when it was written, what happened, its seal."""

    number: int
    at: str
    event: str
    data: Mapping[str, Any]
    own: str


@dataclass(frozen=True, slots=True)
class Finding:
    """Something wrong with a log: the line in the file (from 1 on) and a sentence about it."""

    line: int
    sentence: str

    def __str__(self) -> str:
        return self.sentence


def receipt_of(seal: str) -> str:
    """Eight characters that stand for a seal: "7F3K-Q2WM"."""
    bits = int(seal[:10], 16)
    letters = "".join(_ALPHABET[bits >> 5 * place & 31] for place in reversed(range(8)))
    return f"{letters[:4]}-{letters[4:]}"


def same_receipt(first: str, second: str) -> bool:
    """Whether two receipts are the same, as people write them: case, blanks and hyphens do not count."""
    return _bare(first) == _bare(second)


def _bare(receipt: str) -> str:
    return receipt.upper().translate(_AS_MEANT)


def _line(number: int, at: str, event: str, data: Mapping[str, Any], before: str) -> tuple[bytes, str]:
    body = {"n": number, "at": at, "event": event, "data": data, "before": before}
    text = json.dumps(body, ensure_ascii=True, allow_nan=False, separators=(",", ":"))[:-1]
    own = _seal(text.encode("ascii"))
    return f'{text},"own":"{own}"}}\n'.encode("ascii"), own


def _seal(body: bytes) -> str:
    return hashlib.sha256(body).hexdigest()[:32]


@dataclass(frozen=True, slots=True)
class _Raw:
    """A complete line of the file as it is: the entry if it is one, and whether its seal fits."""

    entry: Entry | None
    before: str = ""
    intact: bool = False


def _raw(line: bytes) -> _Raw:
    try:
        found = json.loads(line)
        entry = Entry(
            int(found["n"]), str(found["at"]), str(found["event"]), found["data"], str(found["own"])
        )
        intact = _seal(line[:-_SEAL_LENGTH]) == entry.own and isinstance(entry.data, dict)
        if entry.number < 1:
            raise ValueError
        return _Raw(entry, str(found["before"]), intact)
    except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
        return _Raw(None)


def _content(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            content = stream.read(_LARGEST + 1)
    except (OSError, ValueError) as error:
        raise JournalError(f"{path}: the log cannot be read: {_reason(error)}.") from None
    if len(content) > _LARGEST:
        raise JournalError(f"{path}: this is larger than any log of a session.")
    return content


def _reason(error: Exception) -> str:
    return getattr(error, "strerror", None) or "the name is not a file name"


def _complete(content: bytes) -> bytes:
    """Up to the last line end: what follows it was being written when the program was stopped."""
    return content[: content.rfind(b"\n") + 1]


def read(path: Path) -> tuple[Entry, ...]:
    """The entries of a log; a torn last line is passed over. JournalError names what was tampered with."""
    content = _content(path)
    entries, findings = examined(_complete(content))
    if findings:
        raise JournalError("\n".join(f"{path.name}: {finding}" for finding in findings))
    return entries


def verify(path: Path, receipt: str = "") -> tuple[Finding, ...]:
    """Everything that is wrong with a log: each altered, removed, moved, damaged or torn line.

    With a ``receipt`` also whether the last line is still the one that it was given for.
    """
    return examined(_content(path), receipt)[1]


def examined(content: bytes, receipt: str = "") -> tuple[tuple[Entry, ...], tuple[Finding, ...]]:
    """The entries that can be read in the bytes of a log, and all that is wrong with it, as of ``verify``."""
    lines = _complete(content).splitlines()
    raws = [_raw(line) for line in lines]
    findings = _findings(raws)
    if len(_complete(content)) < len(content):
        findings.append(Finding(len(lines) + 1, f"line {len(lines) + 1} is torn: it was being written"))
    last = next((raw.entry for raw in reversed(raws) if raw.intact), None)
    if receipt and not (last and same_receipt(receipt_of(last.own), receipt)):
        sentence = "the last line is not the one the receipt was given for: lines were removed from the end"
        findings.append(Finding(len(lines), f"{sentence} or added, or it is another log"))
    return tuple(raw.entry for raw in raws if raw.entry is not None), tuple(findings)


def _findings(raws: Sequence[_Raw]) -> list[Finding]:
    found = [_damage(line, raw) for line, raw in enumerate(raws, 1)]
    findings = [finding for finding in found if finding] + _out_of_order(raws)
    return sorted(findings or _broken_links(raws), key=lambda finding: finding.line)


def _damage(line: int, raw: _Raw) -> Finding | None:
    if raw.entry is None:
        return Finding(line, f"line {line} is damaged: it is not a line of a log")
    return None if raw.intact else Finding(line, f"line {line} was altered after it was written")


def _out_of_order(raws: Sequence[_Raw]) -> list[Finding]:
    """Lines that are missing, stand twice or stand elsewhere, by the numbers they were written with."""
    numbers = {line: raw.entry.number for line, raw in enumerate(raws, 1) if raw.entry}
    missing = list(islice(_missing(set(numbers.values())), _MOST_MISSING))
    spoilt = [line for line, raw in enumerate(raws, 1) if raw.entry is None]
    findings = [Finding(n, f"line {n} was removed") for n in missing if n not in spoilt]
    seen: set[int] = set()
    highest = 0
    for (line, number), right in zip(numbers.items(), sorted(numbers.values()), strict=True):
        if number in seen:
            findings.append(Finding(line, f"line {line} is a second copy of line {number}"))
        elif (number != right and number < highest) or number > right:
            findings.append(Finding(line, f"line {line} was moved: it was written as line {number}"))
        seen.add(number)
        highest = max(highest, number)
    return findings


def _missing(there: set[int]) -> Iterator[int]:
    """Numbers of lines that are not there; a line may claim any number, so they are told one by one."""
    return (number for number in range(1, max(there, default=0) + 1) if number not in there)


def _broken_links(raws: Sequence[_Raw]) -> list[Finding]:
    """Lines whose seal was made anew after an edit: the line behind them still carries the old one."""
    found = []
    before = FIRST
    for line, raw in enumerate(raws, 1):
        if raw.before != before:
            sentence = f"line {max(1, line - 1)} was altered after it was written, and sealed again"
            found.append(Finding(max(1, line - 1), sentence))
        before = raw.entry.own if raw.entry else ""
    return found


class Journal:
    """A log that is open for writing, by one process at a time.

    ``now`` gives the time of a line as text; a clock that goes backwards is kept as it tells.
    """

    def __init__(self, path: Path, new: bool, now: Callable[[], str] | None = None) -> None:
        self.path = path
        self._now = now or _local_time
        self._lock = _locked(path)
        try:
            self.entries: list[Entry] = [] if new else list(read(path))
            self._handle = _opened(path, new)
            self._size = 0 if new else _torn_tail_cut(self._handle, path)
        except BaseException:
            self._lock.release()
            raise

    @property
    def seal(self) -> str:
        return self.entries[-1].own if self.entries else FIRST

    @property
    def receipt(self) -> str:
        return receipt_of(self.seal)

    def append(self, event: str, data: Mapping[str, Any]) -> Entry:
        """Write one line; when this returns it is on the disk. NotSaved if it could not be written."""
        number, at = len(self.entries) + 1, self._now()
        line, own = _line(number, at, event, data, self.seal)
        try:
            _written(self._handle, line)
            os.fsync(self._handle)
        except OSError as error:
            self._take_back()
            raise NotSaved(_not_saved(self.path, error)) from None
        self._size += len(line)
        entry = Entry(number, at, event, json.loads(line)["data"], own)
        self.entries.append(entry)
        return entry

    def _take_back(self) -> None:
        """Cut what was written of a line; if even that fails, the next opening cuts it."""
        try:
            os.ftruncate(self._handle, self._size)
            os.lseek(self._handle, self._size, os.SEEK_SET)
        except OSError:
            pass

    def close(self) -> None:
        os.close(self._handle)
        self._lock.release()

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _not_saved(path: Path, error: OSError) -> str:
    reason = error.strerror or type(error).__name__
    return f"{path}: the last answer could not be saved: {reason}. Everything before it is saved."


def _local_time() -> str:
    return datetime.now().astimezone().isoformat(timespec="seconds")


def _opened(path: Path, new: bool) -> int:
    flags = os.O_RDWR | getattr(os, "O_BINARY", 0) | (os.O_CREAT | os.O_EXCL if new else 0)
    try:
        return os.open(path, flags, 0o644)
    except FileExistsError:
        raise
    except (OSError, ValueError) as error:
        raise JournalError(f"{path}: the log cannot be written: {_reason(error)}.") from None


def _torn_tail_cut(handle: int, path: Path) -> int:
    """Cut what follows the last complete line, go to the end; the size that is left."""
    size = len(_complete(_content(path)))
    os.ftruncate(handle, size)
    return os.lseek(handle, 0, os.SEEK_END)


def _written(handle: int, line: bytes) -> None:
    while line:
        line = line[os.write(handle, line) :]


def _locked(path: Path) -> Any:
    """A lock on the log; the system lets go of it if we are killed."""
    from filelock import FileLock, Timeout

    lock = FileLock(str(path.with_suffix(".lock")), timeout=0)
    try:
        lock.acquire()
    except Timeout:
        text = f"{path.name} is open in another window; close it there, or wait until it is done."
        raise InUse(text) from None
    except (OSError, NotImplementedError) as error:
        raise JournalError(f"{path}: the log cannot be locked: {_reason(error)}.") from None
    return lock
