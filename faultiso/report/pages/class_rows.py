"""The sessions of a class as rows for a spreadsheet, one for each, and what has no mark below them."""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.assessment.classes.people import Person
from faultiso.assessment.classes.report import ClassReport
from faultiso.assessment.feedback import TITLES
from faultiso.assessment.grade import CRITERIA, Grade
from faultiso.assessment.outcome import Outcome
from faultiso.report.csv_safe import Value

HEAD: tuple[str, ...] = (
    "candidate", "name", "case", "mark", "passed", "end", "right", "minutes",
    *(TITLES[name] for name in CRITERIA), "failed by", "to confirm", "confirmed by", "receipt", "log",
)  # fmt: skip


def class_rows(report: ClassReport) -> Iterator[tuple[Value, ...]]:
    """One row for each session, a cell for each title of ``HEAD``; marks are per cent, criteria points."""
    for person in report.people:
        for outcome in person.outcomes:
            yield _row(person, outcome)
    blank = (None,) * (len(HEAD) - 7)
    for each in report.aside:
        yield (each.candidate, None, each.case, None, None, each.sentence, *blank, each.path)


def _row(person: Person, outcome: Outcome) -> tuple[Value, ...]:
    grade = outcome.grade
    return (
        person.id, person.name, grade.case, round(grade.total, 1), grade.passed, grade.verdict.how,
        grade.verdict.right, round(grade.minutes, 1), *(_points(grade, name) for name in CRITERIA),
        "; ".join(reason.sentence for reason in grade.gates),
        "; ".join(reason.sentence for reason in grade.attention), outcome.confirmed, outcome.receipt,
        outcome.path,
    )  # fmt: skip


def _points(grade: Grade, criterion: str) -> float | None:
    """None where nothing could be judged, or an instructor marks it by hand."""
    mark = next((mark for mark in grade.marks if mark.criterion == criterion), None)
    return None if mark is None or mark.share is None else round(grade.points(mark), 2)
