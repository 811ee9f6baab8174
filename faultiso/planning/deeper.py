"""Looking further ahead than one step, for a limited time: does another action end sooner?"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace

from faultiso.base.problems import UsageError
from faultiso.belief.belief import Belief
from faultiso.planning.advice import Advice, Deeper, is_close
from faultiso.planning.charting import pose
from faultiso.planning.posing import Limits, Posed
from faultiso.planning.sequencing.moves import DEFERRED, NO_FAULT_FOUND, REFER
from faultiso.planning.sequencing.search import Search, search_for

NARROW = Limits(sets=8, checks=8, looks=0)  # what a search of a second can look through
ENDS = {REFER: "refer", NO_FAULT_FOUND: "no_fault_found"}
Clock = Callable[[], float]


def deepened(belief: Belief, advice: Advice, seconds: float, clock: Clock = time.monotonic) -> Advice:
    """The advice as a search of that time leaves it.

    Another action is put first only where every plan that begins with the advised one is proved to take
    longer, by more than a close call, among the likeliest sets of faults and the checks that tell most.
    """
    posed = posed_narrowly(belief, advice)
    return (
        advice
        if posed is None
        else with_search(advice, posed, search_for(posed.problem, seconds, clock=clock))
    )


def posed_narrowly(belief: Belief, advice: Advice) -> Posed | None:
    """The problem of a short search; None where there is nothing to plan."""
    if advice.nothing_read or advice.action.kind == "read again":
        return None
    try:
        return pose(belief, NARROW, advice.looks)
    except UsageError:
        return None


def with_search(advice: Advice, posed: Posed, search: Search) -> Advice:
    """The advice in the light of a search of the problem that was posed."""
    bounds = _first_steps(posed, search)
    one_step = advice.action
    if one_step.name not in bounds:
        return advice
    best = min(bounds, key=lambda name: bounds[name][1])
    at_least, at_most = bounds[one_step.name][0], bounds[best][1]
    better = next((action for action in advice.actions if action.name == best), None)
    if better is None or best == one_step.name or at_least <= at_most or is_close(at_most, at_least):
        return replace(advice, deeper=Deeper(one_step.title, 0.0))
    actions = (better, *(action for action in advice.actions if action is not better))
    found = Deeper(one_step.title, at_least - at_most)
    return replace(advice, action=better, actions=actions, close_with=None, parted=(), deeper=found)


def _first_steps(posed: Posed, search: Search) -> dict[str, tuple[float, float]]:
    """Lower and upper bound of the expected minutes by each first step, by its name."""
    root, problem = search.root, posed.problem
    actions = (*(c.name for c in problem.checks), *(r.name for r in problem.repairs))
    found: dict[str, tuple[float, float]] = {}
    for move, low, high in zip(root.moves or (), search.lows(root), search.highs(root), strict=True):
        deferred = move.number <= DEFERRED
        name = (
            problem.deferrals[DEFERRED - move.number].name
            if deferred
            else ENDS.get(move.number) or actions[move.number]
        )
        before = found.get(name, (low, high))
        found[name] = (min(before[0], low), min(before[1], high))
    return found
