"""Every order of checks and repairs after every outcome, listed without bounds or memory: for tests only."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import product
from math import inf
from typing import NamedTuple

from faultiso.planning.sequencing.problem import Problem, Repair
from faultiso.planning.sequencing.site import Handling

Weights = Mapping[int, float]  # probability of state and of all that was seen so far


def least_minutes(problem: Problem) -> float:
    """The smallest expected minutes of any plan, from the statement of the problem alone."""
    start = {s: float(p) for s, p in zip(problem.states, problem.prior, strict=True) if p > 0}
    repairs = range(len(problem.repairs)) if problem.goal == "fix" else range(0)
    here = Here(problem.site.stands[problem.site.start], frozenset())
    return least(problem, start, frozenset(range(len(problem.checks))), frozenset(repairs), here)


class Here(NamedTuple):
    """The stand by its title, and the names of the setups that were made."""

    stand: str
    made: frozenset[str]


def moved(problem: Problem, handling: Handling, here: Here) -> list[tuple[float, Here]]:
    """Every way of beginning: in which stand, after how many minutes."""
    site = problem.site
    asked = {setup for k, setup in enumerate(site.setups) if handling.setups >> k & 1}
    minutes = sum(setup.minutes for setup in asked if setup.name not in here.made)
    made = here.made | {setup.name for setup in asked}
    stands = [site.stands[b] for b in handling.begins] or site.stands
    found = [(minutes + quickest(problem, here.stand, stand), stand) for stand in stands]
    ends = None if handling.ends is None else site.stands[handling.ends]
    return [(m, Here(ends or stand, made)) for m, stand in found if m < inf]


def quickest(problem: Problem, stand: str, wanted: str) -> float:
    """The quickest change of conditions, by listing further and further ways; no action is quicker."""
    stands, actions = problem.site.stands, (*problem.checks, *problem.repairs)
    minutes = {other: 0.0 if other == stand else inf for other in stands}
    for _ in stands:
        for here, there in product(stands, stands):
            one = float(problem.site.changes[stands.index(here), stands.index(there)])
            for action in actions:
                begins, ends = action.handling.begins, action.handling.ends
                leads = ends is not None and stands[ends] == there
                if leads and (not begins or stands.index(here) in begins):
                    one = min(one, action.minutes)
            minutes[there] = min(minutes[there], minutes[here] + one)
    return minutes[wanted]


def least(
    problem: Problem, weights: Weights, checks: frozenset[int], repairs: frozenset[int], here: Here
) -> float:
    mass = sum(weights.values())
    found = ends(problem, weights, checks)
    for c in checks:
        check = problem.checks[c]
        for before, there in moved(problem, check.handling, here):
            parts = 0.0
            for place in range(len(check.outcomes)):
                seen = {s: w * float(check.given[problem.states.index(s), place]) for s, w in weights.items()}
                seen = {s: w for s, w in seen.items() if w > 1e-12 * mass}
                if seen:
                    parts += least(problem, seen, checks - {c}, repairs, there)
            found.append(mass * (before + check.minutes) + parts)
    for r in repairs:
        for before, there in moved(problem, problem.repairs[r].handling, here):
            price, still = after(problem, problem.repairs[r], weights)
            price += mass * before
            found.append(price + (least(problem, still, checks, repairs - {r}, there) if still else 0.0))
    return min(found)


def ends(problem: Problem, weights: Weights, checks: frozenset[int]) -> list[float]:
    mass = sum(weights.values())
    if problem.goal == "fix":
        wrong = sum(w for s, w in weights.items() if s)
        nothing = [wrong * problem.costs.false_verified] if 0 in weights else []
        return [mass * problem.costs.refer, *nothing, *put_off(problem, weights)]
    rows = {s: problem.states.index(s) for s in weights}
    told = any(
        abs(float(problem.checks[c].given[rows[s], o]) - float(problem.checks[c].given[rows[t], o])) > 1e-12
        for c in checks for s in rows for t in rows for o in range(len(problem.checks[c].outcomes))
    )  # fmt: skip
    return [] if told else [0.0]


def put_off(problem: Problem, weights: Weights) -> list[float]:
    """Each deferral: an open item where it covers all that is wrong, a false "all is well" where not."""
    return [
        sum(
            w * (d.minutes + (problem.costs.deferred if s & d.covers == s else problem.costs.false_verified))
            for s, w in weights.items()
        )
        for d in problem.deferrals
    ]


def after(problem: Problem, repair: Repair, weights: Weights) -> tuple[float, dict[int, float]]:
    """Price of a repair, and what is still wrong and known to be."""
    costs, price = problem.costs, 0.0
    still: dict[int, float] = {}
    for state, weight in weights.items():
        each = repair.minutes + (repair.parts * 60 / costs.hour if costs.hour else 0.0)
        if state & repair.clears:
            each += repair.minutes_if_found + repair.fails * costs.failed_repair
        elif repair.removes:
            each += costs.serviceable
        price += weight * each
        for left, chance in ((state & ~repair.clears, 1 - repair.fails), (state, repair.fails)):
            if left and chance:
                price += weight * chance * repair.false_verified * costs.false_verified
                still[left] = still.get(left, 0.0) + weight * chance * (1 - repair.false_verified)
    return price, {s: w for s, w in still.items() if w > 0}
