"""What a step is judged by: the best from a position, what a repair comes to from there, what a reading told.

Everything here follows from model and position alone. Figures are rounded far below what a person would see,
so that they are the same however they were computed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

import numpy as np

from faultiso.belief.movement import moved_bits, moved_words
from faultiso.planning.advice import Action
from faultiso.planning.outlook import Outlook, outlook
from faultiso.planning.repairs import expected_costs
from faultiso.session.state import State

if TYPE_CHECKING:
    from faultiso.session.desk import Desk

DIGITS = 9  # decimals of minutes and probabilities


@dataclass(frozen=True)
class Advised:
    """The best action from a position, and in minutes what the repair order alone would take (``straight``)
    and what each check would save of that."""

    best: Action
    straight: float
    saved: Mapping[str, float]


@dataclass(frozen=True)
class Mending:
    """A repair from a position: P(something that it mends was wrong), and the minutes expected after it."""

    chance: float
    afterwards: float


class Basis(Protocol):
    """Whoever knows what positions are worth: by reasoning, or because it was worked out before."""

    def advised(self, state: State) -> Advised | None:
        """None where the readings contradict each other, or are too much to reason with."""

    def mending(self, state: State, repair: str) -> Mending | None:
        """None where the readings contradict each other, or are too much to reason with."""

    def told(self, before: State, after: State) -> str:
        """How far what was read last moved the chances of the faults: much, some, little, nothing."""


def advised_at(desk: Desk) -> Advised | None:
    """What is advised at a desk."""
    if not desk.can_tell:
        return None
    advice = desk.advice
    best = replace(advice.action, expected_minutes=round(advice.action.expected_minutes, DIGITS))
    saved = {name: round(minutes, DIGITS) for name, minutes in advice.minutes_saved.items()}
    return Advised(best, round(advice.straight_to_repair, DIGITS), saved)


def mending_at(desk: Desk, name: str) -> Mending | None:
    """What a repair comes to from a desk."""
    if not desk.can_tell:
        return None
    view, repair = outlook(desk.belief), desk.model.repairs[name]
    bits = sum(1 << place for place, fault in enumerate(view.faults) if fault in repair.clears)
    touched = (view.masks & np.uint64(bits)) != 0
    fixed = (view.masks != 0) & ((view.masks & ~np.uint64(bits)) == 0)
    afterwards = _afterwards(view, fixed & (repair.fails < 1))
    return Mending(round(float(view.probability[touched].sum()), DIGITS), round(afterwards, DIGITS))


def _afterwards(view: Outlook, fixed: np.ndarray) -> float:
    """Expected minutes of the repair order where the repair did not end it, times the chance of that."""
    left = np.where(fixed, 0.0, view.probability)
    total = float(left[view.masks != 0].sum()) + view.rest
    if total <= 0:
        return 0.0
    wrong = np.where(view.masks != 0, left, 0.0)
    return float(expected_costs(view, (wrong / total)[:, None], np.array([view.rest / total]))[0]) * total


def told_at(before: Desk, after: Desk) -> str:
    """How far what was read last moved the chances of the faults, from one desk to the next."""
    begin, end = after.state.deeds[-1].readings
    if begin == end or not (before.can_tell and after.can_tell):
        return "nothing"
    seen = after.belief.readings  # where all is too much to reason with, the oldest are left out
    first = after.wake().belief(after.belief.timeline, seen[: max(0, len(seen) - (end - begin))])
    return moved_words(moved_bits(first, after.belief))
