"""Figures of a class: how marks are spread, each case, reliability, stated confidence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from faultiso.assessment.classes.people import Person, sessions
from faultiso.assessment.statistics.confidence import Band, brier, brier_parts
from faultiso.assessment.statistics.figure import Figure
from faultiso.assessment.statistics.items import difficulty, item_total
from faultiso.assessment.statistics.marks import Marks, marks_of
from faultiso.assessment.statistics.reliability import alpha
from faultiso.assessment.statistics.spread import Quartiles, quartiles

TENS = tuple(range(0, 100, 10))
EDGES = (0.0, 0.2, 0.4, 0.6, 0.8)


@dataclass(frozen=True)
class CaseFigures:
    """A case of the class: ``marks`` of everybody who worked it, lowest first; ``difficulty``: mean share of
    the mark, near 1 where it is easy; ``discrimination``: correlation with the marks of the other cases."""

    name: str
    title: str
    marks: tuple[float, ...]
    passed: int
    difficulty: Figure
    discrimination: Figure

    @property
    def mean(self) -> float:
        return sum(self.marks) / len(self.marks)

    @property
    def quartiles(self) -> Quartiles | None:
        return quartiles(self.marks)


@dataclass(frozen=True)
class Confidence:
    """Stated beliefs against the truth: the Brier score, and in bands how often what was stated was so."""

    score: Figure
    bands: tuple[Band, ...]


def matrix(people: Sequence[Person], cases: Sequence[str]) -> Marks:
    """Marks of people by cases, in per cent."""
    return marks_of([[_bounded(person.by_case.get(case)) for case in cases] for person in people], 100.0)


def _bounded(mark: float | None) -> float | None:
    """Without what adding up of weights rounds past the ends."""
    return None if mark is None else min(max(mark, 0.0), 100.0)


def case_names(people: Sequence[Person]) -> tuple[str, ...]:
    return tuple(sorted({outcome.grade.case for outcome in sessions(people)}))


def case_figures(people: Sequence[Person]) -> tuple[CaseFigures, ...]:
    """Each case by its name."""
    names = case_names(people)
    marks = matrix(people, names)
    pairs = zip(names, difficulty(marks), item_total(marks), strict=True)
    return tuple(_of_case(people, name, hard, parts) for name, hard, parts in pairs)


def _of_case(people: Sequence[Person], name: str, hard: Figure, parts: Figure) -> CaseFigures:
    outcomes = [outcome for outcome in sessions(people) if outcome.grade.case == name]
    worked = tuple(sorted(person.by_case[name] for person in people if name in person.by_case))
    passed = sum(any(o.grade.passed for o in person.outcomes if o.grade.case == name) for person in people)
    return CaseFigures(name, outcomes[0].case_title, worked, passed, hard, parts)


def reliability(people: Sequence[Person]) -> Figure:
    """Cronbach's alpha of the cases, or why it can not be said."""
    return alpha(matrix(people, case_names(people)))


def tens(people: Sequence[Person]) -> tuple[int, ...]:
    """How many people have marks from 0 to under 10, ... 90 to 100."""
    counts = [0] * len(TENS)
    for person in people:
        counts[min(int(person.mark // 10), 9)] += 1
    return tuple(counts)


def confidence(people: Sequence[Person]) -> Confidence:
    """All beliefs that were put into words."""
    stated = [pair for outcome in sessions(people) for pair in outcome.grade.stated]
    said, so = [min(max(p, 0.0), 1.0) for p, _ in stated], [true for _, true in stated]
    parts = brier_parts(said, so, EDGES[1:])
    return Confidence(brier(said, so), parts.bands if parts else ())
