"""What one step was worth: minutes to a verified fix by it, against the best that could be done from there.

All is judged by what was known before the step. A check costs at most its own minutes: whatever it shows, the
best action is still there afterwards.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from faultiso.base.figures import minutes_words
from faultiso.belief.explain import silence
from faultiso.belief.movement import moved_bits, moved_words
from faultiso.model.dependence import dependences
from faultiso.model.effort import effort
from faultiso.model.silence import Silence, hushed
from faultiso.planning.advice import Action, Advice, is_close
from faultiso.planning.outlook import SERVICEABLE_MINUTES, Outlook, outlook
from faultiso.planning.repairs import expected_costs
from faultiso.session.state import Deed

if TYPE_CHECKING:
    from faultiso.session.desk import Desk

LEAST_LOSS = 0.5  # minutes that count as a loss at all
READING = ("check", "look")


@dataclass(frozen=True)
class Worth:
    """``expected``: minutes from before the step to a verified fix if it begins so, on average; None where a
    step is not judged. ``best``: what would have been best, None where nothing could be advised. ``told``:
    much, some, little, nothing, or "" where nothing was read. ``silent``: why a sign could show nothing else.
    ``chance``: of a repair, the probability that something it mends was wrong."""

    minutes: float
    expected: float | None
    best: Action | None
    told: str = ""
    silent: Silence | None = None
    chance: float | None = None

    @property
    def loss(self) -> float:
        """Minutes more than the best way from there, on average."""
        if self.expected is None or self.best is None:
            return 0.0
        return max(0.0, self.expected - self.best.expected_minutes)

    @property
    def as_good(self) -> bool:
        """Whether it was as good as the best, or so near that they are equally good."""
        if self.expected is None or self.best is None or self.loss < LEAST_LOSS:
            return True
        return is_close(self.best.expected_minutes, self.expected)


def action_words(action: Action) -> str:
    """ "look at pump 1 caution", "test gauge, 25 min"."""
    title = f"look at {action.title}" if action.kind == "look" else action.title
    return f"{title}, {minutes_words(action.minutes)}" if action.minutes else title


def worth(before: Desk, after: Desk, deed: Deed) -> Worth:
    """The worth of what was done last at ``after``, judged from how things stood at ``before``."""
    advice = _advice(before)
    if deed.what == "repair":
        return _of_repair(before, advice, deed)
    if deed.what in READING:
        return _of_reading(before, after, advice, deed)
    return Worth(deed.minutes, None, advice.action if advice else None)


def _advice(before: Desk) -> Advice | None:
    """What was advised; None without any, and where something was repaired and nothing wrong is left.

    Then the work is to be proved, what is latched to be reset, and all to be closed; none of this is advised.
    """
    if not before.belief.possible:
        return None
    repaired = before.state.last_repair is not None
    return None if repaired and before.advice.action.kind == "no fault found" else before.advice


def _of_reading(before: Desk, after: Desk, advice: Advice | None, deed: Deed) -> Worth:
    conditions = after.state.course.conditions
    silent = silence(after.model, deed.name, conditions) if deed.what == "look" else None
    told = "nothing" if silent else _told(before, after, deed)
    if silent is None and told == "nothing" and deed.what == "look":
        silent = _hushed(after, deed.name, conditions)
    if advice is None:
        return Worth(deed.minutes, None, None, told, silent)
    best = advice.action
    minutes = best.expected_minutes + deed.minutes
    if deed.name in advice.minutes_saved:
        minutes = min(minutes, advice.straight_to_repair - advice.minutes_saved[deed.name])
    if _on_the_way(before, best, deed) or _witness(before, best, deed):
        minutes = best.expected_minutes
    return Worth(deed.minutes, max(minutes, best.expected_minutes), best, told, silent)


def _hushed(after: Desk, name: str, conditions: Mapping[str, str]) -> Silence | None:
    """A sign that these conditions keep quiet by what they bring about: no sound of a motor that is off."""
    found = hushed(after.model, name, conditions)
    shown = after.state.readings[-1].outcome if after.state.readings else ""
    return found if found is not None and shown == found.outcome else None


def _on_the_way(before: Desk, best: Action, deed: Deed) -> bool:
    """What was advised itself, or a free look where everything was to be looked at."""
    if best.name == deed.name:
        return True
    if best.kind == "read again":
        return True
    if best.kind != "change of conditions" or deed.what != "look":
        return False
    wanted = before.model.situations[best.name].values
    now = before.state.course.conditions
    return all(now[name] == value for name, value in wanted.items())


def _witness(before: Desk, best: Action, deed: Deed) -> bool:
    """A second, independent witness before a unit comes off, the first one of its kind: never a waste."""
    if best.kind != "repair" or deed.what != "check":
        return False
    mended = set(before.model.repairs[best.name].clears)
    feels = dependences(before.model)
    earlier = [d.name for d in before.state.deeds if d.what == "check" and mended & set(feels[d.name].faults)]
    return bool(mended & set(feels[deed.name].faults)) and not earlier


def _told(before: Desk, after: Desk, deed: Deed) -> str:
    """How far the reading moved the chances of the faults."""
    count = deed.readings
    if count[0] == count[1] or not (before.belief.possible and after.belief.possible):
        return "nothing"
    first = after.wake().belief(after.belief.timeline, after.state.readings[: count[0]])
    return moved_words(moved_bits(first, after.belief))


def _of_repair(before: Desk, advice: Advice | None, deed: Deed) -> Worth:
    if not before.belief.possible:
        return Worth(deed.minutes, None, None)
    belief, repair = before.belief, before.model.repairs[deed.name]
    view = outlook(belief)
    bits = sum(1 << place for place, name in enumerate(view.faults) if name in repair.clears)
    touched = (view.masks & np.uint64(bits)) != 0
    fixed = (view.masks != 0) & ((view.masks & ~np.uint64(bits)) == 0)
    chance = float(view.probability[touched].sum())
    known = chance if repair.clears else None  # a service mends nothing: no unit was suspected
    if advice is None:
        return Worth(deed.minutes, None, None, chance=known)
    taken = effort(before.model, repair.work, belief.standing)
    minutes = (taken.minutes if taken else deed.minutes) + repair.verification.minutes
    price = minutes + (1.0 - chance) * SERVICEABLE_MINUTES * bool(repair.component and repair.clears)
    expected = price + _afterwards(view, fixed & (repair.fails < 1))
    cap = advice.action.expected_minutes + price
    best = advice.action
    return Worth(deed.minutes, max(min(expected, cap), best.expected_minutes), best, chance=known)


def _afterwards(view: Outlook, fixed: np.ndarray) -> float:
    """Expected minutes of the repair order where the repair did not end it, times the chance of that."""
    left = np.where(fixed, 0.0, view.probability)
    total = float(left[view.masks != 0].sum()) + view.rest
    if total <= 0:
        return 0.0
    wrong = np.where(view.masks != 0, left, 0.0)
    return float(expected_costs(view, (wrong / total)[:, None], np.array([view.rest / total]))[0]) * total
