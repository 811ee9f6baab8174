"""What is known of one figure after the rows: a density on a grid, its mean and its quantiles.

With every other figure held, P(row) is a linear function of a figure, so the density is exact: the prior
times one linear factor for each row. It is a gamma or a beta where the rows say what happened. Where they do
not, other figures share in the explanation; the density is then drawn out about its mode until its variance
is that of the joint density, as Laplace's method has it (L. Tierney and J. B. Kadane, JASA 81:82-86, 1986).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from faultiso.learning.conjugate import Gamma, Prior
from faultiso.network.network import Array

POINTS = 1601
WIDE = 18.0  # standard deviations on either side of the mode


@dataclass(frozen=True)
class Said:
    """What the rows say of one figure: factors 1 + slope * (chance - chance now), each ``times`` often.

    Of a rate further: ``own`` hours of one row (log odds of its chance are those of coming up in them plus
    ``offset``, which is not 0 where at most one fault is there), and ``hours`` beside the rows, in which
    nothing came up.
    """

    slopes: Array
    times: Array
    chance: float
    own: float = 0.0
    offset: float = 0.0
    hours: float = 0.0

    @property
    def yes(self) -> float:
        """In how many rows it happened, as far as they tell."""
        return float(self.times @ np.maximum(self.slopes, 0.0)) * self.chance

    @property
    def no(self) -> float:
        """In how many rows it could have happened and did not, as far as they tell."""
        return float(self.times @ np.maximum(-self.slopes, 0.0)) * (1.0 - self.chance)

    def chances(self, x: Array) -> Array:
        """The chance in a row, by the logarithm of a rate or the log odds of a chance."""
        return logistic(log_odds_in(x, self.own) + self.offset if self.own else x)


def logistic(x: Array) -> Array:
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(x, -700.0, 700.0))))


def log_odds_in(x: Array, hours: float) -> Array:
    """Log odds that a fault with the rate exp(x) comes up in so many hours."""
    return np.asarray(np.log(np.expm1(np.minimum(np.exp(x) * hours, 700.0))))


def log_likelihood(said: Said, chances: Array) -> Array:
    """Of each of the chances, relative to the chance now, without the hours beside the rows."""
    if not len(said.slopes):
        return np.zeros_like(chances)
    factors = 1.0 + said.slopes[:, None] * (chances - said.chance)
    return np.asarray(said.times @ np.log(np.maximum(factors, 1e-300)))


@dataclass(frozen=True)
class Density:
    """``x`` is the logarithm of a rate or the log odds of a chance; ``weight`` sums to one."""

    x: Array
    weight: Array
    rate: bool

    @property
    def values(self) -> Array:
        return np.exp(self.x) if self.rate else 1.0 / (1.0 + np.exp(-self.x))

    @property
    def mean(self) -> float:
        return float(self.weight @ self.values)

    def quantile(self, share: float) -> float:
        below = np.cumsum(self.weight) - self.weight / 2
        x = float(np.interp(share, below, self.x))
        return math.exp(x) if self.rate else 1.0 / (1.0 + math.exp(-x))


def density(prior: Prior, said: Said, mode: float, deviation: float, stretch: float) -> Density:
    """``mode`` and ``deviation`` in x; ``stretch``: the factor by which the density is drawn out."""
    x = mode + deviation * WIDE * np.linspace(-1.0, 1.0, POINTS)
    logs = log_posterior(prior, said, x)
    weight = np.exp(logs - logs.max())
    return Density(mode + stretch * (x - mode), weight / weight.sum(), isinstance(prior, Gamma))


def log_posterior(prior: Prior, said: Said, x: Array) -> Array:
    """The logarithm of the density of x with all other figures held, up to a constant."""
    found = prior.log_density(x) + log_likelihood(said, said.chances(x))
    return found - said.hours * np.exp(x) if isinstance(prior, Gamma) else found


def information(prior: Prior, said: Said, mode: float) -> float:
    """Minus the second derivative of the log density at the mode."""
    step = 1e-3
    low, here, high = log_posterior(prior, said, np.array([mode - step, mode, mode + step]))
    return float(-(low - 2 * here + high) / step**2)
