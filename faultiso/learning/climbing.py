"""The most probable figures: expectation-maximisation, made faster by looking ahead.

A. P. Dempster, N. M. Laird and D. B. Rubin, JRSS B 39:1-38, 1977; R. Varadhan and C. Roland, Scandinavian
Journal of Statistics 35:335-353, 2008. Figures are logarithms of rates and log odds of chances, so that where
every row says what happened the answer is the mean of a gamma or of a beta.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.learning.conjugate import Beta, Gamma, Prior
from faultiso.learning.posterior import Said, log_odds_in, logistic
from faultiso.network.network import Array

MOST_ROUNDS = 200
CLOSE = 1e-5
FLAT = 1e-8  # gain in the logarithm of the density that moves no figure
LONGEST = 2.0  # step of one Newton turn, in the logarithm of a rate
TURNS = 6


@dataclass(frozen=True)
class Place:
    """A point of the climb: figures in x, the logarithm of the joint density there, what rows say there."""

    x: Array
    height: float
    said: tuple[Said, ...]


See = Callable[[Array], Place]


def climbed(see: See, priors: Sequence[Prior], start: Array, tell: Callable[[int], None]) -> Place:
    """The top. ``see``: works out a place; ``tell``: is told how many rounds were made."""
    here = see(start)
    for number in range(MOST_ROUNDS):
        tell(number)
        first = maximised(here, priors)
        if np.abs(first - here.x).max(initial=0.0) < CLOSE:
            break
        middle = see(first)
        second = maximised(middle, priors)
        before, here = here, _best(see, [_ahead(here.x, first, second), second], middle, here)
        if here.height - before.height < FLAT:
            break  # no way up is left
    return here


def _ahead(start: Array, first: Array, second: Array) -> Array:
    """As far along as the last two steps let one hope (scheme S3 of Varadhan and Roland)."""
    step, bend = first - start, second - 2 * first + start
    if not bend.any():
        return second
    length = -max(1.0, float(np.linalg.norm(step) / np.linalg.norm(bend)))
    return np.asarray(start - 2 * length * step + length**2 * bend)


def _best(see: See, tries: Iterable[Array], middle: Place, here: Place) -> Place:
    """The first try that is no lower than where we are; else half a step, and half of that."""
    for x in tries:
        found = see(x)
        if found.height >= middle.height:
            return found
    if middle.height >= here.height:
        return middle
    step = middle.x - here.x
    for _ in range(20):
        step = step / 2
        found = see(here.x + step)
        if found.height >= here.height:
            return found
    return here


def maximised(place: Place, priors: Sequence[Prior]) -> Array:
    """The figures that are best for what the rows say happened, each alone."""
    return np.array(
        [_best_of(prior, said, float(x)) for prior, said, x in zip(priors, place.said, place.x, strict=True)]
    )


def _best_of(prior: Prior, said: Said, x: float) -> float:
    if isinstance(prior, Beta):
        return float(np.log((prior.yes + said.yes) / (prior.no + said.no)))
    return _best_rate(prior, said, x)


def _best_rate(prior: Gamma, said: Said, x: float) -> float:
    """Newton's method on the logarithm of the rate."""
    hours, rows = prior.hours + said.hours, said.yes + said.no
    for _ in range(TURNS):
        rate = np.exp(x)
        chance = float(logistic(log_odds_in(np.asarray(x), said.own) + said.offset))
        bend = float(rate * said.own / -np.expm1(-rate * said.own))  # of the log odds by x
        slope = prior.events - hours * rate + bend * (said.yes - rows * chance)
        x += float(
            np.clip(slope / (hours * rate + bend**2 * rows * chance * (1 - chance)), -LONGEST, LONGEST)
        )
    return x
