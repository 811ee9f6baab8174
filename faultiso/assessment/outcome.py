"""What a class report needs of one session: its grade and findings, small enough to keep for thousands."""

from __future__ import annotations

from dataclasses import dataclass

from faultiso.assessment.criteria.choice import wasted
from faultiso.assessment.grade import Grade
from faultiso.assessment.grading import grade
from faultiso.assessment.review import Review
from faultiso.assessment.rubric import Rubric
from faultiso.session import words


@dataclass(frozen=True)
class Finding:
    """Something that a step showed: a title, the minutes that it cost, the step."""

    title: str
    minutes: float
    step: int


@dataclass(frozen=True)
class Outcome:
    """``silent``: signs looked at where they could show nothing else; ``wasted``: these, and checks of which
    every likely cause shows the same; ``missed``: cautions not named, with whether they are critical;
    ``truth`` and ``named``: titles of the units that were wrong, and of those that were repaired;
    ``confirmed``: who made the mark a result, and when; "" while it is a proposal."""

    grade: Grade
    case_title: str
    stage: str
    aims: tuple[str, ...]
    mode: str
    truth: tuple[str, ...]
    named: tuple[str, ...]
    silent: tuple[Finding, ...]
    wasted: tuple[Finding, ...]
    missed: tuple[tuple[str, bool], ...]
    lost_minutes: float
    begun: str = ""
    receipt: str = ""
    path: str = ""
    confirmed: str = ""


def outcome(
    review: Review, rubric: Rubric, session: str = "", begun: str = "", receipt: str = "", path: str = ""
) -> Outcome:
    """The outcome of a review."""
    case, model = review.case, review.model
    lost = wasted(review)
    units = dict.fromkeys(name.partition(".")[0] for name in case.truth)
    repairs = [model.repairs[each.name] for each in review.state.repairs]
    repaired = dict.fromkeys(repair.component for repair in repairs if repair.clears)  # a reset mends nothing
    return Outcome(
        grade=grade(review, rubric, session),
        case_title=case.title,
        stage=case.stage,
        aims=tuple(aim.name for aim in case.aims),
        mode=str(review.state.began.get("mode", "")),
        truth=tuple(model.components[name].title for name in units),
        named=tuple(model.components[name].title for name in repaired if name),
        silent=tuple(_finding(review, place) for place in lost if review.worths[place].silent is not None),
        wasted=tuple(_finding(review, place) for place in lost),
        missed=tuple(_missed(review)),
        lost_minutes=sum(worth.loss for worth in review.worths if not worth.as_good),
        begun=begun,
        receipt=receipt,
        path=path,
    )


def _finding(review: Review, place: int) -> Finding:
    deed = review.done[place].deed
    title = words.deed_title(review.model, deed.what, deed.name)
    return Finding(title, deed.minutes, place + 1)


def _missed(review: Review) -> list[tuple[str, bool]]:
    critical = set(review.case.critical_precautions)
    return [
        (review.model.cautions[name].title, name in critical)
        for each in review.state.hazards
        for name in each.cautions
        if name not in each.named
    ]
