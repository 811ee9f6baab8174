"""Grading again: a case was corrected or withdrawn, the rubric is another one; who is affected, and how."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from faultiso.assessment.moderation import Marks
from faultiso.assessment.standing import Standing, figure
from faultiso.assessment.submissions import Refused, Submission
from faultiso.base.problems import FaultisoError

if TYPE_CHECKING:
    from faultiso.assessment.grade import Grade

Grader = Callable[[Submission], "Grade"]
_OTHER = {"rubric": "another rubric", "case": "a corrected case", "model": "a corrected model"}


@dataclass(frozen=True)
class Moved:
    """One thing that is another one now: a criterion, "mark", "failed by a gate" or "passed"; in words."""

    what: str
    old: str
    new: str

    def __str__(self) -> str:
        return f"{self.what}: {self.old} -> {self.new}"


@dataclass(frozen=True)
class Regraded:
    """What grading a session again came to. ``state``: "moved", "same", "withdrawn", or "not graded"."""

    candidate: str
    case: str
    receipt: str
    state: Literal["moved", "same", "withdrawn", "not graded"]
    moved: tuple[Moved, ...] = ()
    why: str = ""
    was_result: bool = False


@dataclass(frozen=True)
class Again:
    """How sessions are graded again: the ``grader``, the digest of its ``rubric``, why, and by whom."""

    grader: Grader
    rubric: str
    because: str
    by: str


def regraded(marks: Marks, handed_in: Iterable[Submission | Refused], again: Again) -> Iterator[Regraded]:
    """Grade again what is in the file of marks; each proposal that says something else is added to it.

    At the end come the sessions in the file whose logs were not among those handed in.
    """
    seen: set[str] = set()
    for each in handed_in:
        if isinstance(each, Submission) and each.seal in marks.standing:
            seen.add(each.seal)
            yield _one(marks, each, again)
        elif isinstance(each, Refused) and each.kind != "second copy" and each.seal in marks.standing:
            seen.add(each.seal)
            yield _not_graded(marks.standing[each.seal], str(each))
    for seal, standing in list(marks.standing.items()):
        if seal not in seen and not standing.withdrawn:
            yield _not_graded(standing, "its log was not found; its marks stand as they are.")


def _one(marks: Marks, submission: Submission, again: Again) -> Regraded:
    before = marks.standing[submission.seal]
    if before.withdrawn is not None:
        return Regraded(
            before.candidate, before.case, before.receipt, "withdrawn", why=before.withdrawn.because
        )
    try:
        grade = judged(again.grader, submission)
    except FaultisoError as error:
        return _not_graded(before, str(error))
    after = marks.propose(submission, grade, again.rubric, again.because, again.by)
    found = moved(before, after) if after is not None else ()
    return Regraded(
        candidate=before.candidate,
        case=before.case,
        receipt=before.receipt,
        state="moved" if found else "same",
        moved=found,
        why=why(before, after, again.because) if after is not None else "",
        was_result=before.is_result,
    )


def judged(grader: Grader, submission: Submission) -> Grade:
    """The grade of a submission. FaultisoError if there is none: a log that was made by hand stops nobody."""
    try:
        return grader(submission)
    except (LookupError, TypeError, ValueError, AttributeError, AssertionError, ArithmeticError) as error:
        raise FaultisoError(f"it could not be judged ({type(error).__name__}).") from None


def _not_graded(standing: Standing, sentence: str) -> Regraded:
    return Regraded(standing.candidate, standing.case, standing.receipt, "not graded", why=sentence)


def withdrawn(marks: Marks, case: str, because: str, by: str) -> tuple[Regraded, ...]:
    """Withdraw the marks of all sessions of a case; who is affected."""
    affected = [each for each in marks.standing.values() if each.case == case and not each.withdrawn]
    found = []
    for each in affected:
        marks.withdraw(each.seal, because, by)
        lost = (Moved("mark", figure(each.mark), "none"),)
        found.append(Regraded(each.candidate, case, each.receipt, "withdrawn", lost, because, each.is_result))
    return tuple(found)


def moved(before: Standing, after: Standing) -> tuple[Moved, ...]:
    """What stands now and stood otherwise before, the mark first."""
    return tuple(_moved(before, after))


def _moved(before: Standing, after: Standing) -> Iterator[Moved]:
    if before.mark != after.mark:
        yield Moved("mark", figure(before.mark), figure(after.mark))
    if before.passed != after.passed:
        yield Moved("passed", _yes(before.passed), _yes(after.passed))
    if before.gates != after.gates:
        yield Moved("failed by a gate", "; ".join(before.gates) or "none", "; ".join(after.gates) or "none")
    old = {points.criterion: (points.points, points.out_of) for points in before.points}
    new = {points.criterion: (points.points, points.out_of) for points in after.points}
    for criterion in dict.fromkeys([*old, *new]):
        if old.get(criterion) != new.get(criterion):
            yield Moved(criterion, _of(old.get(criterion)), _of(new.get(criterion)))
    if before.attention != after.attention:
        yield Moved(
            "to look at", "; ".join(before.attention) or "nothing", "; ".join(after.attention) or "nothing"
        )


def why(before: Standing, after: Standing, because: str) -> str:
    """Why it moved: what is another one now, and the reason that was given."""
    other = [words for name, words in _OTHER.items() if before.digests[name] != after.digests[name]]
    return ": ".join(part for part in (" and ".join(other) or "graded again", because) if part)


def _yes(passed: bool) -> str:
    return "yes" if passed else "no"


def _of(points: tuple[float | None, float] | None) -> str:
    if points is None:
        return "none"
    return "not judged" if points[0] is None else f"{figure(points[0])} of {figure(points[1])}"
