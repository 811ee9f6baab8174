"""Where files are: the home folder, the logs in it, and the kept copies that let a session go on for ever."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

from faultiso.base.journal import Entry, InUse, Journal, JournalError, read
from faultiso.base.notice import full_notice
from faultiso.base.problems import FaultisoError, UsageError

HOME = "FAULTISO_HOME"
FOLDERS = ("sessions", "reports", "cases", "models", "kept")
PACK = "sealed.pack"
_NUMBERED = re.compile(r"([0-9]{4,})-.*\.jsonl")
_UNSAFE = re.compile(r"[^a-z0-9]+")


class HomeError(FaultisoError):
    """A folder or file of the home folder cannot be used; the text says which and why."""


@dataclass(frozen=True)
class Home:
    """``~/faultiso``, or the folder named by FAULTISO_HOME. Folders are made when first needed."""

    root: Path

    @property
    def sessions(self) -> Path:
        return self.root / "sessions"

    @property
    def reports(self) -> Path:
        return self.root / "reports"

    @property
    def cases(self) -> Path:
        return self.root / "cases"

    @property
    def models(self) -> Path:
        return self.root / "models"

    @property
    def kept(self) -> Path:
        return self.root / "kept"

    @property
    def cache(self) -> Path:
        """What could be worked out again; may be deleted at any time."""
        return self.root / "cache"

    @property
    def settings(self) -> Path:
        """The user's configuration folder; inside the home folder if that was moved."""
        if os.environ.get(HOME):
            return self.root / "settings"
        base = os.environ.get("APPDATA") or os.environ.get("XDG_CONFIG_HOME")
        return (Path(base) if base else Path.home() / ".config") / "faultiso"

    def ready(self, folder: Path) -> Path:
        """The folder, made if it was not there."""
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or "the name is not a folder name"
            text = f"{folder}: the folder cannot be made: {reason}. {HOME} can name another place."
            raise HomeError(text) from None
        return folder


def home() -> Home:
    """The home folder of this user."""
    named = os.environ.get(HOME, "").strip()
    try:
        return Home(Path(named).expanduser().absolute() if named else Path.home() / "faultiso")
    except (RuntimeError, ValueError, OSError):
        raise HomeError(f"No home folder is known; set {HOME} to a folder for the files.") from None


def home_if_any() -> Home | None:
    """The home folder, or None: where it only makes work quicker, nobody has to have one."""
    try:
        return home()
    except HomeError:
        return None


# logs


@dataclass(frozen=True)
class Log:
    """A log in the sessions folder. ``entries`` is empty and ``trouble`` says why if it cannot be used."""

    number: int
    path: Path
    entries: tuple[Entry, ...] = ()
    trouble: str = ""

    @property
    def name(self) -> str:
        return f"{self.number:04d}"

    @property
    def begun(self) -> Mapping[str, object]:
        """What the first line says: kind, model, digest, version."""
        return self.entries[0].data if self.entries else {}

    @property
    def is_open(self) -> bool:
        return bool(self.entries) and not self.trouble and self.entries[-1].event != "ended"

    @property
    def minutes(self) -> float:
        clock = self.entries[-1].data.get("clock", 0.0) if self.entries else 0.0
        return float(clock) if isinstance(clock, int | float) else 0.0


def new_journal(place: Home, name: str) -> Journal:
    """A new log with the next free number; two programs that start at once get two numbers."""
    folder = place.ready(place.sessions)
    number = max((int(m[1]) for m in _numbered(folder)), default=0)
    for attempt in range(1, 100):
        path = folder / f"{number + attempt:04d}-{safe_name(name)}.jsonl"
        try:
            return Journal(path, new=True)
        except (FileExistsError, InUse):
            continue
    raise HomeError(f"{folder}: no free number for a new log was found.")


def safe_name(name: str) -> str:
    """A name that every system takes as part of a file name."""
    return _UNSAFE.sub("-", name.lower()).strip("-")[:60] or "session"


def _numbered(folder: Path) -> list[re.Match[str]]:
    if not folder.is_dir():
        return []
    return [match for path in folder.iterdir() if (match := _NUMBERED.fullmatch(path.name))]


def logs(place: Home) -> list[Log]:
    """All logs, the newest first."""
    found = [_log(int(match[1]), place.sessions / match[0]) for match in _numbered(place.sessions)]
    return sorted(found, key=lambda log: -log.number)


def _log(number: int, path: Path) -> Log:
    try:
        return Log(number, path, read(path))
    except JournalError as error:
        return Log(number, path, trouble=str(error))


def find_log(place: Home, named: str) -> Log:
    """The log of a number ("3", "0003"), a file name, or a path; UsageError if there is none."""
    path = Path(named)
    if named.isascii() and named.isdigit():
        found = [match[0] for match in _numbered(place.sessions) if int(match[1]) == int(named)]
        if found:
            return _log(int(named), place.sessions / found[0])
        raise UsageError(f"There is no session {named}; faultiso resume lists those that are open.")
    for candidate in (path, place.sessions / path):
        if candidate.is_file():
            match = _NUMBERED.fullmatch(candidate.name)
            return _log(int(match[1]) if match else 0, candidate)
    raise UsageError(f"{named}: there is no such log; give the number of a session or a file.")


# kept copies


def keep(place: Home, digest: str, files: Iterable[Path]) -> Path:
    """Copy a model (its main file first, then what it includes) into ``kept``; the folder of the copy.

    A copy that is there is left alone. The copy appears whole or not at all.
    """
    return _kept_whole(place, digest, lambda: {file.name: file.read_bytes() for file in files}, "model")


def keep_pack(place: Home, digest: str, data: bytes) -> Path:
    """Write a pack, sealed as it is, into ``kept``; the folder of the copy."""
    return _kept_whole(place, digest, lambda: {PACK: data}, "pack")


def _kept_whole(place: Home, digest: str, contents: Callable[[], Mapping[str, bytes]], what: str) -> Path:
    target = kept_folder(place, digest)
    if target.is_dir():
        return target
    part = place.ready(place.kept) / f"{target.name}.part{os.getpid()}"
    try:
        part.mkdir(exist_ok=True)
        for name, data in contents().items():
            _written(part / name, data)
        os.replace(part, target)
    except OSError as error:
        shutil.rmtree(part, ignore_errors=True)
        if not target.is_dir():
            raise HomeError(f"{target}: the {what} could not be kept: {error.strerror or error}.") from None
    return target


def _written(target: Path, data: bytes) -> None:
    with target.open("wb") as copy:
        copy.write(data)
        copy.flush()
        os.fsync(copy.fileno())


def kept_folder(place: Home, digest: str) -> Path:
    return place.kept / (_UNSAFE.sub("", digest.lower())[:24] or "none")


def hand_in(place: Home, log: Log, folder: Path) -> Path:
    """One zip with the log and what was kept of it (model, case, pack), written whole or not at all."""
    if log.trouble:
        raise JournalError(log.trouble)
    target = folder / f"{log.path.stem}.zip"
    part = target.with_suffix(".zip.part")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with ZipFile(part, "w", ZIP_DEFLATED) as pack:
            pack.writestr("NOTICE.txt", full_notice() + "\n")
            pack.write(log.path, log.path.name)
            for file in _kept_files(place, log):
                pack.write(file, f"kept/{file.parent.name}/{file.name}")
        os.replace(part, target)
    except (OSError, ValueError) as error:
        part.unlink(missing_ok=True)
        reason = getattr(error, "strerror", None) or error
        raise HomeError(f"{target}: the file could not be written: {reason}.") from None
    return target


def _kept_files(place: Home, log: Log) -> list[Path]:
    """What the first line of a log names by its digest: model and case, or a sealed pack instead of them."""
    named = [str(log.begun[key]) for key in ("digest", "case_digest", "pack") if log.begun.get(key)]
    folders = [folder for folder in (kept_folder(place, digest) for digest in named) if folder.is_dir()]
    return [file for folder in folders for file in sorted(folder.iterdir())]


def write_whole(path: Path, text: str) -> None:
    """Write a text file as UTF-8, whole or not at all; HomeError if it cannot be."""
    write_bytes_whole(path, text.encode("utf-8", "replace"))


def write_bytes_whole(path: Path, data: bytes) -> None:
    """Write a file, whole or not at all; HomeError if it cannot be."""
    try:
        part = path.with_name(f"{path.name}.part{os.getpid()}")
        try:
            part.write_bytes(data)
            os.replace(part, path)
        finally:
            part.unlink(missing_ok=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name is not a file name"
        raise HomeError(f"{path}: the file could not be written: {reason}.") from None
