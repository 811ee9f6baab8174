"""Every order of checks and repairs after every outcome, listed without bounds or memory: for tests only."""

from __future__ import annotations

from collections.abc import Mapping

from faultiso.planning.sequencing.problem import Problem, Repair

Weights = Mapping[int, float]  # probability of state and of all that was seen so far


def least_minutes(problem: Problem) -> float:
    """The smallest expected minutes of any plan, from the statement of the problem alone."""
    start = {s: float(p) for s, p in zip(problem.states, problem.prior, strict=True) if p > 0}
    repairs = range(len(problem.repairs)) if problem.goal == "fix" else range(0)
    return least(problem, start, frozenset(range(len(problem.checks))), frozenset(repairs))


def least(problem: Problem, weights: Weights, checks: frozenset[int], repairs: frozenset[int]) -> float:
    mass = sum(weights.values())
    found = ends(problem, weights, checks)
    for c in checks:
        check, parts = problem.checks[c], 0.0
        for place in range(len(check.outcomes)):
            seen = {s: w * float(check.given[problem.states.index(s), place]) for s, w in weights.items()}
            seen = {s: w for s, w in seen.items() if w > 1e-12 * mass}
            if seen:
                parts += least(problem, seen, checks - {c}, repairs)
        found.append(mass * check.minutes + parts)
    for r in repairs:
        price, still = after(problem, problem.repairs[r], weights)
        found.append(price + (least(problem, still, checks, repairs - {r}) if still else 0.0))
    return min(found)


def ends(problem: Problem, weights: Weights, checks: frozenset[int]) -> list[float]:
    mass = sum(weights.values())
    if problem.goal == "fix":
        wrong = sum(w for s, w in weights.items() if s)
        nothing = [wrong * problem.costs.false_verified] if 0 in weights else []
        return [mass * problem.costs.refer, *nothing]
    rows = {s: problem.states.index(s) for s in weights}
    told = any(
        abs(float(problem.checks[c].given[rows[s], o]) - float(problem.checks[c].given[rows[t], o])) > 1e-12
        for c in checks for s in rows for t in rows for o in range(len(problem.checks[c].outcomes))
    )  # fmt: skip
    return [] if told else [0.0]


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
