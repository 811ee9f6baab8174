"""How posteriors hang on one number: ratios of two linear functions of it, known from two evaluations.

P(fault, readings) and P(readings) are linear in each single number of a network, so that two values of each
give the whole function (Castillo, Gutierrez & Hadi, IEEE Trans. SMC A 27, 1997; van der Gaag, Renooij &
Coupe, Advances in Probabilistic Graphical Models, 2007; both from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from faultiso.network.network import Array

TINY = 1e-300


@dataclass(frozen=True, eq=False)
class Evaluation:
    """At one value: P(each fault | readings), shape (faults,), and P(readings) up to a common factor."""

    at: float
    posterior: Array
    evidence: float


@dataclass(frozen=True, eq=False)
class Ratio:
    """P(fault | readings) = (slope x + base) / (evidence_slope x + evidence_base), by fault."""

    slope: Array
    base: Array
    evidence_slope: float
    evidence_base: float

    def at(self, x: float) -> Array:
        below = self.evidence_slope * x + self.evidence_base
        return np.asarray((self.slope * x + self.base) / max(below, TINY))

    def derivative(self, x: float) -> Array:
        """The derivative of each posterior by the number."""
        below = max(self.evidence_slope * x + self.evidence_base, TINY)
        return np.asarray((self.slope * self.evidence_base - self.base * self.evidence_slope) / below**2)

    def equal(self, first: int, second: int) -> float | None:
        """Where two faults are as probable as each other; None if that is nowhere or everywhere."""
        slope = float(self.slope[first] - self.slope[second])
        base = float(self.base[first] - self.base[second])
        return None if abs(slope) <= 1e-12 * max(abs(base), TINY) else -base / slope


def ratio(one: Evaluation, other: Evaluation) -> Ratio:
    """The function through two evaluations at different values."""
    step = other.at - one.at
    joint = one.posterior * one.evidence
    slope = (other.posterior * other.evidence - joint) / step
    evidence_slope = (other.evidence - one.evidence) / step
    return Ratio(slope, joint - slope * one.at, evidence_slope, one.evidence - evidence_slope * one.at)
