"""Two versions of a model on the same rows: paired differences with their intervals."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.learning.fit import Fit, Judged
from faultiso.network.network import Array

TOPS = (1, 3)
NORMAL = 1.959964  # 97.5 % quantile of the standard normal distribution


@dataclass(frozen=True)
class Difference:
    """Of the second model from the first, row by row: the mean and its 95 % interval."""

    mean: float
    interval: tuple[float, float]


@dataclass(frozen=True)
class Comparison:
    """Two models on the ``rows`` that both call possible; ``only``: rows that only one of them rules out."""

    first: Fit
    second: Fit
    rows: int
    only: tuple[int, int]
    log_likelihood: Difference
    within: tuple[Difference, Difference]


Pairs = Sequence[tuple[Judged, Judged]]


def compare(first: Fit, second: Fit) -> Comparison:
    """Fits of two models to the same rows in the same order, difference by difference."""
    both = list(zip(first.judged, second.judged, strict=True))
    pairs = [(a, b) for a, b in both if a.possible and b.possible]
    return Comparison(
        first=first,
        second=second,
        rows=sum(a.times for a, _ in pairs),
        only=(
            sum(a.times for a, b in both if b.possible and not a.possible),
            sum(a.times for a, b in both if a.possible and not b.possible),
        ),
        log_likelihood=_shifted(
            _difference(pairs, [b.total - a.total for a, b in pairs]), second.quiet - first.quiet, pairs
        ),
        within=(_of_top(pairs, TOPS[0]), _of_top(pairs, TOPS[1])),
    )


def _of_top(pairs: Pairs, top: int) -> Difference:
    named = [(a, b) for a, b in pairs if a.rank and b.rank]
    return _difference(named, [float(b.rank <= top) - float(a.rank <= top) for a, b in named])


def _difference(pairs: Pairs, values: Sequence[float]) -> Difference:
    return difference(np.array(values), np.array([a.times for a, _ in pairs], dtype=float))


def _shifted(found: Difference, by: float, pairs: Pairs) -> Difference:
    """With the difference that the quiet hours make. Hours between rows vary about as much as they are long,
    as waiting times do, and that widens the interval."""
    number = sum(a.times for a, _ in pairs)
    wide = (found.interval[1] - found.interval[0]) / 2
    wide = math.hypot(wide, NORMAL * by / math.sqrt(max(number, 1)))
    return Difference(found.mean + by, (found.mean + by - wide, found.mean + by + wide))


def difference(values: Array, times: Array) -> Difference:
    """The mean of paired differences, each ``times`` often, and its interval by Student's t distribution."""
    number = float(times.sum())
    mean = float(values @ times) / number if number else math.nan
    if number < 2:
        return Difference(mean, (-math.inf, math.inf))
    from scipy.special import stdtrit

    error = math.sqrt(float(times @ (values - mean) ** 2) / (number - 1) / number)
    wide = float(stdtrit(number - 1, 0.975)) * error
    return Difference(mean, (mean - wide, mean + wide))
