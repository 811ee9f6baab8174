"""What a class needs of one log: its outcome, or why there is none; small enough to keep for thousands."""

from __future__ import annotations

from dataclasses import dataclass, replace

from faultiso.assessment.attempts import Attempt, attempt_of
from faultiso.assessment.classes.attention import Aside
from faultiso.assessment.memory import Memory
from faultiso.assessment.outcome import Outcome, outcome
from faultiso.assessment.receipts import HandedIn, handed_in
from faultiso.assessment.review import looked_back
from faultiso.assessment.rubric import Rubric
from faultiso.assessment.submissions import COPIED, Refused, Submission, second_copy
from faultiso.base.notice import Subject
from faultiso.base.text import one_line


@dataclass(frozen=True)
class Judged:
    """One log. Either ``aside`` says why it has no mark, or ``attempt`` and ``outcome`` are there.

    ``noted``: what else there is to say of it; ``seal``: its last one, "" where it is no copy of anything.
    """

    handed_in: HandedIn
    seal: str = ""
    subject: Subject = ""
    aside: Aside | None = None
    noted: tuple[Aside, ...] = ()
    attempt: Attempt | None = None
    outcome: Outcome | None = None


def judged(found: Submission | Refused, rubric: Rubric, memory: Memory) -> Judged:
    """Judge what was handed in."""
    if isinstance(found, Refused):
        return refused(found)
    known = Judged(handed_in(found), found.seal, found.model.subject)
    if not found.finished:
        return replace(known, aside=aside_of(found, "unfinished", f"{found.unfinished}; no mark."))
    try:
        result = outcome_of(found, rubric, memory)
    except Exception as error:  # a log made by hand must not cost a class its report
        sentence = f"it could not be judged ({type(error).__name__})."
        return replace(known, noted=_brought(found), aside=aside_of(found, "not judged", sentence))
    attempt = attempt_of(found, result.grade.total)
    return replace(known, noted=_brought(found), attempt=attempt, outcome=result)


def refused(found: Refused) -> Judged:
    """What was refused."""
    seal = found.seal if found.kind in COPIED else ""
    return Judged(handed_in(found), seal, aside=aside_of(found, found.kind, found.sentence))


def outcome_of(found: Submission, rubric: Rubric, memory: Memory | None = None) -> Outcome:
    """The outcome of one session that was ended."""
    review = looked_back(found.case, found.done, found.state, memory or Memory(), closely=False)
    begun = found.begun.isoformat(timespec="minutes") if found.begun else ""
    return outcome(review, rubric, found.session, begun, found.receipt, found.called)


def copy_of(first: str, each: Judged) -> Judged:
    """A log that is a second copy of the log called ``first``: it has no mark of its own."""
    handed = each.handed_in
    aside = Aside(handed.called, "second copy", second_copy(first), handed.candidate, handed.case)
    return Judged(handed, aside=aside)


def aside_of(found: Submission | Refused, kind: str, sentence: str) -> Aside:
    case = found.case.name if isinstance(found, Submission) else found.case
    return Aside(found.called, kind, one_line(sentence, 400), found.candidate, case)


def _brought(found: Submission) -> tuple[Aside, ...]:
    sentence = "a copy of its case or model came with the log alone: see that they are yours."
    return (aside_of(found, "brought", sentence),) if found.brought else ()
