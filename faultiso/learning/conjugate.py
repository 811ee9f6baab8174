"""Priors and what counts make of them, in closed form: gamma for rates, beta for chances.

H. Dezfuli, D. Kelly, C. Smith, K. Vedros and W. Galyean, Bayesian Inference for NASA Probabilistic Risk and
Reliability Analysis, NASA/SP-2009-569 (2009), sections 4.2.1 and 4.2.2.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from faultiso.network.network import Array


@dataclass(frozen=True)
class Gamma:
    """Of a rate: as if ``events`` had been seen in ``hours``."""

    events: float
    hours: float

    @property
    def mean(self) -> float:
        return self.events / self.hours

    def after(self, events: float, hours: float) -> Gamma:
        """Once so many events were seen in so many hours (Poisson)."""
        return Gamma(self.events + events, self.hours + hours)

    def quantile(self, share: float) -> float:
        from scipy.special import gammaincinv

        return float(gammaincinv(self.events, share)) / self.hours

    def log_density(self, x: Array) -> Array:
        """Of the logarithm of the rate, up to a constant."""
        return np.asarray(self.events * x - self.hours * np.exp(x))


@dataclass(frozen=True)
class Beta:
    """Of a chance: as if it had happened ``yes`` times and ``no`` times not."""

    yes: float
    no: float

    @property
    def mean(self) -> float:
        return self.yes / (self.yes + self.no)

    def after(self, yes: float, no: float) -> Beta:
        """Once it happened, and did not, so many more times (binomial)."""
        return Beta(self.yes + yes, self.no + no)

    def quantile(self, share: float) -> float:
        from scipy.special import betaincinv

        return float(betaincinv(self.yes, self.no, share))

    def log_density(self, x: Array) -> Array:
        """Of the log odds of the chance, up to a constant."""
        return np.asarray(-self.yes * np.logaddexp(0.0, -x) - self.no * np.logaddexp(0.0, x))


Prior = Gamma | Beta

#: Jeffreys' priors; of a rate it has no hours, so it needs some event or hours to be a density
JEFFREYS_RATE, JEFFREYS_CHANCE = Gamma(0.5, 0.0), Beta(0.5, 0.5)


def events_for(factor: float) -> float:
    """How many events a rate counts for that is good to this factor: 95 % quantile over 5 % is its square."""
    from scipy.optimize import brentq
    from scipy.special import gammaincinv

    def off(log_events: float) -> float:
        events = float(np.exp(log_events))
        return float(np.log(gammaincinv(events, 0.95) / gammaincinv(events, 0.05)) - 2 * np.log(factor))

    return float(np.exp(brentq(off, np.log(0.05), np.log(1e7))))
