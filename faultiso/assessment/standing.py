"""What stands of the marks of a session: nothing but the replay of the lines of a file of marks.

A proposal, a change by an instructor, a confirmation, a withdrawal are lines that are added; none is ever
changed. Only what was confirmed and not moved since is a result.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any

from faultiso.assessment.submissions import MARKS_BEGAN
from faultiso.base.problems import FaultisoError
from faultiso.base.text import one_line

# kinds of lines, all but the first with "seal": the last seal of the log that they are about
BEGAN = MARKS_BEGAN  # format, tool, notice
PROPOSED = "proposed"  # receipt, grade: its record; pass_mark; rubric, case and model: digests; because, by
CHANGED = "changed"  # criterion, old, new, proposed, of, because, by
CONFIRMED = "confirmed"  # by
WITHDRAWN = "withdrawn"  # because, by

#: what a proposal was made with, by its digest
DIGESTS = ("rubric", "case", "model")
FORMAT = 1
#: what can be changed beside the criteria: how many gates stand, and only to none
GATES = "gates"


class MarksError(FaultisoError):
    """A file of marks that cannot be used; the text names the file and the line."""


@dataclass(frozen=True)
class Change:
    """What an instructor set. ``old``: what stood before; ``proposed`` and ``out_of``: what was proposed when
    it was set, of how much; ``line`` of the file."""

    criterion: str
    old: float | None
    new: float
    proposed: float | None
    out_of: float
    because: str
    by: str
    at: str
    line: int


@dataclass(frozen=True)
class Act:
    """Who did something, when and why."""

    by: str
    at: str
    line: int
    because: str = ""


@dataclass(frozen=True)
class Points:
    """One criterion as it stands. ``points``: None where nothing is judged; ``change``: what set it, if any.

    ``moved``: it was set by hand when another number of points was proposed than now.
    """

    criterion: str
    points: float | None
    out_of: float
    proposed: float | None
    reasons: tuple[str, ...] = ()
    by_hand: bool = False
    change: Change | None = None
    moved: bool = False


@dataclass(frozen=True)
class Standing:
    """The marks of one session. ``grade``: the record of the last proposal; ``proposals``: all of them.

    ``confirmed``: only while nothing moved after it. ``confirmations``: all there ever were.
    """

    seal: str
    receipt: str
    grade: Mapping[str, Any]
    pass_mark: float
    digests: Mapping[str, str]
    proposals: tuple[Mapping[str, Any], ...]
    line: int
    changes: tuple[Change, ...] = ()
    confirmed: Act | None = None
    confirmations: tuple[Act, ...] = ()
    withdrawn: Act | None = None

    @property
    def candidate(self) -> str:
        return str(self.grade["id"])

    @property
    def case(self) -> str:
        return str(self.grade["case"])

    @property
    def called(self) -> str:
        """The session as people are told of it; the name of a file might be somebody's name."""
        return one_line(f"{self.candidate or '(no number)'}, {self.case}, {self.receipt}")

    @property
    def is_result(self) -> bool:
        return self.confirmed is not None and self.withdrawn is None

    @property
    def attention(self) -> tuple[str, ...]:
        """What has to be looked at before it is confirmed."""
        moved = tuple(_moved_words(points) for points in self.points if points.moved)
        return (*map(str, self.grade["attention"]), *moved)

    @property
    def gates(self) -> tuple[str, ...]:
        """Why it is failed whatever the points, unless an instructor lifted that."""
        lifted = self.change_of(GATES) is not None
        return () if lifted else tuple(map(str, self.grade["gates"]))

    @property
    def points(self) -> tuple[Points, ...]:
        return tuple(_points(mark, self.change_of(str(mark["criterion"]))) for mark in self.grade["marks"])

    @property
    def mark(self) -> float:
        """Per cent of what could be earned, with what was set by hand."""
        if all(points.change is None for points in self.points):
            return float(self.grade["mark"])
        judged = [points for points in self.points if points.points is not None]
        possible = sum(points.out_of for points in judged)
        earned = sum(points.points or 0.0 for points in judged)
        return round(100.0 * earned / possible, 1) if possible > 0 else 0.0

    @property
    def passed(self) -> bool:
        return not self.gates and self.mark >= self.pass_mark

    @property
    def state(self) -> str:
        """One word for a table."""
        if self.withdrawn is not None:
            return "withdrawn"
        return "confirmed" if self.confirmed else "proposed"

    def change_of(self, criterion: str) -> Change | None:
        """What stands of the changes of a criterion: the last one, while as much can be earned as then."""
        last = next((each for each in reversed(self.changes) if each.criterion == criterion), None)
        if last is None:
            return None
        if criterion == GATES:
            return last if last.proposed == len(self.grade["gates"]) else None
        out_of = (number(m["of"]) for m in self.grade["marks"] if m["criterion"] == criterion)
        return last if next(out_of, None) == last.out_of else None


def _points(mark: Mapping[str, Any], change: Change | None) -> Points:
    proposed = None if mark["points"] is None else number(mark["points"])
    return Points(
        criterion=str(mark["criterion"]),
        points=proposed if change is None else change.new,
        out_of=number(mark["of"]),
        proposed=proposed,
        reasons=tuple(_reason(reason) for reason in mark["reasons"]),
        by_hand=bool(mark["by_hand"]),
        change=change,
        moved=change is not None and change.proposed != proposed,
    )


def _reason(reason: Mapping[str, Any]) -> str:
    places = [f"{name} {reason[name]}" for name in ("step", "line") if reason.get(name)]
    return f"{reason['sentence']} ({', '.join(places)})" if places else str(reason["sentence"])


def _moved_words(points: Points) -> str:
    """Of a change that was made against another proposal."""
    then = figure(points.change.proposed if points.change else None)
    set_ = f"{points.criterion}: {figure(points.points)} was set by hand when {then} was proposed"
    return f"{set_}; now {figure(points.proposed)} is."


def figure(value: float | None) -> str:
    """Points in words."""
    return "nothing" if value is None else f"{value:g}"


def number(value: Any) -> float:
    """A number of a line; ValueError if it is none."""
    if isinstance(value, bool) or not isinstance(value, int | float) or not isfinite(value):
        raise ValueError(f"{value!r} is no number")
    return float(value)
