"""What to teach next, and whom to talk to: from what the sessions of a class have in common."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from faultiso.assessment.classes.findings import Often, missed_precautions, silent_looks, wasted_checks
from faultiso.assessment.classes.people import Person
from faultiso.assessment.feedback import feedback
from faultiso.assessment.grade import CRITERIA, Reason
from faultiso.assessment.outcome import Outcome
from faultiso.base.figures import minutes_words

HALF = 0.5  # a criterion of which somebody earned less than this share
LEAST_TOGETHER = 2  # people from which something is taught to all rather than said to one
_LESSONS = {
    "evidence": ("Evidence before removal", "took a unit off before the evidence was there"),
    "conclusion": ("Coming to the right end", "came to another end than the right one"),
    "verification": ("Proving the repair", "did not prove it in the conditions of the complaint"),
    "record": ("Data and record", "did not name the approved data before the work"),
    "safety": ("Hazards and restoring", "left out hazards, or left something not restored"),
}


@dataclass(frozen=True)
class Lesson:
    """Something to teach: ``people`` of ``of`` did it; ``sentence`` says it with its figures."""

    about: str
    people: int
    of: int
    sentence: str

    def __str__(self) -> str:
        return f"{self.about}. {self.people} of {self.of} {self.sentence}"


@dataclass(frozen=True)
class Talk:
    """Someone to talk to: the session, the criterion it is about, the reason as the person is told it."""

    person: Person
    outcome: Outcome
    about: str
    reason: Reason


def lessons(people: Sequence[Person]) -> tuple[Lesson, ...]:
    """What to teach, the best first: critical precautions, then what most people have in common."""
    found = list(_lessons(people))
    first = [lesson for lesson in found if lesson.about == CRITICAL]
    others = [lesson for lesson in found if lesson.about != CRITICAL]
    return (*first, *sorted(others, key=lambda lesson: -lesson.people))


CRITICAL = "Critical precautions"


def _lessons(people: Sequence[Person]) -> Iterator[Lesson]:
    yield from _of_precautions(people)
    yield from _of_silence(people)
    yield from _of_checks(people)
    for criterion, (about, sentence) in _LESSONS.items():
        weak = sum(_is_weak(person, criterion) for person in people)
        if weak >= LEAST_TOGETHER:
            yield Lesson(about, weak, len(people), f"{sentence}.")


def _of_precautions(people: Sequence[Person]) -> Iterator[Lesson]:
    missed = [each for each in missed_precautions(people) if each.critical]
    who = _having(people, lambda outcome: any(critical for _, critical in outcome.missed))
    if missed and who >= LEAST_TOGETHER:
        most = _most(missed)
        yield Lesson(CRITICAL, who, len(people), f"did not name one before the step; most often: {most}.")


def _of_silence(people: Sequence[Person]) -> Iterator[Lesson]:
    who = _having(people, lambda outcome: bool(outcome.silent))
    if who >= LEAST_TOGETHER:
        looks = silent_looks(people)
        cost = _cost(sum(each.minutes for each in looks), who)
        sentence = f"looked for news where a sign could show nothing else{cost}; most often: {_most(looks)}."
        yield Lesson("Inhibited and silent signs", who, len(people), sentence)


def _of_checks(people: Sequence[Person]) -> Iterator[Lesson]:
    """Checks that took minutes and could not tell anything, signs that were silent left out."""
    silent = {each.title for each in silent_looks(people)}
    lost = [each for each in wasted_checks(people) if each.minutes > 0 and each.title not in silent]
    titles = {each.title for each in lost}
    who = _having(people, lambda outcome: any(finding.title in titles for finding in outcome.wasted))
    if who >= LEAST_TOGETHER:
        cost = _cost(sum(each.minutes for each in lost), who)
        sentence = f"made checks of which every likely cause shows the same{cost}; most often: {_most(lost)}."
        yield Lesson("Choice of checks", who, len(people), sentence)


def _cost(minutes: float, people: int) -> str:
    """ ", 14 min each"; "" where it cost nothing."""
    each = minutes / people
    return f", {minutes_words(each)} each on average" if each >= HALF else ""


def _most(found: Sequence[Often]) -> str:
    top = max(found, key=lambda each: (each.people, each.minutes))
    return f"{top.title} ({top.people})"


def _having(people: Sequence[Person], what: Callable[[Outcome], bool]) -> int:
    return sum(any(what(outcome) for outcome in person.outcomes) for person in people)


def _is_weak(person: Person, criterion: str) -> bool:
    shares = [o.grade.mark(criterion).share for o in person.outcomes if _was_judged(o, criterion)]
    known = [share for share in shares if share is not None]
    return bool(known) and sum(known) / len(known) < HALF


def _was_judged(outcome: Outcome, criterion: str) -> bool:
    return any(mark.criterion == criterion and not mark.by_hand for mark in outcome.grade.marks)


def talks(people: Sequence[Person]) -> tuple[Talk, ...]:
    """Each case that somebody did not pass, gates first, then the lowest mark, and what to talk about."""
    found = []
    for person in people:
        for outcome in person.outcomes:
            if not outcome.grade.passed:
                about, reason = feedback(outcome.grade).change or (
                    "the whole",
                    Reason("no one step stands out"),
                )
                found.append(Talk(person, outcome, about, reason))
    return tuple(sorted(found, key=lambda t: (not t.outcome.grade.gates, t.outcome.grade.total)))


def lost_points(people: Sequence[Person]) -> tuple[tuple[str, float, float], ...]:
    """(criterion, mean points lost, mean points that could be earned), most lost first."""
    outcomes = [outcome for person in people for outcome in person.outcomes]
    found = []
    for criterion in CRITERIA:
        grades = [o.grade for o in outcomes if _was_judged(o, criterion)]
        marks = [(g.points(g.mark(criterion)), g.out_of(g.mark(criterion))) for g in grades]
        judged = [(earned, of) for earned, of in marks if of > 0]
        if judged:
            lost = sum(of - earned for earned, of in judged) / len(judged)
            found.append((criterion, lost, sum(of for _, of in judged) / len(judged)))
    return tuple(sorted(found, key=lambda row: -row[1]))
