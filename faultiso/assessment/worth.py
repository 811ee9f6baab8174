"""What one step was worth: minutes to a verified fix by it, against the best that could be done from there.

All is judged by what was known before the step. A check costs at most its own minutes: whatever it shows, the
best action is still there afterwards.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from faultiso.assessment.basis import Advised, Basis, Mending, advised_at, mending_at, told_at
from faultiso.base.figures import minutes_words
from faultiso.model.dependence import dependences
from faultiso.model.silence import Silence, hushed, silence
from faultiso.planning.advice import CLOSE_MINUTES, LAST_DIGIT, Action, is_close
from faultiso.planning.outlook import SERVICEABLE_MINUTES
from faultiso.session.state import Deed, State

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
        return max(0.0, round(self.expected - self.best.expected_minutes, LAST_DIGIT))

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
    return worth_of(before.state, after.state, deed, _Desks(before, after))


def worth_of(before: State, after: State, deed: Deed, basis: Basis, closely: bool = True) -> Worth:
    """The worth of the step between two states.

    Not ``closely``: no more of it than marks hang on. A step that cannot lose more than counts as equally
    good is then not judged, and what a reading told is left out where no mark asks.
    """
    if deed.what in READING:
        return _of_reading(before, after, deed, basis, closely)
    if deed.what == "repair":
        return _of_repair(before, deed, basis)
    return Worth(deed.minutes, None, best_at(before, basis) if closely else None)


def best_at(state: State, basis: Basis) -> Action | None:
    """The best that could be done from a position."""
    advice = _advice(state, basis)
    return advice.best if advice else None


class _Desks:
    """Two desks as the basis of one judgement."""

    def __init__(self, before: Desk, after: Desk) -> None:
        self._before, self._after = before, after

    def advised(self, state: State) -> Advised | None:
        return advised_at(self._before)

    def mending(self, state: State, repair: str) -> Mending | None:
        return mending_at(self._before, repair)

    def told(self, before: State, after: State) -> str:
        return told_at(self._before, self._after)


def _advice(before: State, basis: Basis) -> Advised | None:
    """What was advised; None without any, and where something was repaired and nothing wrong is left.

    Then the work is to be proved, what is latched to be reset, and all to be closed; none of this is advised.
    """
    advice, repaired = basis.advised(before), before.last_repair is not None
    return None if repaired and advice and advice.best.kind == "no fault found" else advice


def _of_reading(before: State, after: State, deed: Deed, basis: Basis, closely: bool) -> Worth:
    silent, quiet = _silence(after, deed)
    told = "nothing" if silent else basis.told(before, after) if closely or quiet else ""
    if silent is None and told == "nothing":
        silent = quiet
    advice = _advice(before, basis) if closely or deed.minutes > CLOSE_MINUTES else None
    if advice is None:
        return Worth(deed.minutes, None, None, told, silent)
    best = advice.best
    minutes = best.expected_minutes + deed.minutes
    if deed.name in advice.saved:
        minutes = min(minutes, advice.straight - advice.saved[deed.name])
    if _on_the_way(before, best, deed) or _witness(before, best, deed):
        minutes = best.expected_minutes
    found = Worth(deed.minutes, max(minutes, best.expected_minutes), best, told, silent)
    return found if told or found.as_good else replace(found, told=basis.told(before, after))


def _silence(after: State, deed: Deed) -> tuple[Silence | None, Silence | None]:
    """Why a sign could show nothing else, and why it could not if what it showed told nothing."""
    if deed.what != "look":
        return None, None
    conditions = after.course.conditions
    found = silence(after.model, deed.name, conditions)
    return found, None if found else _hushed(after, deed.name, conditions)


def _hushed(after: State, name: str, conditions: Mapping[str, str]) -> Silence | None:
    """A sign that these conditions keep quiet by what they bring about: no sound of a motor that is off."""
    found = hushed(after.model, name, conditions)
    shown = after.readings[-1].outcome if after.readings else ""
    return found if found is not None and shown == found.outcome else None


def _on_the_way(before: State, best: Action, deed: Deed) -> bool:
    """What was advised itself, or a free look where everything was to be looked at."""
    if best.name == deed.name:
        return True
    if best.kind == "read again":
        return True
    if best.kind != "change of conditions" or deed.what != "look":
        return False
    wanted = before.model.situations[best.name].values
    now = before.course.conditions
    return all(now[name] == value for name, value in wanted.items())


def _witness(before: State, best: Action, deed: Deed) -> bool:
    """A second, independent witness before a unit comes off, the first one of its kind: never a waste."""
    if best.kind != "repair" or deed.what != "check":
        return False
    mended = set(before.model.repairs[best.name].clears)
    feels = dependences(before.model)
    earlier = [d.name for d in before.deeds if d.what == "check" and mended & set(feels[d.name].faults)]
    return bool(mended & set(feels[deed.name].faults)) and not earlier


def _of_repair(before: State, deed: Deed, basis: Basis) -> Worth:
    found, repair = basis.mending(before, deed.name), before.model.repairs[deed.name]
    if found is None:
        return Worth(deed.minutes, None, None)
    known = found.chance if repair.clears else None  # a service mends nothing: no unit was suspected
    advice = _advice(before, basis)
    if advice is None:
        return Worth(deed.minutes, None, None, chance=known)
    price = deed.minutes + repair.verification.minutes
    price += (1.0 - found.chance) * SERVICEABLE_MINUTES * bool(repair.component and repair.clears)
    best = advice.best
    minutes = min(price + found.afterwards, best.expected_minutes + price)
    return Worth(deed.minutes, max(minutes, best.expected_minutes), best, chance=known)
