"""From a review to a grade: every criterion, the gates, what an instructor has to see first."""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.assessment.calibration import calibrated
from faultiso.assessment.criteria import ALL
from faultiso.assessment.criteria.safety import critical_left_out
from faultiso.assessment.grade import Grade, Reason
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric
from faultiso.session import words
from faultiso.session.ending import HANDED_OVER, UNFINISHED


def grade(review: Review, rubric: Rubric, session: str = "") -> Grade:
    """The proposed marks of one session. The same log and rubric give the same marks on every machine."""
    state = review.state
    return Grade(
        case=review.case.name,
        candidate=str(state.began.get("candidate", "")),
        session=session,
        rubric=rubric.name,
        marks=tuple(criterion(review, rubric) for criterion in ALL.values()),
        weights=rubric.weights,
        pass_mark=rubric.pass_mark,
        verdict=review.verdict,
        minutes=state.minutes,
        gates=tuple(_gates(review, rubric)),
        attention=tuple(_attention(review)),
        stated=calibrated(review),
    )


def _gates(review: Review, rubric: Rubric) -> Iterator[Reason]:
    if rubric.gates["critical_precautions"]:
        yield from critical_left_out(review)
    complete = review.verdict.how not in (HANDED_OVER, UNFINISHED)
    if rubric.gates["unrestored"] and complete and review.state.unrestored:
        left = words.settings_words(review.model, review.state.unrestored)
        yield Reason(f"ended as complete with this not restored: {left}")


def _attention(review: Review) -> Iterator[Reason]:
    for dispute in review.state.disputes:
        title = words.sign_title(review.model, dispute.sign)
        text = f': "{dispute.text}"' if dispute.text else ""
        yield Reason(f"disputes {title}, line {dispute.reading}{text}", 0, dispute.line)
    if review.case.beyond_model:
        yield Reason("a case beyond the model: confirm by hand")
