"""How values spread, and how far a figure would move with other people of the same kind."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.assessment.statistics.figure import LARGEST, LEAST_PEOPLE, numbers
from faultiso.base.problems import UsageError
from faultiso.network.network import Array
from faultiso.world.streams import LARGEST_SEED, uniform

SEED = 1
DRAWS = 2000
LEAST_DEFINED = 0.95  # share of the draws in which a figure has to have a value at all


@dataclass(frozen=True, slots=True)
class Quartiles:
    """Five numbers of a distribution, and how many values there are."""

    least: float
    lower: float
    median: float
    upper: float
    largest: float
    count: int


def quartiles(values: Sequence[float | None]) -> Quartiles | None:
    """Least, lower quartile, median, upper quartile, largest; None is left out, and if nothing is left, the
    answer. Raises UsageError for what is no number.

    Between two values by linear interpolation, definition 7 of R. J. Hyndman and Y. Fan, "Sample
    quantiles in statistical packages", American Statistician 50:361-365 (1996).
    """
    known = numbers(values, "value", -LARGEST, LARGEST)
    known = known[~np.isnan(known)]
    if not len(known):
        return None
    least, lower, median, upper, largest = np.quantile(known, (0, 0.25, 0.5, 0.75, 1)).tolist()
    return Quartiles(least, lower, median, upper, largest, len(known))


def bootstrap(
    rows: Array,
    figure: Callable[[Array], float | None],
    level: float = 0.95,
    seed: int = SEED,
    draws: int = DRAWS,
) -> tuple[float, float] | None:
    """The percentile interval of ``figure`` of ``rows`` (a row for each person), by samples with
    replacement.

    None for fewer than LEAST_PEOPLE rows, where ``figure`` is None (undefined) in more than one sample of
    twenty, and where it is the same in all: an interval of no width claims what was never shown. The same
    rows in the same order give the same samples on every machine. B. Efron and R. J. Tibshirani, An
    Introduction to the Bootstrap, Chapman and Hall 1993, chapter 13.
    """
    if not 0 < level < 1:
        raise UsageError(f"a level of confidence lies between 0 and 1; found {level!r}")
    if draws < 1 or not 0 <= seed <= LARGEST_SEED:
        raise UsageError(f"there is one draw at least, and a seed goes from 0 to {LARGEST_SEED}")
    if len(rows) < LEAST_PEOPLE:
        return None
    found = [figure(rows[sample]) for sample in _samples(len(rows), seed, draws)]
    known = np.array([value for value in found if value is not None and np.isfinite(value)])
    if len(known) < LEAST_DEFINED * draws:
        return None
    low, high = np.quantile(known, ((1 - level) / 2, (1 + level) / 2)).tolist()
    return (low, high) if high > low else None


def _samples(people: int, seed: int, draws: int) -> Iterator[NDArray[np.int64]]:
    """Places of the people drawn, ``people`` of them for each draw."""
    places = np.arange(people, dtype=np.uint64)
    seeds = np.full_like(places, seed)
    for draw in range(draws):
        yield (uniform(f"bootstrap {draw}", seeds, places) * people).astype(np.int64)
