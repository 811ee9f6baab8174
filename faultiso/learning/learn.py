"""Figures proposed from closed work orders: before and after, how sure, and what the rows cannot tell."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from faultiso.learning.climbing import climbed
from faultiso.learning.conjugate import Prior
from faultiso.learning.figures import Figure, NotLearnt, levels_together
from faultiso.learning.posterior import Density, Said, density, logistic
from faultiso.learning.problem import Problem, Strength
from faultiso.learning.rows import Counted, Evidence
from faultiso.learning.sharing import Shared, shared
from faultiso.model.system import Model

LOW, HIGH = 0.05, 0.95  # the 90 % interval
SILENT = 0.5  # rows that tell of a figure, below which nothing is said of it
ALIASED = -0.5  # correlation at which two figures are told to be confused


@dataclass(frozen=True)
class Proposal:
    """``before`` and ``after`` are means, with their 90 % intervals. ``yes``: in how many rows it happened,
    ``no``: in how many it could have and did not, as far as the rows tell. ``mode``: the most probable value,
    all figures together.
    """

    figure: Figure
    before: float
    before_interval: tuple[float, float]
    after: float
    interval: tuple[float, float]
    yes: float
    no: float
    prior: Prior
    mode: float

    @property
    def told(self) -> bool:
        """Whether the rows say anything of it."""
        return self.yes + self.no >= SILENT or self.after < self.before_interval[0]


@dataclass(frozen=True)
class Confused:
    """Two figures of which the rows tell the sum better than the parts."""

    first: Figure
    second: Figure
    correlation: float


@dataclass(frozen=True)
class Learnt:
    """``hours``: the exposure; ``rows``: used; ``impossible``: set aside because the model rules them out."""

    model: Model
    proposals: tuple[Proposal, ...]
    left: tuple[NotLearnt, ...]
    confused: tuple[Confused, ...]
    impossible: tuple[Counted, ...]
    rows: int
    hours: float
    own_hours: float
    strength: Strength
    log_likelihood: float

    @property
    def changed(self) -> dict[Figure, float]:
        """What rows tell of, and the other levels of the same causes, which share in the same draws."""
        after = {proposal.figure: proposal.after for proposal in self.proposals}
        told = {proposal.figure for proposal in self.proposals if proposal.told}
        for together in levels_together(list(after)):
            if told & set(together):
                told |= set(together)
        return {figure: value for figure, value in after.items() if figure in told}


def learn(
    model: Model,
    evidence: Evidence,
    strength: Strength | None = None,
    tell: Callable[[int], None] = lambda number: None,
) -> Learnt:
    """What the rows say of every figure that can be learnt.

    ``tell`` is called with the number of each round of the search. TooLarge where a row cannot be reasoned
    about exactly.
    """
    strength = strength or Strength()
    problem = Problem(model, evidence, strength)
    place = climbed(problem.see, problem.priors, problem.start, tell)
    spread = shared(problem, place)
    proposals = tuple(
        _proposal(figure, prior, said, float(x), float(spread.alone[n]) ** 0.5, float(spread.stretch[n]))
        for n, (figure, prior, said, x) in enumerate(
            zip(problem.figures, problem.priors, place.said, place.x, strict=True)
        )
    )
    impossible = problem.impossible
    return Learnt(
        model=model,
        proposals=proposals,
        left=problem.left,
        confused=_confused(problem, spread),
        impossible=impossible,
        rows=evidence.times - sum(row.times for row in impossible),
        hours=evidence.hours,
        own_hours=problem.own,
        strength=strength,
        log_likelihood=place.height,
    )


def _proposal(
    figure: Figure, prior: Prior, said: Said, mode: float, deviation: float, stretch: float
) -> Proposal:
    found = density(prior, said, mode, deviation, stretch)
    return Proposal(
        figure=figure,
        before=figure.value,
        before_interval=(prior.quantile(LOW), prior.quantile(HIGH)),
        after=found.mean,
        interval=_interval(found),
        yes=said.yes,
        no=said.no,
        prior=prior,
        mode=float(np.exp(mode) if figure.kind == "rate" else logistic(np.asarray(mode))),
    )


def _interval(found: Density) -> tuple[float, float]:
    return found.quantile(LOW), found.quantile(HIGH)


def _confused(problem: Problem, spread: Shared) -> tuple[Confused, ...]:
    first, second = np.nonzero(np.triu(spread.correlation < ALIASED, 1))
    pairs = [
        Confused(problem.figures[a], problem.figures[b], float(spread.correlation[a, b]))
        for a, b in zip(first, second, strict=True)
    ]
    return tuple(sorted(pairs, key=lambda pair: pair.correlation))
