"""One criterion a file: a small function of a review and a rubric that gives a mark with its reasons."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from faultiso.assessment.criteria.choice import choice
from faultiso.assessment.criteria.conclusion import conclusion
from faultiso.assessment.criteria.economy import economy
from faultiso.assessment.criteria.evidence import evidence
from faultiso.assessment.criteria.record import record
from faultiso.assessment.criteria.safety import safety
from faultiso.assessment.criteria.verification import verification
from faultiso.assessment.grade import Mark, Reason
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric

Criterion = Callable[[Review, Rubric], Mark]


def write_up(review: Review, rubric: Rubric) -> Mark:
    """The work record as a text: an instructor reads it."""
    return Mark("write_up", None, (Reason("the write-up is yours to mark"),), by_hand=True)


ALL: Mapping[str, Criterion] = {
    "safety": safety,
    "evidence": evidence,
    "conclusion": conclusion,
    "verification": verification,
    "record": record,
    "economy": economy,
    "choice": choice,
    "write_up": write_up,
}
