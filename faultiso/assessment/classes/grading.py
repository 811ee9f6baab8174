"""From what was handed in to outcomes: each log judged once, by rules for several attempts and late ones."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from faultiso.assessment.attempts import Attempt, Counted, Rule, counted
from faultiso.assessment.classes.attention import Aside
from faultiso.assessment.classes.judging import Judged, copy_of, judged
from faultiso.assessment.memory import Memory
from faultiso.assessment.outcome import Outcome
from faultiso.assessment.receipts import HandedIn, Noted, compared
from faultiso.assessment.roster import Roster, candidate_key
from faultiso.assessment.rubric import Rubric
from faultiso.assessment.submissions import Refused, Submission
from faultiso.base.notice import Subject

#: kinds of what was not graded that are no trouble with a file
SETTLED = ("unfinished", "second copy", "does not count", "withdrawn")
Tell = Callable[[int], None]


@dataclass(frozen=True)
class Terms:
    """``keep``: which of several attempts counts; ``until``: when logs had to be ended; ``receipts`` and
    ``roster``: what was handed in or is known apart from the logs, None where that is not looked at."""

    rubric: Rubric
    keep: Rule = "all"
    until: datetime | None = None
    receipts: tuple[Noted, ...] | None = None
    roster: Roster | None = None


@dataclass(frozen=True)
class Graded:
    """``outcomes`` of what counts; ``aside``: logs without a mark; ``noted``: what else there is to say of
    logs; ``subject``: of the systems, where it is the same for all."""

    outcomes: tuple[Outcome, ...]
    aside: tuple[Aside, ...]
    noted: tuple[Aside, ...] = ()
    subject: Subject = ""

    @property
    def all_judged(self) -> bool:
        """Whether no file was left that could not be judged."""
        return all(each.kind in SETTLED for each in self.aside)


class _Class:
    """What is remembered while logs are judged one after the other."""

    def __init__(self, terms: Terms) -> None:
        self.terms = terms
        self.judged: list[tuple[Attempt, Outcome]] = []
        self.aside: list[Aside] = []
        self.noted: list[Aside] = []
        self.logs: list[HandedIn] = []
        self.subjects: set[Subject] = set()
        self._first: dict[str, str] = {}

    def take(self, each: Judged) -> None:
        if each.seal in self._first:
            each = copy_of(self._first[each.seal], each)
        elif each.seal:
            self._first[each.seal] = each.handed_in.called
        self.logs.append(each.handed_in)
        if each.subject:
            self.subjects.add(each.subject)
        if each.aside:
            self.aside.append(each.aside)
        self.noted += each.noted
        if each.attempt and each.outcome:
            self.judged.append((each.attempt, each.outcome))

    def result(self) -> Graded:
        """What counts, after the rule for several attempts."""
        outcomes = []
        found = counted([attempt for attempt, _ in self.judged], self.terms.keep, self.terms.until)
        for each, (_, result) in zip(found, self.judged, strict=True):
            if each.counts:
                outcomes.append(result)
                self.noted += _remarks(each)
            else:
                self.aside.append(_of_attempt(each.attempt, "does not count", each.why))
        self.noted += (*self._receipts(), *self._nothing_from())
        subject: Subject = next(iter(self.subjects)) if len(self.subjects) == 1 else ""
        return Graded(tuple(outcomes), tuple(self.aside), tuple(self.noted), subject)

    def _receipts(self) -> Iterator[Aside]:
        if self.terms.receipts is None:
            return
        for each in compared(self.terms.receipts, self.logs):
            if each.kind != "same":
                yield Aside("", f"receipt: {each.kind}", each.sentence, each.candidate)

    def _nothing_from(self) -> Iterator[Aside]:
        """People of the roster from whom there is no log."""
        if self.terms.roster is None:
            return
        there = {candidate_key(log.candidate) for log in self.logs}
        for key, person in self.terms.roster.people.items():
            if key not in there:
                yield Aside("", "nothing handed in", "nothing was handed in.", person.candidate)


def graded(found: Iterable[Submission | Refused], terms: Terms, tell: Tell | None = None) -> Graded:
    """Judge what was handed in; ``tell`` hears how many logs were read. One log is in memory at a time."""
    memory = Memory()
    return class_of((judged(each, terms.rubric, memory) for each in found), terms, tell)


def class_of(found: Iterable[Judged], terms: Terms, tell: Tell | None = None) -> Graded:
    """The class of logs that were judged, in the order in which they were handed in."""
    judging = _Class(terms)
    for number, each in enumerate(found, 1):
        judging.take(each)
        if tell:
            tell(number)
    return judging.result()


def _of_attempt(attempt: Attempt, kind: str, sentence: str) -> Aside:
    return Aside(attempt.called, kind, sentence, attempt.candidate, attempt.case)


def _remarks(each: Counted) -> Iterator[Aside]:
    if each.late:
        yield _of_attempt(each.attempt, "late", f"ended late, at {each.attempt.ended:%Y-%m-%d %H:%M}.")
    if each.late is None:
        yield _of_attempt(
            each.attempt, "late", "when it was ended cannot be read: late or not is yours to say."
        )
    if each.why:
        yield _of_attempt(each.attempt, "attempts", each.why)


def without_files(result: Graded) -> Graded:
    """The same with logs called by numbers: files are often named after people."""
    logs = {each.path for each in result.outcomes} | {each.path for each in (*result.aside, *result.noted)}
    called = {path: f"log {number}" for number, path in enumerate(sorted(logs - {""}), 1)}
    return replace(
        result,
        outcomes=tuple(replace(each, path=called.get(each.path, "")) for each in result.outcomes),
        aside=tuple(_unnamed(result.aside, called)),
        noted=tuple(_unnamed(result.noted, called)),
    )


def _unnamed(found: Sequence[Aside], called: dict[str, str]) -> Iterator[Aside]:
    longest = sorted(called, key=len, reverse=True)
    for each in found:
        sentence = each.sentence
        for path in longest:
            sentence = sentence.replace(path, called[path])
        yield replace(each, path=called.get(each.path, ""), sentence=sentence)
