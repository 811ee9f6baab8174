"""Several attempts of a person at a case, and attempts that came late: which of them count, by a stated rule.

Works on what little has to be remembered of each log, so that a class is never in memory at once.
"""

from __future__ import annotations

import hashlib
import json
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, time
from typing import Literal

from faultiso.assessment.roster import candidate_key
from faultiso.assessment.submissions import Submission
from faultiso.base.nearest import nearest
from faultiso.base.problems import UsageError
from faultiso.base.text import one_line

Rule = Literal["first", "last", "best", "all"]
RULES: tuple[Rule, ...] = ("first", "last", "best", "all")


@dataclass(frozen=True)
class Attempt:
    """One log of a candidate at a case. ``mark``: per cent, None if there is none (yet).

    ``seals``: of all its lines; by them a copy that is not yet so far is told from another attempt.
    ``course``: a digest of what was done and when, without the candidate number.
    """

    candidate: str
    case: str
    called: str
    begun: datetime | None
    ended: datetime | None
    finished: bool
    seals: tuple[str, ...] = field(repr=False)
    course: str = field(repr=False)
    mark: float | None = None


@dataclass(frozen=True)
class Counted:
    """An attempt and what becomes of it. ``late``: None if its time cannot be read.

    ``why``: a sentence where it does not count, or where an instructor has to look at it first.
    """

    attempt: Attempt
    counts: bool
    late: bool | None = False
    why: str = ""


def attempt_of(submission: Submission, mark: float | None = None) -> Attempt:
    """What is remembered of a submission."""
    return Attempt(
        candidate=submission.candidate,
        case=submission.case.name,
        called=submission.called,
        begun=submission.begun,
        ended=submission.ended,
        finished=submission.finished,
        seals=tuple(entry.own for entry in submission.entries),
        course=_course(submission),
        mark=mark,
    )


def _course(submission: Submission) -> str:
    hasher = hashlib.sha256()
    for entry in submission.entries:
        data = {name: value for name, value in entry.data.items() if name != "candidate"}
        hasher.update(json.dumps([entry.at, entry.event, data], sort_keys=True).encode("ascii"))
    return hasher.hexdigest()


def rule_of(text: str) -> Rule:
    """The rule of that name; UsageError if there is none."""
    for rule in RULES:
        if text.strip().casefold() == rule:
            return rule
    close = nearest(text, RULES)
    raise UsageError(
        f'attempts that count are {", ".join(RULES)}, not "{one_line(text, 40)}"'
        + (f"; nearest: {close}" if close else "")
    )


def until_of(text: str) -> datetime:
    """A moment such as 2026-11-27 17:00, of this machine's zone if none is named; a day alone is its end."""
    bare = text.strip()
    try:
        found = datetime.fromisoformat(bare)
        if len(bare) <= len("2026-11-27"):
            found = datetime.combine(found.date(), time.max)
        return found.astimezone()
    except (ValueError, OverflowError, OSError):
        raise UsageError(f'"{one_line(text, 40)}" is no moment; expected 2026-11-27 17:00.') from None


def counted(
    attempts: Iterable[Attempt], rule: Rule = "all", until: datetime | None = None
) -> tuple[Counted, ...]:
    """What becomes of each attempt, in the given order.

    An attempt that was left unfinished is never chosen while another was finished. A late attempt is marked
    as late and counts as any other: whether it may is for the instructor to say.
    """
    given = list(attempts)
    found = [Counted(attempt, True, _late(attempt, until)) for attempt in given]
    for places in _grouped(given, lambda attempt: attempt.seals[:1]):
        _judge_session(found, places)
    for places in _grouped(given, lambda attempt: (candidate_key(attempt.candidate), attempt.case)):
        _judge_rule(found, places, rule)
    for places in _grouped(given, lambda attempt: attempt.course):
        _judge_copies(found, places)
    return tuple(found)


def _late(attempt: Attempt, until: datetime | None) -> bool | None:
    if until is None:
        return False
    return None if attempt.ended is None else attempt.ended > until


def _grouped(attempts: Sequence[Attempt], key: Callable[[Attempt], Hashable]) -> Iterable[list[int]]:
    """Places of attempts with the same key, where there are several."""
    groups: dict[Hashable, list[int]] = defaultdict(list)
    for place, attempt in enumerate(attempts):
        groups[key(attempt)].append(place)
    return [places for places in groups.values() if len(places) > 1]


def _judge_session(found: list[Counted], places: Sequence[int]) -> None:
    """Logs that begin with the same line: copies of one session that went on differently far, or apart."""
    for at in places:
        attempt = found[at].attempt
        for other in (found[place].attempt for place in places if place != at):
            line = _parts(attempt, other)
            if line > len(attempt.seals):
                found[at] = replace(found[at], counts=False, why=f"an earlier copy of {other.called}.")
                break
            if line <= len(other.seals):
                why = f"parts from {other.called} at line {line}: one session was worked twice."
                found[at] = replace(found[at], why=why)


def _parts(attempt: Attempt, other: Attempt) -> int:
    """The first line in which two logs differ; the line after the last one of the shorter if none does."""
    pairs = zip(attempt.seals, other.seals, strict=False)
    shorter = min(len(attempt.seals), len(other.seals))
    return next((line for line, (ours, theirs) in enumerate(pairs, 1) if ours != theirs), shorter + 1)


def _judge_rule(found: list[Counted], places: Sequence[int], rule: Rule) -> None:
    """Of several attempts the one that the rule chooses; people without a number cannot be told apart."""
    left = [at for at in places if found[at].counts]
    if rule == "all" or len(left) < 2 or not candidate_key(found[left[0]].attempt.candidate):
        return
    best = min(left, key=lambda at: _order(found[at].attempt, rule))
    for at in left:
        if at != best:
            why = f"the {rule} attempt counts: {found[best].attempt.called}."
            found[at] = _noted(replace(found[at], counts=False), why)


def _order(attempt: Attempt, rule: Rule) -> tuple[bool, float, bool, float, str]:
    """The lowest is chosen: finished before unfinished, known times before unknown, then as the rule says."""
    mark = -1.0 if attempt.mark is None else attempt.mark
    when = attempt.begun.timestamp() if attempt.begun else 0.0
    by_mark = -mark if rule == "best" else 0.0
    by_time = -when if rule == "last" else when
    return (not attempt.finished, by_mark, attempt.begun is None, by_time, attempt.called)


def _judge_copies(found: list[Counted], places: Sequence[int]) -> None:
    """Logs of two candidates that are the same to the second, but for the number."""
    for at in places:
        own = candidate_key(found[at].attempt.candidate)
        others = (found[place].attempt for place in places)
        other = next((each for each in others if candidate_key(each.candidate) != own), None)
        if other is not None:
            why = f"the same to the second as {other.called} of candidate {other.candidate or '(no number)'}."
            found[at] = _noted(found[at], why)


def _noted(found: Counted, why: str) -> Counted:
    return replace(found, why=f"{found.why} {why}".strip())
