"""A log as passages: how things stood before each thing that was done, and after it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from faultiso.model.system import Model
from faultiso.session.events import Event
from faultiso.session.replaying import apply
from faultiso.session.state import Deed, State
from faultiso.session.undo import standing_events


@dataclass(frozen=True)
class Passage:
    """One thing done. ``after`` is the state when it was over: of a proof, when its last sign was read."""

    before: State
    after: State

    @property
    def deed(self) -> Deed:
        return self.after.deeds[len(self.before.deeds)]


def passages(model: Model, entries: Iterable[tuple[int, Event]]) -> tuple[tuple[Passage, ...], State]:
    """What was done, in order, and the state at the end. Raises Unreadable if log and model do not fit."""
    state, found = State(model), []
    for number, event in standing_events(entries):
        after = apply(state, event, number)
        if len(after.deeds) > len(state.deeds):
            found.append(Passage(state, after))
        elif found and after.deeds and after.deeds[-1] is not found[-1].after.deeds[-1]:
            found[-1] = Passage(found[-1].before, after)
        state = after
    return tuple(found), state
