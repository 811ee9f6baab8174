"""The best plan from a complaint, followed on the outcomes that the truth of a case gives most likely.

The plan is searched for a fixed number of steps, not for a time, so that it is the same one everywhere.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from faultiso.belief.belief import Belief
from faultiso.planning.posing import Limits, Posed, likely_sets, parts_of
from faultiso.planning.sequencing.moves import DEFERRED, ISOLATED, NO_FAULT_FOUND, REFER, Move
from faultiso.planning.sequencing.planned import ENDS
from faultiso.planning.sequencing.policies import Follow
from faultiso.planning.sequencing.problem import Repair
from faultiso.planning.sequencing.search import Search

SEARCHED = 60  # steps of the search: ten times as many shorten a plan by a minute in a hundred
_LOOKED_FOR = {"present": "found", "absent": "not found"}  # by a check that looks for one fault
NEVER = 0.5  # chance from which on a repair counts as one that fails


@dataclass(frozen=True)
class Done:
    """One step of the way: a check with the outcome that it shows, or a repair."""

    name: str
    title: str
    minutes: float
    outcome: str = ""


@dataclass(frozen=True)
class Followed:
    """The way through. ``end``: in words; ``right``: it leaves nothing behind that is wrong, or covers it."""

    steps: tuple[Done, ...]
    end: str
    right: bool

    @property
    def minutes(self) -> float:
        return sum(step.minutes for step in self.steps)


def followed(belief: Belief, truth: frozenset[str]) -> Followed:
    """The way from a belief that holds the truth and its parts among its leading sets.

    Raises ``BadPlanningProblem`` where the model leaves nothing to plan with.
    """
    sets = tuple(dict.fromkeys((*likely_sets(belief, Limits()), *parts_of(truth))))
    if not any(sets):
        return Followed((), ENDS[NO_FAULT_FOUND][2], True)
    return Prepared(belief, sets).way(truth)


class Prepared:
    """The plan for some sets of faults of a belief, to be followed with one after the other of them.

    Raises ``BadPlanningProblem`` where the model leaves nothing to plan with.
    """

    def __init__(self, belief: Belief, sets: tuple[frozenset[str], ...], searched: int = SEARCHED) -> None:
        self.sets, self.search = sets, Search(Posed(belief, sets).problem)
        for _ in range(searched):
            if not self.search.settled:
                self.search.step()

    def way(self, truth: frozenset[str]) -> Followed:
        """The way with one of the sets hidden."""
        return _Follower(self.search, self.search.moves.problem.states[self.sets.index(truth)]).way()


def referred() -> Followed:
    """The way where nothing modelled explains what is read: no further, whatever a plan of the model says."""
    return Followed((), ENDS[REFER][2], True)


class _Follower:
    """Makes the moves of the best plan found, with ``state`` hidden (faults as bits)."""

    def __init__(self, search: Search, state: int) -> None:
        self.problem, self.state = search.moves.problem, state
        self.moves, self.policy = search.moves, Follow(search.choices())

    def way(self) -> Followed:
        steps, last = [], Followed((), "", False)
        for item in self._steps():
            if isinstance(item, Followed):
                last = item
            else:
                steps.append(item)
        return Followed(tuple(steps), last.end, last.right)

    def _steps(self) -> Iterator[Done | Followed]:
        """Each step, and at last the end."""
        wrong = self.state != 0
        belief, left = np.asarray(self.problem.prior, dtype=float), self.moves.everything
        while True:
            move = self.policy(self.moves, belief, self.moves.useful(belief, left))
            if move.number < 0:
                yield self._end(move)
                return
            place = 0
            if move.number < len(self.problem.checks):
                place = self._likeliest(move)
                yield self._read(move, place)
            else:
                yield self._repaired(move)
                if self.state == 0 or not len(move.beliefs):
                    end = "not verified" if self.state else "verified"
                    yield Followed((), end, wrong and not self.state)
                    return
            belief, left = move.beliefs[place], move.left

    def _likeliest(self, move: Move) -> int:
        """The place, among the move's outcomes, of the one that the state gives most likely."""
        row = np.asarray(self.problem.checks[move.number].given)[self.problem.place[self.state]]
        return int(np.argmax(row[list(move.outcomes)]))

    def _read(self, move: Move, place: int) -> Done:
        check = self.problem.checks[move.number]
        shown = check.outcomes[move.outcomes[place]]
        return Done(check.name, check.title, move.price, _LOOKED_FOR.get(shown, shown))

    def _repaired(self, move: Move) -> Done:
        repair: Repair = self.problem.repairs[move.number - len(self.problem.checks)]
        if repair.fails < NEVER:
            self.state &= ~repair.clears
        return Done(repair.name, repair.title, move.before + repair.minutes)

    def _end(self, move: Move) -> Followed:
        if move.number <= DEFERRED:
            line = self.problem.deferrals[DEFERRED - move.number]
            return Followed((), line.title, not self.state & ~line.covers)
        right = move.number in (NO_FAULT_FOUND, ISOLATED) and self.state == 0
        return Followed((), ENDS[move.number][2], right)
