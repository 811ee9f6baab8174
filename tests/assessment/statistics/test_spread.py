"""Quartiles and bootstrap intervals."""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.statistics.association import pearson
from faultiso.assessment.statistics.spread import Quartiles, bootstrap, quartiles
from faultiso.base.problems import UsageError


def mean(rows: np.ndarray) -> float:
    return float(rows.mean())


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=40))
def test_another_library_has_the_same_quartiles(values: list[float]) -> None:
    found = quartiles(values)
    assert found is not None
    expected = statistics.quantiles(values, n=4, method="inclusive")
    assert (found.lower, found.median, found.upper) == pytest.approx(expected, abs=1e-6)
    assert (found.least, found.largest, found.count) == (min(values), max(values), len(values))


def test_of_one_and_of_none() -> None:
    assert quartiles([3, None]) == Quartiles(3, 3, 3, 3, 3, 1)
    assert quartiles([1, 2, 3, 4]) == Quartiles(1, 1.75, 2.5, 3.25, 4, 4)
    assert quartiles([]) is None
    assert quartiles([None]) is None
    for slip in (math.nan, math.inf, "3", 1e13):
        with pytest.raises(UsageError, match="value 2"):
            quartiles([1, slip])


def test_the_same_on_every_machine() -> None:
    """These very numbers: the samples come from numbered streams, not from a library's generator."""
    rows = np.arange(30.0)[:, None]
    assert bootstrap(rows, mean) == bootstrap(rows, mean)
    assert bootstrap(rows, mean) == pytest.approx((11.433333333333334, 17.5), abs=1e-12)
    assert bootstrap(rows, mean, seed=2) != bootstrap(rows, mean)


def test_a_mean_has_the_interval_that_theory_gives() -> None:
    rows = np.random.default_rng(3).normal(10, 2, size=(60, 1))
    found = bootstrap(rows, mean)
    wide = 1.96 * rows.std() / 60**0.5
    assert found == pytest.approx((rows.mean() - wide, rows.mean() + wide), abs=0.06)


def test_another_library_has_nearly_the_same_interval() -> None:
    stats = pytest.importorskip("scipy.stats")
    rows = np.random.default_rng(3).normal(size=(40, 2)) + np.arange(40)[:, None] / 10
    theirs = stats.bootstrap(
        (rows[:, 0], rows[:, 1]), lambda a, b: np.corrcoef(a, b)[0, 1], paired=True, vectorized=False,
        n_resamples=2000, method="percentile", random_state=1,
    ).confidence_interval  # fmt: skip
    found = bootstrap(rows, lambda sample: pearson(sample[:, 0], sample[:, 1]))
    assert found == pytest.approx((theirs.low, theirs.high), abs=0.05)


def test_the_figure_moves_with_the_values_and_a_surer_interval_is_wider() -> None:
    rows = np.random.default_rng(5).random((20, 1))
    inner, outer = bootstrap(rows, mean, 0.8), bootstrap(rows, mean, 0.99)
    assert inner is not None and outer is not None
    assert outer[0] < inner[0] < inner[1] < outer[1]
    assert bootstrap(3 * rows + 1, mean, 0.8) == pytest.approx((3 * inner[0] + 1, 3 * inner[1] + 1))


def test_where_there_is_no_interval() -> None:
    rows = np.arange(12.0)[:, None]
    assert bootstrap(rows[:9], mean) is None
    assert bootstrap(rows[:0], mean) is None
    assert bootstrap(np.ones((30, 1)), mean) is None
    assert bootstrap(rows, lambda sample: None) is None
    assert bootstrap(rows, lambda sample: math.nan) is None
    assert bootstrap(rows, lambda sample: None if (sample != 0).all() else mean(sample)) is None


def test_a_figure_that_is_seldom_undefined_has_an_interval() -> None:
    """Of 12 people one is left out of a sample 35 times in a hundred, six of them at once hardly ever."""
    rows = np.arange(12.0)[:, None]
    assert bootstrap(rows, lambda sample: None if (sample >= 6).all() else mean(sample)) is not None
    assert bootstrap(rows, lambda sample: None if (sample != 0).all() else mean(sample)) is None


def test_slips_are_named() -> None:
    rows = np.arange(12.0)[:, None]
    for options in ({"level": 95}, {"level": 1.0}, {"draws": 0}, {"seed": -1}, {"seed": 2**64}):
        with pytest.raises(UsageError):
            bootstrap(rows, mean, **options)
