"""Marks are proposed, then an instructor confirms or changes them: a file of marks, to which lines are added.

It lies beside the logs and knows candidates by number alone; both values of every change are kept. The
standing marks of a session are the replay of its lines (``standing``).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from faultiso import __version__
from faultiso.assessment.replaying import apply, read_marks, replayed
from faultiso.assessment.standing import (
    BEGAN,
    CHANGED,
    CONFIRMED,
    FORMAT,
    GATES,
    PROPOSED,
    WITHDRAWN,
    Standing,
    figure,
)
from faultiso.assessment.submissions import Submission
from faultiso.base.journal import Journal
from faultiso.base.nearest import listed, nearest
from faultiso.base.notice import full_notice
from faultiso.base.problems import UsageError
from faultiso.base.text import clean, one_line

if TYPE_CHECKING:
    from faultiso.assessment.grade import Grade

_LONGEST_REASON, _LONGEST_BY = 500, 60


class Marks:
    """A file of marks that is open for writing, by one process at a time; it is made if it is not there."""

    def __init__(self, path: Path, now: Callable[[], str] | None = None) -> None:
        self.path = path
        there = path.exists()
        if there:
            read_marks(path)  # a file of another kind is refused before anything is opened for writing
        self._journal = Journal(path, new=not there, now=now)
        try:
            if not self._journal.entries:
                about = {"format": FORMAT, "tool": __version__, "notice": full_notice()}
                self._journal.append(BEGAN, about)
            self._standing = replayed(path, self._journal.entries)
        except BaseException:
            self.close()
            raise

    @property
    def standing(self) -> Mapping[str, Standing]:
        """What stands of each session, by the last seal of its log."""
        return self._standing

    def propose(
        self, submission: Submission, grade: Grade, rubric: str, because: str = "", by: str = ""
    ) -> Standing | None:
        """Add a proposal, ``rubric`` being the digest of its rubric; None if it says nothing new.

        What was withdrawn is only proposed again for a reason.
        """
        from faultiso.assessment.grade import record  # brings numpy, which confirming does not need

        digests = {"rubric": rubric, "case": submission.case.digest, "model": submission.model.digest}
        before = self._standing.get(submission.seal)
        new = {**record(grade), "session": submission.receipt}  # the name of a file might be somebody's name
        if before is not None and before.withdrawn and not because:
            return None
        if before is not None and _says(before) == (new, digests, grade.pass_mark):
            return None
        more = {"because": _reason(because)} if because else {}
        return self._add(
            PROPOSED,
            submission.seal,
            receipt=submission.receipt,
            grade=new,
            pass_mark=grade.pass_mark,
            **digests,
            **more,
            by=_by(by) if by else "",
        )

    def confirm(self, seal: str, by: str) -> Standing:
        """What stands is the result. UsageError if it was withdrawn."""
        self._open(seal)
        return self._add(CONFIRMED, seal, by=_by(by))

    def change(self, seal: str, criterion: str, points: float, because: str, by: str) -> Standing:
        """Set the points of a criterion; ``gates`` to 0 lifts them. UsageError if that cannot be."""
        return self._add(CHANGED, seal, **self.judge(seal, criterion, points, because, by))

    def judge(self, seal: str, criterion: str, points: float, because: str, by: str) -> dict[str, Any]:
        """What ``change`` would write; UsageError if it cannot be set so."""
        standing = self._open(seal)
        name = _criterion(standing, criterion)
        old, proposed, out_of = _earlier(standing, name)
        _judge(name, points, out_of)
        reason, who = _reason(because), _by(by)
        return {
            "criterion": name, "old": old, "new": points, "proposed": proposed, "of": out_of,
            "because": reason, "by": who,
        }  # fmt: skip

    def withdraw(self, seal: str, because: str, by: str) -> Standing:
        """The session has no mark: its case was wrong, say."""
        self._open(seal)
        return self._add(WITHDRAWN, seal, because=_reason(because), by=_by(by))

    def close(self) -> None:
        self._journal.close()

    def __enter__(self) -> Marks:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _open(self, seal: str) -> Standing:
        standing = self._standing.get(seal)
        if standing is None:
            raise UsageError(f"{self.path.name}: nothing was proposed for this session.")
        if standing.withdrawn is not None:
            why = standing.withdrawn.because
            raise UsageError(f"{standing.called}: its marks were withdrawn: {why}")
        return standing

    def _add(self, event: str, seal: str, **data: Any) -> Standing:
        apply(self.path, self._standing, self._journal.append(event, {"seal": seal, **data}))
        return self._standing[seal]


def _says(standing: Standing) -> tuple[Mapping[str, Any], Mapping[str, str], float]:
    return standing.grade, standing.digests, standing.pass_mark


def _criterion(standing: Standing, name: str) -> str:
    """The criterion of that name, however it is written."""
    names = [points.criterion for points in standing.points]
    known = [*names, GATES] if standing.grade["gates"] else names
    wanted = name.strip().casefold().replace("-", "_").replace(" ", "_")
    if wanted in known:
        return wanted
    close = nearest(name, known)
    hint = f"; nearest: {close}" if close else ""
    raise UsageError(
        f'no criterion is called "{one_line(name, 40)}"; there are {listed(known, "and", 12)}{hint}'
    )


def _earlier(standing: Standing, name: str) -> tuple[float | None, float | None, float]:
    """What stands, what is proposed, and of how much."""
    if name == GATES:
        return float(len(standing.gates)), float(len(standing.grade["gates"])), 0.0
    points = next(each for each in standing.points if each.criterion == name)
    return points.points, points.proposed, points.out_of


def _judge(name: str, points: float, out_of: float) -> None:
    if not 0 <= points <= out_of:
        expected = "0, which lifts them" if name == GATES else f"0 to {figure(out_of)}"
        raise UsageError(f"{name}: {figure(points)} cannot be set; expected {expected}.")


def _reason(text: str) -> str:
    cleaned = clean(text, _LONGEST_REASON).strip()
    if not cleaned:
        raise UsageError("A change needs a reason: --because TEXT.")
    return cleaned


def _by(text: str) -> str:
    cleaned = one_line(text, _LONGEST_BY)
    if not cleaned:
        raise UsageError("Who decides has to be told: --by WHO, initials say.")
    return cleaned


def to_look_at(standings: Iterable[Standing]) -> list[Standing]:
    """What is neither confirmed nor withdrawn: disputes and what is beyond the model first.

    Then come failed gates, then those who did not pass; of each the lowest mark first.
    """
    open_ = (each for each in standings if not each.confirmed and not each.withdrawn)
    return sorted(open_, key=lambda each: (
        not each.attention, not each.gates, each.passed, each.mark, each.candidate, each.case, each.seal,
    ))  # fmt: skip
