"""Many logs judged at once: by several processes, logs of a case together, results in the order of the files.

Whether one process works or many, and which of them judges a log, changes nothing in any result.
"""

from __future__ import annotations

import json
import os
import signal
from collections import defaultdict, deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass, field
from multiprocessing import active_children, get_context
from pathlib import Path
from zipfile import ZipFile

from faultiso.assessment.classes.judging import Judged, judged, refused
from faultiso.assessment.copies import Copies
from faultiso.assessment.gathering import LOG, ZIP, File, NotRead, logs_of
from faultiso.assessment.kept_positions import KeptPositions, kept_positions
from faultiso.assessment.memory import Memory
from faultiso.assessment.rubric import Rubric
from faultiso.assessment.submissions import Refused, submission_of
from faultiso.casebook.packs.key import Key
from faultiso.session.home import Home

FILES_OF_A_SHARE = 16
FEWEST_FILES = 12  # below which it takes longer to start another process than to judge them
_BEGINNING = 4_096  # bytes of a log that tell its case
_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
Tell = Callable[[int], None]
#: Number of a file, and what was in it.
Done = list[tuple[int, tuple[Judged, ...]]]


@dataclass(frozen=True)
class Judging:
    """How logs are judged. ``place``: the home folder, None where there is none; nothing is kept then."""

    rubric: Rubric
    key: Key | None = field(default=None, repr=False)
    place: Home | None = None


@dataclass(frozen=True)
class _Share:
    """Files that one process judges at a time, by their numbers; logs of one case as far as can be seen."""

    files: tuple[tuple[int, File | NotRead], ...]

    def split(self) -> list[_Share]:
        return [_Share((each,)) for each in self.files]


def judged_files(
    files: Iterable[File | NotRead], judging: Judging, processes: int = 0, tell: Tell | None = None
) -> Iterator[Judged]:
    """Every log of the files, in their order. ``processes``: 0 for one a core; ``tell`` hears how many files
    were judged. A log on which a process dies is told as not judged; no other log suffers by it."""
    listed = list(files)
    found: dict[int, tuple[Judged, ...]] = {}
    workers = min(processes or cores(), len(listed) // FEWEST_FILES)
    shares = [_Share(tuple(enumerate(listed)))] if workers < 2 else _shares(listed)
    for done in _alone(shares, judging) if workers < 2 else _together(shares, judging, workers):
        found.update(done)
        if tell:
            tell(len(found))
    for number in range(len(listed)):
        yield from found.pop(number)


def cores() -> int:
    """The cores that this process may use."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1


class _Judge:
    """What judges logs one after the other: copies read once, positions judged once."""

    def __init__(self, judging: Judging) -> None:
        self._rubric = judging.rubric
        self._copies = Copies(judging.key, judging.place)
        self._kept: KeptPositions | None = kept_positions(judging.place) if judging.place else None
        self._memory = Memory(self._kept)

    def of(self, file: File | NotRead) -> tuple[Judged, ...]:
        logs = [file] if isinstance(file, NotRead) else logs_of(file)
        found = (submission_of(log, self._copies) for log in logs)
        return tuple(judged(each, self._rubric, self._memory) for each in found if each is not None)

    def keep(self) -> None:
        """Let others have what was worked out."""
        if self._kept:
            self._kept.write()


def _alone(shares: Sequence[_Share], judging: Judging) -> Iterator[Done]:
    judge = _Judge(judging)
    try:
        yield from ([(number, judge.of(file))] for share in shares for number, file in share.files)
    finally:
        judge.keep()


# many processes


def _together(shares: Sequence[_Share], judging: Judging, workers: int) -> Iterator[Done]:
    """Shares at which a process died are judged again file by file, so that one file alone is lost."""
    suspects: list[_Share] = []
    lost: list[_Share] = []
    yield from _rounds(shares, judging, workers, 2 * workers, suspects)
    yield from _rounds([one for share in suspects for one in share.split()], judging, 1, 1, lost)
    for share in lost:
        yield [(number, (_lost(file),)) for number, file in share.files]


def _rounds(
    shares: Sequence[_Share], judging: Judging, workers: int, ahead: int, died: list[_Share]
) -> Iterator[Done]:
    """Judge all shares, ``ahead`` of them at a time; where a process dies, new ones take up the rest."""
    left = deque(shares)
    while left:
        running: dict[Future[Done], _Share] = {}
        with _pool(judging, workers) as pool:
            try:
                while left or running:
                    while left and len(running) < ahead:
                        future = pool.submit(_judge_share, left[0])
                        running[future] = left.popleft()
                    for future in wait(running, return_when=FIRST_COMPLETED).done:
                        yield future.result()
                        del running[future]
            except BrokenProcessPool:
                died += running.values()


@contextmanager
def _pool(judging: Judging, workers: int) -> Iterator[ProcessPoolExecutor]:
    """Processes that leave at once where this one is stopped. Each computes in one thread of its own."""
    before = {name: os.environ.get(name) for name in _THREADS}
    os.environ.update(dict.fromkeys(_THREADS, "1"))
    pool = ProcessPoolExecutor(workers, get_context("spawn"), _begin, (judging,))
    try:
        yield pool
    except BaseException:
        for process in active_children():
            process.terminate()
        raise
    finally:
        pool.shutdown(cancel_futures=True)
        for name, value in before.items():
            os.environ.pop(name) if value is None else os.environ.update({name: value})


_judge: list[_Judge] = []  # of this process, if it is one of many


def _begin(judging: Judging) -> None:
    """A new process: who stops the work stops the process that started it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _judge[:] = [_Judge(judging)]


def _judge_share(share: _Share) -> Done:
    judge = _judge[0]
    done = [(number, judge.of(file)) for number, file in share.files]
    judge.keep()
    return done


def _lost(file: File | NotRead) -> Judged:
    return refused(
        Refused(file.path, "not judged", "the process that judged it ended, perhaps for want of memory.")
    )


# which logs go together


def _shares(files: Sequence[File | NotRead]) -> list[_Share]:
    """Files of one case together, a few at a time."""
    groups: dict[str, list[tuple[int, File | NotRead]]] = defaultdict(list)
    for number, file in enumerate(files):
        groups[_case_of(file)].append((number, file))
    return [
        _Share(tuple(group[start : start + FILES_OF_A_SHARE]))
        for group in groups.values()
        for start in range(0, len(group), FILES_OF_A_SHARE)
    ]


def _case_of(file: File | NotRead) -> str:
    """What the first line of a log says of its case; "" where that cannot be seen at a glance."""
    try:
        began = json.loads(_first_line(file.path))["data"]
        return f"{began.get('digest')} {began.get('case_digest')}"
    except Exception:  # whatever is wrong with it is told when it is judged
        return ""


def _first_line(path: Path) -> bytes:
    if not path.is_file():
        return b""
    if path.suffix.casefold() != ZIP:
        with path.open("rb") as stream:
            return stream.readline(_BEGINNING)
    with ZipFile(path) as packed:
        name = next(name for name in packed.namelist() if name.casefold().endswith(LOG))
        with packed.open(name) as inside:
            return inside.readline(_BEGINNING)
