"""One session's proposed marks as a page."""

from __future__ import annotations

from collections.abc import Iterator

from faultiso.assessment.feedback import TITLES, feedback, points_words, tenths
from faultiso.assessment.grade import Grade, Mark, Reason
from faultiso.base.notice import Subject
from faultiso.report.page import Block, Column, Heading, Items, Page, Table, Text


def grade_page(grade: Grade, title: str, subject: Subject = "") -> Page:
    """Marks first, then what was good, the one thing to change, and each reason with its step."""
    found = feedback(grade)
    blocks: list[Block] = [Text(headline(grade)), _marks(grade)]
    blocks += [Text(f"Failed by a gate: {gate.sentence}.") for gate in grade.gates]
    blocks += [Text(f"To be seen first: {reason.sentence}.") for reason in grade.attention]
    if found.good:
        blocks += [Heading("What was good"), Items(found.good)]
    if found.change is not None:
        what, reason = found.change
        blocks.append(Text(f"To change next ({what}): {_pointed(reason)}.", apart=True))
    if found.detail:
        blocks += [Heading("In detail"), Items(tuple(f"{what}: {_pointed(r)}" for what, r in found.detail))]
    return Page(title, subject, tuple(blocks), last=True)


def headline(grade: Grade) -> str:
    """ "proposed 40 of 95, not passed; write-up (5) is yours to mark"."""
    passed = "passed" if grade.passed else "not passed"
    hand = [
        f"{TITLES[m.criterion]} ({grade.weights[m.criterion]:g}) is yours to mark"
        for m in grade.marks
        if m.by_hand
    ]
    who = grade.candidate or "nobody named"
    out_of = (
        f"proposed {tenths(grade.earned)} of {tenths(grade.possible)}, {grade.total:.0f} in 100, {passed}"
    )
    return f"{who}, {grade.case}: {'; '.join([out_of, *hand])}."


def _marks(grade: Grade) -> Table:
    rows = tuple((TITLES[m.criterion], points_words(grade, m), _steps(m)) for m in grade.marks)
    return Table((Column("criterion"), Column("points"), Column("steps")), rows, "proposed marks")


def _steps(mark: Mark) -> str:
    steps = dict.fromkeys(reason.step for reason in mark.reasons if reason.step)
    return ", ".join(map(str, steps))


def _pointed(reason: Reason) -> str:
    place = "".join(_place(reason))
    return f"{place}{reason.sentence}"


def _place(reason: Reason) -> Iterator[str]:
    if reason.step:
        yield f"step {reason.step}"
        yield f" (log line {reason.line}): " if reason.line else ": "
