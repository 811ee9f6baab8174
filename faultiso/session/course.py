"""What work does: from how things stand, and an action, to how things stand when it is read and afterwards.

The one place that says so; whoever leads, plays or judges a session asks here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from faultiso.model.effort import Effort, Standing, effort
from faultiso.model.parts import Check, Repair, Work
from faultiso.model.system import Model
from faultiso.network.timeline import Intervention, Timeline, after_handling, done, handling, start


@dataclass(frozen=True)
class Course:
    """The system through time, how things stand now, and the minutes spent so far."""

    timeline: Timeline
    standing: Standing
    minutes: float = 0.0
    man_minutes: float = 0.0

    @property
    def conditions(self) -> Mapping[str, str]:
        return self.standing.conditions

    def looked_anew(self) -> Course:
        """A deliberate new look in the same conditions: a visit of its own."""
        return replace(self, timeline=self.timeline.then(self.conditions))


def begun(conditions: Mapping[str, str]) -> Course:
    """Before anything was done, in these conditions."""
    return Course(start(conditions), Standing(dict(conditions)))


@dataclass(frozen=True)
class Setting:
    """The action of bringing conditions to values; no more than that."""

    wanted: Mapping[str, str]


@dataclass(frozen=True)
class Carried:
    """What an action takes (``effort``), how things stand as it is ``read``, and ``after`` it."""

    effort: Effort
    read: Course
    after: Course


Action = Check | Repair | Setting


def carry_out(model: Model, course: Course, action: Action) -> Carried | None:
    """The action carried out from here; None if its needs can not be met.

    First its needs are met and what it ``sets`` is set; a check that swaps units does so, and disturbs what
    they hang on, before it is read. What another check disturbs, what work leaves behind, resets and (a
    repair) clears comes afterwards.
    """
    work = _work(action)
    taken = effort(model, work, course.standing)
    if taken is None:
        return None
    key = f"{action.name} at {course.timeline.now + 1}" if not isinstance(action, Setting) else ""
    first = handling(key, work) if isinstance(action, Check) else Intervention(key)
    timeline = _moved(course.timeline, taken.standing.conditions, first)
    read = Course(
        timeline, taken.standing, course.minutes + taken.minutes, course.man_minutes + taken.man_minutes
    )
    if isinstance(action, Setting):
        return Carried(taken, read, read)
    whole = done(f"{key}, done", work, action if isinstance(action, Repair) else None)
    rest = after_handling(whole) if isinstance(action, Check) else whole
    return Carried(taken, read, replace(read, timeline=timeline.after_work(rest)))


def _moved(timeline: Timeline, conditions: Mapping[str, str], first: Intervention) -> Timeline:
    if first.changes_nothing:
        same = conditions == timeline.moments[-1].conditions
        return timeline if same else timeline.then(conditions)
    return timeline.then(conditions, (first,))


def _work(action: Action) -> Work:
    if isinstance(action, Setting):
        match = {name: (value,) for name, value in action.wanted.items()}
        return Work(needs=(match,))
    return action.work
