"""How a session ended, against how its case ends rightly: from log and case alone, without any belief."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from faultiso.assessment.passages import Passage
from faultiso.casebook.case import Case, End
from faultiso.casebook.hidden_world import world_of
from faultiso.model.system import Model
from faultiso.session.ending import DEFERRED, HANDED_OVER, NO_FAULT_FOUND, RECTIFIED, REFERRED, UNFINISHED
from faultiso.session.state import State
from faultiso.world.world import World

ENDED_AS: dict[End, str] = {
    "rectified": RECTIFIED,
    "deferred": DEFERRED,
    "no fault found": NO_FAULT_FOUND,
    "refer": REFERRED,
}


@dataclass(frozen=True)
class Removed:
    """A unit that came off: whether something was wrong that the repair mends. ``deed``: its place."""

    repair: str
    deed: int
    was_wrong: bool


@dataclass(frozen=True)
class Verdict:
    """``right``: the end is that of the case, and what was wrong is mended where it should be.

    ``remains``: faults that are still there; ``left_behind``: those of them that the work brought in.
    ``removed``: every repair that takes a unit off.
    """

    how: str
    right: bool
    remains: tuple[str, ...]
    left_behind: tuple[str, ...]
    removed: tuple[Removed, ...]

    @property
    def good_units(self) -> tuple[Removed, ...]:
        """Units that came off with nothing wrong in them."""
        return tuple(unit for unit in self.removed if not unit.was_wrong)


def verdict(
    case: Case, model: Model, done: Sequence[Passage], state: State, world: World | None = None
) -> Verdict:
    """The verdict on a session as its log stands. ``world``: that of the case, if it was drawn already."""
    world = world or world_of(case, model)
    timeline = state.course.timeline
    remains = world.faults(timeline, timeline.now)
    how = state.end.how if state.end else UNFINISHED
    right = how == ENDED_AS[case.right_end] and _mended(case, model, state, remains)
    left_behind = remains - set(case.truth)
    removed = tuple(_removed(model, done, world))
    return Verdict(how, right, tuple(sorted(remains)), tuple(sorted(left_behind)), removed)


def _mended(case: Case, model: Model, state: State, remains: frozenset[str]) -> bool:
    if case.right_end == "rectified":
        return not remains & set(case.truth)
    if case.right_end == "deferred" and state.end is not None:
        line = model.deferrals.get(state.end.line)
        return line is not None and set(case.truth) <= set(line.covers)
    return True


def _removed(model: Model, done: Sequence[Passage], world: World) -> Iterator[Removed]:
    for place, passage in enumerate(done):
        if passage.deed.what != "repair":
            continue
        repair = model.repairs[passage.deed.name]
        part = model.components.get(repair.component)
        if part is not None and part.replaceable and repair.clears:  # else it was serviced where it is
            timeline = passage.before.course.timeline
            there = world.faults(timeline, timeline.now)
            yield Removed(repair.name, place, bool(there & set(repair.clears)))


def ended_otherwise(how: str) -> bool:
    """Whether a session was left or handed over rather than brought to an end."""
    return how in (UNFINISHED, HANDED_OVER)
