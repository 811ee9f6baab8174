"""What the hidden world of a case answers at the desk of a session."""

from __future__ import annotations

from typing import Any

from faultiso.belief.observed import sign_of
from faultiso.casebook.case import Case
from faultiso.casebook.complaint import AT_WORK
from faultiso.casebook.hidden_world import world_of
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline
from faultiso.session import events as kinds
from faultiso.session.events import Event
from faultiso.session.replaying import apply
from faultiso.session.state import State


class Answers:
    """The world of a case. Raises UsageError where the complaint or a pin is impossible."""

    def __init__(self, case: Case, model: Model) -> None:
        self.world = world_of(case, model)

    def of(self, state: State, name: str) -> str | float:
        """What the sign shows to the person at work now: an outcome, or a number where it shows one."""
        timeline, moment = read_when(state, name)
        found = self.world.answer(name, timeline, moment, AT_WORK)
        return found.outcome if found.number is None else found.number


def read_when(state: State, name: str) -> tuple[Timeline, int]:
    """The history in which a sign would be read now, and the moment of it: as the log would have it."""
    if state.proving:
        plan = state.repairs[-1].plan
        assert plan is not None
        return state.course.timeline, plan.moment_of(name)
    data: dict[str, Any] = {"sign": name, "answer": sign_of(state.model, name).outcomes[0]}
    after = apply(state, Event(kinds.READ, data))
    return after.course.timeline, after.readings[-1].moment
