"""The people of a class, each with the cases that they worked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from faultiso.assessment.outcome import Outcome
from faultiso.assessment.roster import candidate_key
from faultiso.base.text import one_line

NOBODY = "nobody named"
LONGEST = 40  # characters of a candidate number


@dataclass(frozen=True)
class Person:
    """``id``: the candidate number, "" for a log that names nobody; ``name``: from a roster, "" if it is not
    known or left out. ``outcomes``: in the order of their cases' names, more than one of a case if attempts
    were repeated and all count."""

    id: str
    name: str
    outcomes: tuple[Outcome, ...]

    @property
    def called(self) -> str:
        """How people are told of this person: "14 Reed", "14", "nobody named (reed.jsonl)"."""
        if not self.id:
            return f"{NOBODY} ({self.outcomes[0].path or self.outcomes[0].grade.session})"
        return f"{self.id} {self.name}".rstrip()

    @cached_property
    def by_case(self) -> Mapping[str, float]:
        """Case -> mark in per cent; of several attempts their mean."""
        marks: dict[str, list[float]] = {}
        for outcome in self.outcomes:
            marks.setdefault(outcome.grade.case, []).append(outcome.grade.total)
        return {case: sum(each) / len(each) for case, each in marks.items()}

    @property
    def mark(self) -> float:
        """The mean mark of the cases, every case with the same weight."""
        return sum(self.by_case.values()) / len(self.by_case)

    @property
    def failed_by_gate(self) -> bool:
        return any(outcome.grade.gates for outcome in self.outcomes)

    @property
    def passed(self) -> bool:
        """Whether the mean reaches the pass mark, and no case was failed by a gate."""
        return not self.failed_by_gate and self.mark >= max(o.grade.pass_mark for o in self.outcomes)


def nameless(candidate: str) -> str:
    """The name of everybody in a report without names."""
    return ""


def people_of(outcomes: Iterable[Outcome], name_of: Callable[[str], str] = nameless) -> tuple[Person, ...]:
    """Who they are by their candidate numbers; a log that names nobody stands alone."""
    found: dict[tuple[str, int], list[Outcome]] = {}
    for place, outcome in enumerate(outcomes):
        key = candidate_key(outcome.grade.candidate[:LONGEST])
        found.setdefault((key, -1 if key else place), []).append(outcome)
    people = [_person(theirs, name_of) for theirs in found.values()]
    return tuple(sorted(people, key=lambda person: (not person.id, _counting(person.id), person.called)))


def _person(theirs: Sequence[Outcome], name_of: Callable[[str], str]) -> Person:
    """The number as it was written first in the alphabet, where it was written in several ways."""
    number = min(one_line(outcome.grade.candidate, LONGEST) for outcome in theirs)
    name = name_of(number) if number else ""
    return Person(number, name, tuple(sorted(theirs, key=_place)))


def _place(outcome: Outcome) -> tuple[str, str, str]:
    return (outcome.grade.case, outcome.begun, outcome.path)


def _counting(candidate: str) -> tuple[int, str]:
    """Numbers in their order, then everything else: 2 before 14."""
    key = candidate_key(candidate)
    return (int(key) if key.isascii() and key.isdigit() else 10**LONGEST, key)


def sessions(people: Sequence[Person]) -> tuple[Outcome, ...]:
    """All outcomes, person by person."""
    return tuple(outcome for person in people for outcome in person.outcomes)
