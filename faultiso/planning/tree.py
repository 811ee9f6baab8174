"""A whole plan as a tree: what to do first, and after each outcome, down to an end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from faultiso.model.parts import Work

StepKind = Literal[
    "check",
    "look",
    "change of conditions",
    "repair",
    "isolated",
    "verified",
    "no fault found",
    "refer",
    "defer",
]
ENDS: frozenset[StepKind] = frozenset({"isolated", "verified", "no fault found", "refer", "defer"})


@dataclass(frozen=True)
class Candidate:
    """Faults that may be present together at a step, as titles, and how probable that is there."""

    faults: tuple[str, ...]
    probability: float


@dataclass(frozen=True)
class Branch:
    """What a step may show, its probability at the step, and where that leads."""

    outcome: str
    probability: float
    step: Step


@dataclass(frozen=True, eq=False)
class Step:
    """One step of a plan. Like subplans are one and the same object, so that a table can say "go to step n".

    ``minutes``: of the step itself with what it takes to meet its needs; ``expected_minutes``: from here to
    the end, the step included. A repair has two branches, verified and not. ``changes``: conditions to be
    set before it. ``cut`` says why a plan was not followed further here.
    """

    kind: StepKind
    name: str
    title: str
    minutes: float
    expected_minutes: float
    branches: tuple[Branch, ...] = ()
    candidates: tuple[Candidate, ...] = ()
    changes: Mapping[str, str] = field(default_factory=dict)
    work: Work | None = None
    cut: str | None = None


@dataclass(frozen=True)
class Certificate:
    """How far from the best a plan can be: no plan for the same problem is expected to take less than
    ``lower_bound`` minutes, by the argument named in ``bound``."""

    expected_minutes: float
    lower_bound: float
    bound: str

    @property
    def gap(self) -> float:
        """What the best plan could save at most, as a share of the expected minutes."""
        if self.expected_minutes <= 0:
            return 0.0
        return max(0.0, 1.0 - self.lower_bound / self.expected_minutes)


@dataclass(frozen=True)
class Plan:
    """A plan from its first step, with its certificate. ``left_out``: sentences on what was cut off, and how
    probable that is."""

    first: Step
    certificate: Certificate
    left_out: tuple[str, ...] = ()


def steps_in_order(plan: Plan) -> Iterator[tuple[int, Step, float]]:
    """Each step once with its number and the probability of coming to it, in the order of a printed table.

    A step follows all that lead to it; the likeliest branch comes first.
    """
    order: list[Step] = []
    seen: set[int] = set()
    stack: list[tuple[Step, bool]] = [(plan.first, False)]
    while stack:
        step, done = stack.pop()
        if done:
            order.append(step)
        elif id(step) not in seen:
            seen.add(id(step))
            stack.append((step, True))
            by_chance = sorted(step.branches, key=lambda branch: -branch.probability)
            stack += [(branch.step, False) for branch in by_chance]
    reach = dict.fromkeys((id(step) for step in order), 0.0)
    reach[id(plan.first)] = 1.0
    for number, step in enumerate(reversed(order), 1):
        yield number, step, reach[id(step)]
        for branch in step.branches:
            reach[id(branch.step)] += reach[id(step)] * branch.probability
