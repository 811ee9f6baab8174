"""Feedback for one person: what was good, the one thing to change next, then the detail."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from faultiso.assessment.grade import Grade, Mark, Reason

TITLES = {
    "safety": "safety and restoring",
    "evidence": "evidence before removal",
    "conclusion": "conclusion",
    "verification": "verification",
    "record": "data and record",
    "economy": "economy",
    "choice": "choice of checks",
    "write_up": "write-up",
}
_GOOD = {
    "safety": "You named what can hurt you before each step, and put everything back.",
    "evidence": "Nothing came off before the evidence was there.",
    "conclusion": "You came to the right end.",
    "verification": "You proved the repair where the complaint was seen.",
    "record": "You named the approved data before the work.",
    "economy": "Your way was about as short as any.",
    "choice": "Each check could tell you something.",
}
RESTORED = "You put everything back."
FULL = 0.95  # share from which something was good
LEAST_LOST = 0.05  # points that count as lost


@dataclass(frozen=True)
class Feedback:
    """``change``: the criterion that lost most points, with its first reason; None if nothing lost any."""

    good: tuple[str, ...]
    change: tuple[str, Reason] | None
    detail: tuple[tuple[str, Reason], ...]


def feedback(grade: Grade) -> Feedback:
    """What to tell the person whose session it was."""
    full = [mark for mark in grade.marks if mark.share is not None and mark.share >= FULL]
    lost = sorted(grade.marks, key=lambda mark: grade.points(mark) - grade.out_of(mark))
    worst = next((mark for mark in lost if mark.reasons and _lost(grade, mark) > LEAST_LOST), None)
    change = (TITLES[worst.criterion], worst.reasons[0]) if worst else None
    if grade.gates:
        change = (TITLES["safety"], grade.gates[0])
    return Feedback(tuple(_good(mark) for mark in full), change, tuple(_detail(grade)))


def _good(mark: Mark) -> str:
    """Where no hazards were asked for, only the restoring can be praised."""
    return RESTORED if mark.criterion == "safety" and mark.scope < 1 else _GOOD[mark.criterion]


def _lost(grade: Grade, mark: Mark) -> float:
    return grade.out_of(mark) - grade.points(mark)


def _detail(grade: Grade) -> Iterator[tuple[str, Reason]]:
    for mark in grade.marks:
        for reason in mark.reasons:
            if mark.share is not None and not mark.by_hand:
                yield TITLES[mark.criterion], reason


def points_words(grade: Grade, mark: Mark) -> str:
    """ "20 of 25", "by hand", "left out"."""
    if mark.by_hand:
        return f"by hand, {grade.weights.get(mark.criterion, 0):g}"
    if mark.share is None:
        return "left out"
    return f"{tenths(grade.points(mark))} of {tenths(grade.out_of(mark))}"


def tenths(points: float) -> str:
    """Points to a tenth, so that what is added up by hand comes to the same: "22.4", "20"."""
    return f"{points:.1f}".removesuffix(".0")
