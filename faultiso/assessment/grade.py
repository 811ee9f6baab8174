"""What an assessment comes to: a proposed mark for each criterion, each with the steps that it came from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from faultiso.assessment.verdict import Verdict

CRITERIA = (
    "safety", "evidence", "conclusion", "verification", "record", "economy", "choice", "write_up",
)  # fmt: skip


@dataclass(frozen=True)
class Reason:
    """A sentence that a mark rests on; ``step`` and ``line`` of the log that it came from, 0 for none."""

    sentence: str
    step: int = 0
    line: int = 0


@dataclass(frozen=True)
class Mark:
    """One criterion. ``share``: 0 to 1 of what could be earned, None where nothing could be judged.

    ``scope``: how much of the weight could be earned at all (a mode that asks for no hazards gives no chance
    to name any). ``by_hand``: an instructor marks it.
    """

    criterion: str
    share: float | None
    reasons: tuple[Reason, ...] = ()
    scope: float = 1.0
    by_hand: bool = False


@dataclass(frozen=True)
class Grade:
    """A proposal for one session. ``weights`` per cent by criterion; ``gates``: why the case is failed
    whatever the total; ``attention``: what an instructor sees first (disputes, beyond the model)."""

    case: str
    candidate: str
    session: str
    rubric: str
    marks: tuple[Mark, ...]
    weights: Mapping[str, float]
    pass_mark: float
    verdict: Verdict
    minutes: float
    gates: tuple[Reason, ...] = ()
    attention: tuple[Reason, ...] = ()
    stated: tuple[tuple[float, bool], ...] = field(default=(), repr=False)

    def out_of(self, mark: Mark) -> float:
        """Points that could be earned for it: 0 where nothing could be judged, or it is marked by hand."""
        return 0.0 if mark.share is None else self.weights.get(mark.criterion, 0.0) * mark.scope

    def points(self, mark: Mark) -> float:
        return self.out_of(mark) * (mark.share or 0.0)

    @property
    def earned(self) -> float:
        return sum(self.points(mark) for mark in self.marks)

    @property
    def possible(self) -> float:
        return sum(self.out_of(mark) for mark in self.marks)

    @property
    def total(self) -> float:
        """Per cent of what could be earned, 0 where nothing could."""
        return 100.0 * self.earned / self.possible if self.possible > 0 else 0.0

    @property
    def passed(self) -> bool:
        return not self.gates and self.total >= self.pass_mark

    def mark(self, criterion: str) -> Mark:
        return next(mark for mark in self.marks if mark.criterion == criterion)


def record(grade: Grade) -> dict[str, Any]:
    """The grade for a JSON document."""
    marks = [
        {
            "criterion": mark.criterion,
            "points": None if mark.share is None else round(grade.points(mark), 2),
            "of": round(grade.out_of(mark), 2)
            if mark.share is not None
            else grade.weights.get(mark.criterion),
            "by_hand": mark.by_hand,
            "reasons": [{"sentence": r.sentence, "step": r.step, "line": r.line} for r in mark.reasons],
        }
        for mark in grade.marks
    ]
    return {
        "id": grade.candidate, "case": grade.case, "session": grade.session, "rubric": grade.rubric,
        "mark": round(grade.total, 1), "passed": grade.passed, "proposed": True, "end": grade.verdict.how,
        "right": grade.verdict.right, "minutes": grade.minutes, "marks": marks,
        "gates": [reason.sentence for reason in grade.gates],
        "attention": [reason.sentence for reason in grade.attention],
    }  # fmt: skip
