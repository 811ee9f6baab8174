"""Everything that a class report says, from the outcomes of its sessions alone."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from faultiso.assessment.classes.against import Agreement, Blind, agreement
from faultiso.assessment.classes.attention import Aside, First, look_at_first
from faultiso.assessment.classes.earlier import Earlier
from faultiso.assessment.classes.figures import (
    CaseFigures,
    Confidence,
    case_figures,
    confidence,
    reliability,
    tens,
)
from faultiso.assessment.classes.findings import (
    AimFigures,
    Often,
    Taken,
    aims,
    missed_precautions,
    taken_for,
    wasted_checks,
)
from faultiso.assessment.classes.people import Person, nameless, people_of
from faultiso.assessment.classes.teaching import Lesson, Talk, lessons, lost_points, talks
from faultiso.assessment.outcome import Outcome
from faultiso.assessment.rubric import Rubric
from faultiso.assessment.statistics.figure import Figure
from faultiso.assessment.statistics.spread import Quartiles, quartiles


@dataclass(frozen=True)
class ClassReport:
    """``people`` in the order of their numbers; ``tens``: how many have marks from 0, 10, ... 90;
    ``lost``: (criterion, mean points lost, mean points possible); ``aside``: logs without a mark; ``noted``:
    what else there is to say of logs."""

    title: str
    rubric: str
    pass_mark: float
    people: tuple[Person, ...]
    spread: Quartiles | None
    tens: tuple[int, ...]
    cases: tuple[CaseFigures, ...]
    reliability: Figure
    lost: tuple[tuple[str, float, float], ...]
    taken: tuple[Taken, ...]
    wasted: tuple[Often, ...]
    missed: tuple[Often, ...]
    aims: tuple[AimFigures, ...]
    confidence: Confidence
    first: tuple[First, ...]
    lessons: tuple[Lesson, ...]
    talks: tuple[Talk, ...]
    aside: tuple[Aside, ...]
    noted: tuple[Aside, ...]
    agreement: Agreement | None = None
    earlier: Earlier | None = None

    @property
    def mean(self) -> float | None:
        """The mean mark of the people."""
        return sum(p.mark for p in self.people) / len(self.people) if self.people else None

    @property
    def passed(self) -> int:
        return sum(person.passed for person in self.people)

    @property
    def graded(self) -> int:
        """Sessions that have a mark."""
        return sum(len(person.outcomes) for person in self.people)

    @property
    def confirmed(self) -> int:
        """Sessions whose mark is a result, no proposal."""
        return sum(bool(outcome.confirmed) for person in self.people for outcome in person.outcomes)


def class_report(
    title: str,
    outcomes: Iterable[Outcome],
    rubric: Rubric,
    name_of: Callable[[str], str] = nameless,
    aside: Sequence[Aside] = (),
    noted: Sequence[Aside] = (),
    blind: Blind | None = None,
    earlier: Earlier | None = None,
) -> ClassReport:
    """The report of a class. ``name_of``: the name behind a candidate number, "" if it is not known. Which of
    repeated attempts count is settled before: all that are given do."""
    people = people_of(outcomes, name_of)
    return ClassReport(
        title=title,
        rubric=rubric.name,
        pass_mark=rubric.pass_mark,
        people=people,
        spread=quartiles([person.mark for person in people]),
        tens=tens(people),
        cases=case_figures(people),
        reliability=reliability(people),
        lost=lost_points(people),
        taken=taken_for(people),
        wasted=wasted_checks(people),
        missed=missed_precautions(people),
        aims=aims(people),
        confidence=confidence(people),
        first=look_at_first(people, aside, noted, name_of),
        lessons=lessons(people),
        talks=talks(people),
        aside=tuple(aside),
        noted=tuple(noted),
        agreement=None if blind is None else agreement(people, blind, rubric.pass_mark),
        earlier=earlier,
    )
