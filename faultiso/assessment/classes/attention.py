"""What an instructor looks at first: what could not be graded, then what a person has to confirm."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from faultiso.assessment.classes.people import Person, nameless
from faultiso.assessment.classes.teaching import talks
from faultiso.base.figures import capital

#: kinds of what was not graded that somebody has to look into, the gravest first
_GRAVE = ("altered", "torn", "wrong copy", "does not fit")
#: more logs than these of which the same is noted are told together; the JSON document has each
MOST_OF_A_KIND = 3


@dataclass(frozen=True)
class Aside:
    """Something to say of a log apart from its mark: refused, unfinished, late, one of several attempts.

    ``kind`` in a word or two, ``sentence`` says why; ``candidate`` and ``case`` as far as the log tells them.
    ``path``: the log, "" where there is none.
    """

    path: str
    kind: str
    sentence: str
    candidate: str = ""
    case: str = ""


@dataclass(frozen=True)
class First:
    """Something to look at: which log or person, the mark if there is one, why."""

    kind: Literal["no mark", "confirm", "gate", "not passed"]
    who: str
    case: str
    mark: float | None
    why: str


def look_at_first(
    people: Sequence[Person],
    aside: Sequence[Aside],
    noted: Sequence[Aside] = (),
    name_of: Callable[[str], str] = nameless,
) -> tuple[First, ...]:
    """What has no mark, altered logs foremost; disputes and cases beyond the model; notes; low marks."""
    ordered = sorted(aside, key=_gravity)
    return (
        *(First("no mark", _who(each, name_of), each.case, None, each.sentence) for each in ordered),
        *_to_confirm(people),
        *_noted(noted, name_of),
        *_not_passed(people),
    )


def _gravity(each: Aside) -> tuple[int, str]:
    return (_GRAVE.index(each.kind) if each.kind in _GRAVE else len(_GRAVE), each.path)


def _who(each: Aside, name_of: Callable[[str], str]) -> str:
    """The log; where there is none, the person."""
    return each.path or f"{each.candidate} {name_of(each.candidate)}".rstrip()


def _to_confirm(people: Sequence[Person]) -> Iterator[First]:
    for person in people:
        for outcome in person.outcomes:
            grade = outcome.grade
            for reason in grade.attention:
                yield First("confirm", person.called, grade.case, grade.total, f"{capital(reason.sentence)}.")


def _noted(noted: Sequence[Aside], name_of: Callable[[str], str]) -> Iterator[First]:
    """What was noted; the same of many logs is one thing to look at."""
    same: dict[str, list[Aside]] = {}
    for each in noted:
        same.setdefault(each.sentence, []).append(each)
    for sentence, logs in same.items():
        if len(logs) > MOST_OF_A_KIND:
            cases = {each.case for each in logs}
            case = cases.pop() if len(cases) == 1 else f"{len(cases)} cases"
            yield First("confirm", f"{len(logs)} logs", case, None, sentence)
        else:
            yield from (First("confirm", _who(each, name_of), each.case, None, sentence) for each in logs)


def _not_passed(people: Sequence[Person]) -> Iterator[First]:
    for talk in talks(people):
        grade = talk.outcome.grade
        kind: Literal["gate", "not passed"] = "gate" if grade.gates else "not passed"
        what = "Failed by a gate" if grade.gates else capital(talk.about)
        yield First(kind, talk.person.called, grade.case, grade.total, f"{what}: {talk.reason.sentence}.")
