"""Many cases worked by many apprentices: a folder of logs, with what is needed to grade them later.

The folder is laid out as a home folder: ``sessions`` with one log for each case and apprentice, the
apprentice's number in it as the candidate, and ``kept`` with the models and cases. Which log has which number
depends on which was begun first; what is in it does not.
"""

from __future__ import annotations

from collections.abc import Callable, Container, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass, replace
from itertools import islice
from multiprocessing import get_context
from pathlib import Path

from faultiso.casebook.case import Case
from faultiso.casebook.models import Models
from faultiso.model.system import Model
from faultiso.practice.apprentices.apprentice import Apprentice
from faultiso.practice.apprentices.room import Room
from faultiso.practice.apprentices.working import work
from faultiso.practice.opening import opened
from faultiso.practice.terms import Terms
from faultiso.session.home import Home, logs, new_journal

SESSIONS_OF_A_ROOM = 24  # after which its networks are made anew, so that memory stays bounded
Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Worked:
    """One session that was worked: its candidate, case, end, and the log with its receipt."""

    candidate: str
    case: str
    how: str
    log: Path
    receipt: str


@dataclass(frozen=True)
class _Share:
    """What one process does at a time: some of the apprentices, with their numbers, at one case."""

    place: Home
    case: Case
    model: Model
    terms: Terms
    apprentices: tuple[tuple[int, Apprentice], ...]


def work_many(
    cases: Iterable[Path],
    apprentices: Sequence[Apprentice],
    folder: Path,
    processes: int = 1,
    progress: Progress | None = None,
    there: Container[tuple[str, str]] = (),
) -> tuple[Worked, ...]:
    """Every case (a file) worked by every apprentice, number 1 first; by candidate, then case.

    ``progress`` is told how many sessions are done, and of how many. ``there``: pairs of candidate and case
    that are not worked, as ``worked_in`` gives them. InvalidModel for a case that cannot be read, before
    anything is worked; HomeError if the folder cannot be written.
    """
    place, models = Home(folder.absolute()), Models()
    read = [opened(place, path, models, Terms("quiet")) for path in cases]
    shares = [
        _Share(place, case, model, terms, some)
        for case, model, terms in read
        for some in _in_parts(_left(apprentices, case.name, there))
    ]
    total = sum(len(share.apprentices) for share in shares)
    found: list[Worked] = []
    for done in _done(shares, processes):
        found += done
        if progress is not None:
            progress(len(found), total)
    return tuple(sorted(found, key=lambda worked: (worked.candidate, worked.case)))


def worked_in(folder: Path) -> frozenset[tuple[str, str]]:
    """Candidate and case of each session of a folder that was worked to its end."""
    found = logs(Home(folder.absolute()))
    return frozenset(
        (str(log.begun.get("candidate")), str(log.begun.get("case")))
        for log in found
        if log.entries and not log.trouble and not log.is_open
    )


def _left(
    apprentices: Sequence[Apprentice], case: str, there: Container[tuple[str, str]]
) -> Iterator[tuple[int, Apprentice]]:
    """Those who have not worked the case yet, with their numbers."""
    return (each for each in enumerate(apprentices, 1) if (_candidate(each[0]), case) not in there)


def _candidate(number: int) -> str:
    return f"{number:04d}"


def _in_parts(numbered: Iterator[tuple[int, Apprentice]]) -> Iterator[tuple[tuple[int, Apprentice], ...]]:
    while part := tuple(islice(numbered, SESSIONS_OF_A_ROOM)):
        yield part


def _done(shares: Sequence[_Share], processes: int) -> Iterator[list[Worked]]:
    if processes <= 1:
        yield from map(_worked, shares)
        return
    with ProcessPoolExecutor(processes, get_context("spawn")) as pool:
        running = [pool.submit(_worked, share) for share in shares]
        try:
            for future in as_completed(running):
                yield future.result()
        finally:
            for future in running:
                future.cancel()


def _worked(share: _Share) -> list[Worked]:
    """The sessions of a share, one after the other, in one room."""
    room = Room(share.case, share.model)
    return [_one(share, room, number, apprentice) for number, apprentice in share.apprentices]


def _one(share: _Share, room: Room, number: int, apprentice: Apprentice) -> Worked:
    terms = replace(share.terms, candidate=_candidate(number))
    with new_journal(share.place, share.case.name) as journal:
        play = work(share.case, share.model, apprentice, journal, terms, room)
        end = play.desk.state.end
        assert end is not None
        return Worked(terms.candidate, share.case.name, end.how, journal.path, journal.receipt)
