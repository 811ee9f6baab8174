"""What all sessions of one case can share: the world's answers, compiled networks, advice worked out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cached_property
from itertools import chain
from typing import TYPE_CHECKING

from faultiso.base.problems import FaultisoError
from faultiso.belief.evidence import Reading
from faultiso.casebook.case import Case
from faultiso.model.dependence import dependences
from faultiso.model.parts import Repair
from faultiso.model.system import Model
from faultiso.network.timeline import Timeline
from faultiso.practice.answers import Answers
from faultiso.practice.beginning import record_beginning
from faultiso.practice.practice import Practice
from faultiso.practice.terms import Terms
from faultiso.session.desk import READER, Desk, Lines, Log, desk_at
from faultiso.session.forgetting import Seen, shortened
from faultiso.session.replies import Proposal
from faultiso.session.state import State
from faultiso.session.views import proposal

if TYPE_CHECKING:
    from faultiso.belief.belief import Belief
    from faultiso.belief.reasoner import Reasoner

VISITS_LOOKED_FROM = 1  # after the first, from which other situations are thought about
QUICK_MEMORY = 1 << 25  # bytes of one computation; more to think about takes nobody far who has to act


class Room:
    """A case with its model; keep one for many sessions, so that their networks are compiled once."""

    def __init__(self, case: Case, model: Model) -> None:
        self.case, self.model = case, model
        self._answers = Answers(case, model)
        self._desk = Desk(model, Lines())
        self._proposed: dict[object, Proposal | None] = {}

    def begin(self, log: Log, terms: Terms) -> Practice:
        """A new practice of the case; only this sees what the world answers."""
        play = Practice(self.case, record_beginning(self.case, self.model, log, terms))
        play.answers = self._answers
        return play

    def desk(self, state: State) -> Desk:
        """A desk at which that state is thought about."""
        return desk_at(self._desk, state)

    def proposed(self, state: State) -> Proposal | None:
        """The step of the reference plan; None where it is too much to reason with."""
        key = _all_that_counts(state)
        if key not in self._proposed:
            kept = self._kept_in_mind(state)
            self._proposed[key] = self._thought_out(kept) if kept else None
        return self._proposed[key]

    def _thought_out(self, state: State) -> Proposal | None:
        """Other situations are judged in the first visits and before any repair: else it takes minutes."""
        desk = self.desk(state)
        early = state.course.timeline.now <= len(state.situations) + VISITS_LOOKED_FROM
        desk.looks = desk.looks if early and not state.repairs else 0
        try:
            return proposal(desk)
        except FaultisoError:
            return None

    def units(self, state: State) -> Mapping[str, float]:
        """Component -> probability of its faults together, the highest first; else by rates."""
        kept = self._kept_in_mind(state)
        belief = self._believed(kept) if kept else None
        return self._summed(belief.faults) if belief and belief.possible else self._by_rates

    def _kept_in_mind(self, state: State) -> State | None:
        """The state with as much of what was seen as can be thought about quickly; None if that is nothing.

        The complaint stays, and what work did; the visits that are longest ago are forgotten first.
        """
        seen: Seen = (state.course.timeline, state.readings)
        for timeline, readings in chain([seen], shortened(*seen, len(state.situations))):
            kept = _with_seen(state, timeline, readings)
            if self._believed(kept).now.scene.fits(given_faults=False):
                return kept
        return None

    def _believed(self, state: State) -> Belief:
        return self._quick.belief(state.course.timeline, state.readings, state.course.standing, READER)

    @cached_property
    def _quick(self) -> Reasoner:
        from faultiso.belief.reasoner import Reasoner

        return Reasoner(self.model, QUICK_MEMORY)

    def _summed(self, faults: Mapping[str, float]) -> Mapping[str, float]:
        """The same by component, the highest first, at most 1."""
        found: dict[str, float] = {}
        for name, chance in faults.items():
            unit = self.model.faults[name].component
            found[unit] = min(1.0, found.get(unit, 0.0) + chance)
        return dict(sorted(found.items(), key=lambda item: -item[1]))

    @cached_property
    def _by_rates(self) -> Mapping[str, float]:
        hours = self.model.flight_hours_at_risk
        return self._summed({fault.name: hours * fault.rate for fault in self.model.faults.values()})

    @cached_property
    def feels(self) -> Mapping[str, frozenset[str]]:
        """Sign -> the components whose faults can make a difference to it."""
        faults = self.model.faults
        return {
            name: frozenset(faults[fault].component for fault in found.faults)
            for name, found in dependences(self.model).items()
        }

    @cached_property
    def repairs(self) -> Mapping[str, tuple[Repair, ...]]:
        """Component -> the repairs that mend something of it, the most of it first."""
        found: dict[str, list[tuple[int, Repair]]] = {name: [] for name in self.model.components}
        for repair in self.model.repairs.values():
            for name, part in self.model.components.items():
                mended = len({fault.name for fault in part.faults} & set(repair.clears))
                if mended:
                    found[name].append((mended, repair))
        return {
            name: tuple(r for _, r in sorted(mends, key=lambda pair: (-pair[0], pair[1].work.minutes)))
            for name, mends in found.items()
        }


def _with_seen(state: State, timeline: Timeline, readings: tuple[Reading, ...]) -> State:
    """The state as if no more than that had been seen."""
    gone = len(state.readings) - len(readings)
    if not gone and timeline == state.course.timeline:
        return state
    deeds = state.deeds
    if deeds:
        before, after = deeds[-1].readings
        deeds = (*deeds[:-1], replace(deeds[-1], readings=(max(0, before - gone), max(0, after - gone))))
    return replace(state, course=replace(state.course, timeline=timeline), readings=readings, deeds=deeds)


def _all_that_counts(state: State) -> object:
    """All of a state that the reference plan depends on."""
    course, last = state.course, state.deeds[-1] if state.deeds else None
    return (
        course.timeline,
        state.readings,
        tuple(sorted(course.conditions.items())),
        course.standing.opened,
        course.standing.fetched,
        tuple((repair.name, repair.proof) for repair in state.repairs),
        (last.what, last.readings) if last else None,
    )
