"""What was handed in for grading: finished and unfinished practice logs with their cases, and refusals.

Whatever is found below the paths comes out once, as a ``Submission`` or as a ``Refused`` with a sentence:
nothing is dropped in silence. One log is in memory at a time; models and cases are read once for each digest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from math import isfinite
from pathlib import Path
from typing import Any, Literal

from faultiso.assessment.copies import Copies, NoCopy
from faultiso.assessment.gathering import Found, NotRead, gathered
from faultiso.assessment.passages import Passage, passages
from faultiso.base.journal import Entry, Finding, examined, receipt_of
from faultiso.base.problems import FaultisoError
from faultiso.base.text import one_line
from faultiso.casebook.case import Case
from faultiso.casebook.packs.key import Key
from faultiso.model.system import Model
from faultiso.session.desk import events_of
from faultiso.session.events import BEGAN, Event
from faultiso.session.home import Home
from faultiso.session.state import State

Kind = Literal[
    "unreadable",  # no file, no zip file as it should be, too large
    "not a log",
    "altered",  # lines were changed, removed, moved
    "torn",  # the last line is not whole
    "not practice",  # a log of something else
    "no copy",  # model, case or pack is not there
    "wrong copy",  # it is there, and is not the one that the session was begun with
    "sealed",  # the key is missing, or does not open it
    "does not fit",  # the log is whole, and makes no sense for this model
    "second copy",
    "not judged",  # the process that judged it ended
]
#: first events of files of ours that lie beside logs and are no logs of sessions
MARKS_BEGAN = "marks began"
#: kinds of trouble of whole logs of a practice: of these there may be copies
COPIED: tuple[Kind, ...] = ("no copy", "wrong copy", "sealed", "does not fit")
_LONGEST_CANDIDATE = 40
#: what a replay raises on events that were made by hand
_SENSELESS = (
    FaultisoError, LookupError, TypeError, ValueError, AttributeError, AssertionError, ArithmeticError,
    RecursionError,
)  # fmt: skip


@dataclass(frozen=True)
class Submission:
    """One practice log that can be graded. ``inside``: its name in the zip file ``path``, "" for a file.

    ``brought``: a copy of its case or model came with the log alone; whoever made the log may have made it.
    """

    path: Path
    inside: str
    entries: tuple[Entry, ...] = field(repr=False)
    case: Case
    model: Model = field(repr=False)
    state: State = field(repr=False)
    done: tuple[Passage, ...] = field(repr=False)
    brought: bool = False

    @property
    def events(self) -> list[tuple[int, Event]]:
        """What ``replay`` takes: the lines by their numbers."""
        return events_of(list(self.entries))

    @property
    def called(self) -> str:
        """The file as people are told of it."""
        return called(self.path, self.inside)

    @property
    def candidate(self) -> str:
        return candidate_of(self.entries[0].data)

    @property
    def mode(self) -> str:
        return _word(self.entries[0].data, "mode")

    @property
    def seal(self) -> str:
        """The last seal of the log: by it marks know what they are marks of."""
        return self.entries[-1].own

    @property
    def session(self) -> str:
        """The first seal of the log: the same in every copy of a session, however far it has gone."""
        return self.entries[0].own

    @property
    def receipt(self) -> str:
        return receipt_of(self.seal)

    @property
    def finished(self) -> bool:
        return self.state.end is not None

    @property
    def begun(self) -> datetime | None:
        """By the clock of the machine it was worked on; None if that is not a time."""
        return _time(self.entries[0])

    @property
    def ended(self) -> datetime | None:
        """When its last line was written, whether or not it was finished by then."""
        return _time(self.entries[-1])

    @property
    def unfinished(self) -> str:
        """How far it had gone, in words, if it was not ended; else ""."""
        return "" if self.finished else f"unfinished at {self.state.minutes:.0f} min"


@dataclass(frozen=True)
class Refused:
    """Something that is not graded: which file, what kind of trouble, and a sentence that says it.

    ``line``: of the log, 0 if it is about all of it. ``candidate``, ``case`` and ``seal``: what the log says
    of itself, as far as that can be read; nothing vouches for it.
    """

    path: Path
    kind: Kind
    sentence: str
    inside: str = ""
    line: int = 0
    candidate: str = ""
    case: str = ""
    seal: str = ""

    @property
    def called(self) -> str:
        return called(self.path, self.inside)

    def __str__(self) -> str:
        return f"{self.called}: {self.sentence}"


def called(path: Path, inside: str = "") -> str:
    """A log's file as people are told of it, safe to show."""
    return one_line(f"{path.name} ({inside})" if inside else path.name)


def candidate_of(began: Mapping[str, Any]) -> str:
    """The candidate number that a first line tells: a few characters, safe to show; "" if there is none."""
    return one_line(_word(began, "candidate"), _LONGEST_CANDIDATE)


def submissions(
    paths: Iterable[Path], key: Key | None = None, place: Home | None = None
) -> Iterator[Submission | Refused]:
    """All that was handed in below the paths: folders, ``.jsonl`` logs and zip files, in any mix.

    ``key`` opens sealed packs; ``place``: the home folder, by default this user's. Order: as the paths are
    named, folders alphabetically. Of two copies of a log the second is refused.
    """
    copies = Copies(key, place)
    first: dict[str, str] = {}
    for found in gathered(paths):
        each = submission_of(found, copies)
        if each is None:
            continue
        if _may_be_a_copy(each) and each.seal in first:
            yield _refused_copy(each, first[each.seal])
            continue
        if _may_be_a_copy(each):
            first[each.seal] = each.called
        yield each


def submission_of(found: Found | NotRead, copies: Copies) -> Submission | Refused | None:
    """One file, wherever else there are copies of it; None for a file of marks that lies among the logs."""
    if isinstance(found, NotRead):
        return Refused(found.path, "unreadable", found.sentence, found.inside)
    entries, findings = examined(found.content)
    if not entries:
        return _refused(found, entries, "not a log", "this is not the log of a session.")
    if findings:
        return _tampered(found, entries, findings)
    if entries[0].event == MARKS_BEGAN and not found.named:
        return None
    if entries[0].event != BEGAN or entries[0].data.get("kind") != "practice":
        return _refused(found, entries, "not practice", "this is no log of a practice on a case.")
    return _with_case(found, entries, copies)


def second_copy(first: str) -> str:
    """The sentence on a second copy of the log that is called so."""
    return f"a second copy of {first}."


def _may_be_a_copy(each: Submission | Refused) -> bool:
    """Whether it is a whole log of a practice."""
    return isinstance(each, Submission) or each.kind in COPIED


def _refused_copy(each: Submission | Refused, first: str) -> Refused:
    case = each.case if isinstance(each, Refused) else one_line(_word(each.entries[0].data, "case"), 60)
    told = (each.candidate, case, each.seal)
    return Refused(each.path, "second copy", second_copy(first), each.inside, 0, *told)


def _with_case(found: Found, entries: tuple[Entry, ...], copies: Copies) -> Submission | Refused:
    try:
        held = copies.held(entries[0].data, found.beside)
        done, state = _replayed(held.model, entries)
    except NoCopy as error:
        return _refused(found, entries, error.kind, str(error))
    except DoesNotFit as error:
        return _refused(found, entries, "does not fit", str(error))
    return Submission(found.path, found.inside, entries, held.case, held.model, state, done, held.brought)


def with_case(submission: Submission, case: Case, model: Model) -> Submission | Refused:
    """The same log with another version of its case and model, say a corrected one."""
    try:
        done, state = _replayed(model, submission.entries)
    except DoesNotFit as error:
        path, inside, seal = submission.path, submission.inside, submission.seal
        return Refused(path, "does not fit", str(error), inside, 0, submission.candidate, case.name, seal)
    return replace(submission, case=case, model=model, state=state, done=done, brought=False)


class DoesNotFit(FaultisoError):
    """A log and a model that do not belong together."""


def _replayed(model: Model, entries: tuple[Entry, ...]) -> tuple[tuple[Passage, ...], State]:
    """What was done in a log, and the state at its end; DoesNotFit, whatever somebody wrote into it."""
    try:
        done, state = passages(model, events_of(list(entries)))
        _judge_state(state)
    except _SENSELESS as error:
        told = one_line(str(error)) or "it makes no sense"
        raise DoesNotFit(f"the log does not fit its model: {told}") from None
    return done, state


def _judge_state(state: State) -> None:
    """What a replay lets pass. ValueError, in words."""
    conditions = state.model.conditions
    if not isfinite(state.minutes) or state.minutes < 0:
        raise ValueError("its minutes are no number")
    for moment in state.course.timeline.moments:
        if set(moment.conditions) != set(conditions):
            raise ValueError("it has other conditions")
        if any(value not in conditions[name].values for name, value in moment.conditions.items()):
            raise ValueError("a condition has a value that it cannot have")


def _tampered(found: Found, entries: tuple[Entry, ...], findings: tuple[Finding, ...]) -> Refused:
    """The first line that is wrong, and how many more there are."""
    first = findings[0]
    more = f"; {len(findings) - 1} more" if len(findings) > 1 else ""
    kind: Kind = "torn" if all("is torn" in finding.sentence for finding in findings) else "altered"
    return _refused(found, entries, kind, f"{first.sentence}{more}; not graded.", first.line)


def _refused(found: Found, entries: tuple[Entry, ...], kind: Any, sentence: str, line: int = 0) -> Refused:
    began = entries[0].data if entries and isinstance(entries[0].data, dict) else {}
    case = one_line(_word(began, "case"), 60)
    seal = entries[-1].own if entries and kind != "altered" else ""
    return Refused(found.path, kind, sentence, found.inside, line, candidate_of(began), case, seal)


def _word(began: Mapping[str, Any], name: str) -> str:
    value = began.get(name)
    return value if isinstance(value, str) else ""


def _time(entry: Entry) -> datetime | None:
    """Times without a zone are those of this machine."""
    try:
        return datetime.fromisoformat(entry.at).astimezone()
    except (ValueError, OverflowError, OSError):
        return None
