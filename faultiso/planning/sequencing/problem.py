"""The planning problem, stated once: what may be wrong, what can be done, and what everything costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from faultiso.base.problems import FaultisoError
from faultiso.planning.sequencing.site import AT_HAND, Handling, Site

Array = NDArray[np.float64]
Goal = Literal["isolate", "fix"]
SUM_TOLERANCE = 1e-6


class BadPlanningProblem(FaultisoError):
    """A problem that cannot be planned; ``statements`` says everything that is wrong with it."""

    def __init__(self, statements: Sequence[str]) -> None:
        self.statements = tuple(statements)
        super().__init__("\n".join(self.statements))


@dataclass(frozen=True, eq=False)
class Check:
    """Something done to learn something. ``given``: P(outcome | state), shape (states, outcomes).

    A reading error is persistent: the same check again tells nothing new, so a plan makes it at most once.
    """

    name: str
    title: str
    minutes: float
    outcomes: tuple[str, ...]
    given: Array
    handling: Handling = AT_HAND


@dataclass(frozen=True)
class Repair:
    """Something done to put things right; ``minutes`` include the verification.

    ``clears``: faults as bits. ``fails``: chance that it removes none of them. ``false_verified``: chance
    that the verification passes although something is still wrong. ``minutes_if_found``: what comes on top
    where one of its faults is there (look first, mend only what is found). ``removes``: whether a unit comes
    off, so that a good one has its price. ``parts``: in the money of the price an hour.
    """

    name: str
    title: str
    minutes: float
    clears: int
    fails: float = 0.0
    false_verified: float = 0.0
    minutes_if_found: float = 0.0
    removes: bool = True
    parts: float = 0.0
    handling: Handling = AT_HAND


@dataclass(frozen=True)
class Deferral:
    """An end: rectification is put off. ``covers``: faults as bits with which that is allowed; with any other
    fault present it costs what a false "verified" costs. ``minutes``: placard and record."""

    name: str
    title: str
    minutes: float
    covers: int


@dataclass(frozen=True)
class Costs:
    """What things cost besides their minutes, in minutes; the defaults are invented.

    ``refer``: to stop and refer. ``serviceable``: to have removed a good unit, never zero. ``failed_repair``:
    besides the minutes of a repair that removed nothing. ``false_verified``: to have said that all is well
    when it is not. ``deferred``: to carry an open item and come back to it. ``hour``: the price of an hour,
    by which parts become minutes.
    """

    refer: float = 480.0
    serviceable: float = 45.0
    failed_repair: float = 30.0
    false_verified: float = 960.0
    deferred: float = 240.0
    hour: float | None = None


@dataclass(frozen=True, eq=False)
class Problem:
    """States are sets of faults as bits, with ``prior`` (states,); 0 is "nothing wrong".

    ``goal``: "isolate" ends when one state, or one group that no check can split, is left; "fix" when it is
    verified fixed, referred, deferred, or called no fault found. Checks read the state as it then is,
    independently of each other; each check and each repair is done at most once. Raises
    ``BadPlanningProblem``.
    """

    faults: tuple[str, ...]
    states: tuple[int, ...]
    prior: Array
    checks: tuple[Check, ...]
    repairs: tuple[Repair, ...] = ()
    goal: Goal = "fix"
    costs: Costs = field(default_factory=Costs)
    deferrals: tuple[Deferral, ...] = ()
    site: Site = field(default_factory=Site)

    def __post_init__(self) -> None:
        if found := list(_wrong_states(self)) or [
            *_wrong_checks(self),
            *_wrong_work(self),
            *_wrong_site(self),
        ]:
            raise BadPlanningProblem(found)

    @cached_property
    def place(self) -> dict[int, int]:
        """The place of each state."""
        return {state: place for place, state in enumerate(self.states)}

    @cached_property
    def noise_free(self) -> bool:
        """Whether each state has one certain outcome of each check."""
        return all(bool(np.all((c.given < 1e-12) | (c.given > 1 - 1e-12))) for c in self.checks)

    def names_of(self, state: int) -> tuple[str, ...]:
        """The faults of a state."""
        return tuple(name for bit, name in enumerate(self.faults) if state >> bit & 1)


def _wrong_states(problem: Problem) -> list[str]:
    """What is wrong with the states and their probabilities."""
    prior = np.asarray(problem.prior, dtype=float)
    found = []
    if not problem.states:
        return ["there is nothing that may be wrong: the problem has no states"]
    if prior.shape != (len(problem.states),):
        return [f"{len(problem.states)} states have {prior.size} probabilities; expected one for each"]
    if len(set(problem.states)) < len(problem.states):
        found.append("a state is listed twice")
    if max(problem.states) >> len(problem.faults) or min(problem.states) < 0:
        found.append("a state holds a fault that has no name")
    if not np.all(np.isfinite(prior)) or prior.min() < 0 or prior.max() > 1 + SUM_TOLERANCE:
        found.append("a probability of a state is not within 0 to 1")
    elif abs(prior.sum() - 1) > SUM_TOLERANCE:
        found.append(f"the probabilities of the states sum to {prior.sum():.6g}, not to 1")
    return found


def _wrong_checks(problem: Problem) -> list[str]:
    found = []
    for check in problem.checks:
        given = np.asarray(check.given, dtype=float)
        if given.shape != (len(problem.states), len(check.outcomes)) or not check.outcomes:
            found.append(f"{check.name}: its table has the shape {given.shape}, not (states, outcomes)")
        elif not np.all(np.isfinite(given)) or given.min() < 0:
            found.append(f"{check.name}: a probability of an outcome is not within 0 to 1")
        elif np.abs(given.sum(axis=1) - 1).max() > SUM_TOLERANCE:
            found.append(f"{check.name}: the probabilities of its outcomes do not sum to 1 in each state")
        found += _wrong_minutes(check.name, check.minutes)
    return found


def _wrong_minutes(name: str, minutes: float) -> list[str]:
    if not np.isfinite(minutes) or minutes <= 0:
        return [f"{name} takes {minutes:g} minutes; everything that is done takes more than none"]
    return []


def _wrong_work(problem: Problem) -> list[str]:
    """What is wrong with costs, repairs, and with what is possible at all."""
    found = [
        f"the cost {name} is {value:g}: not a cost" for name, value in _costs(problem) if not _cost(value)
    ]
    if problem.costs.serviceable <= 0:
        found.append("to remove a good unit is never free: its cost must be more than 0")
    if problem.costs.hour is not None and not problem.costs.hour > 0:
        found.append("the price of an hour must be more than 0")
    if problem.costs.false_verified < problem.costs.refer:
        found.append(
            "a false 'verified' must cost at least as much as a referral, or nothing would be mended"
        )
    for repair in problem.repairs:
        found += _wrong_repair(problem, repair)
    names = [*(c.name for c in problem.checks), *(r.name for r in problem.repairs)]
    found += [f"{name} is listed twice" for name in sorted({n for n in names if names.count(n) > 1})]
    if problem.goal == "isolate" and not problem.checks and len(problem.states) > 1:
        found.append("no check is possible in these conditions, so nothing can be isolated")
    if problem.goal == "fix" and not problem.repairs:
        found.append("all repairs are excluded, so nothing can be fixed: refer")
    return found


def _costs(problem: Problem) -> list[tuple[str, float]]:
    costs = problem.costs
    return [
        ("of referring", costs.refer), ("of a repair that fails", costs.failed_repair),
        ("of a false 'verified'", costs.false_verified), ("of removing a good unit", costs.serviceable),
        ("of deferring", costs.deferred),
    ]  # fmt: skip


def _cost(value: float) -> bool:
    return bool(np.isfinite(value)) and value >= 0


def _wrong_site(problem: Problem) -> list[str]:
    found = list(problem.site.wrong())
    if problem.goal == "isolate" and not found and not np.isfinite(problem.site.least()).all():
        found.append(
            "where all is to be isolated, every set of conditions must be within reach of every other"
        )
    asked = [(c.name, c.handling) for c in problem.checks] + [(r.name, r.handling) for r in problem.repairs]
    for name, handling in asked:
        if problem.site.unknown(handling):
            found.append(f"{name} asks for a setup or a set of conditions that is not listed")
    for deferral in problem.deferrals:
        found += _wrong_minutes(deferral.name, deferral.minutes)
        if deferral.covers >> len(problem.faults) or deferral.covers < 0:
            found.append(f"{deferral.name} covers a fault that has no name")
    return found


def _wrong_repair(problem: Problem, repair: Repair) -> list[str]:
    found = _wrong_minutes(repair.name, repair.minutes)
    if not 0 <= repair.fails <= 1 or not 0 <= repair.false_verified <= 1:
        found.append(f"{repair.name}: a probability is not within 0 to 1")
    if not (_cost(repair.parts) and _cost(repair.minutes_if_found)):
        found.append(f"{repair.name}: negative cost")
    if repair.parts > 0 and problem.costs.hour is None:
        found.append(
            f"{repair.name} has a price of parts, but there is no price of an hour to compare it with"
        )
    if problem.goal == "fix" and not found:
        known = {*problem.states, 0}
        left = sorted({s & ~repair.clears for s in problem.states} - known)
        found += [
            f"{repair.name} may leave {', '.join(problem.names_of(s))}, a state that is not listed"
            for s in left
        ]
    return found
