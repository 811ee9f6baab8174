"""Rank correlation."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.statistics.association import pearson, ranks, spearman
from faultiso.base.problems import UsageError
from tests.assessment.statistics.classes import said

few = st.integers(-3, 3)
lists = st.lists(st.tuples(few, few), min_size=3, max_size=25).map(lambda rows: list(zip(*rows, strict=True)))


@given(lists)
def test_another_library(sides: list[tuple[int, ...]]) -> None:
    stats = pytest.importorskip("scipy.stats")
    found = spearman(*sides)
    assert ranks(np.array(sides[0])) == pytest.approx(stats.rankdata(sides[0]))
    if min(len(set(side)) for side in sides) == 1:
        assert (found.value, found.note) == (None, "all are equal on one side")
    else:
        assert said(found) == pytest.approx(stats.spearmanr(*sides).statistic, abs=1e-9)


@given(lists)
def test_only_the_order_matters(sides: list[tuple[int, ...]]) -> None:
    first, second = sides
    found = spearman(first, second)
    assert spearman(second, first).value == pytest.approx(found.value, abs=1e-12)
    assert spearman([math.exp(x) for x in first], [3 * y**3 + 1 for y in second]) == found
    turned = spearman([-x for x in first], second)
    assert (turned.value is None) == (found.value is None)
    assert turned.value is None or turned.value == pytest.approx(-said(found), abs=1e-9)


@given(st.permutations(range(8)))
def test_without_ties_the_formula_by_squared_differences(order: list[int]) -> None:
    squares = sum((n - place) ** 2 for n, place in enumerate(order))
    assert said(spearman(range(8), order)) == pytest.approx(1 - 6 * squares / (8 * 63), abs=1e-12)


def test_missing_few_and_slips() -> None:
    assert spearman([1, 2, 3, None, 5], [1, 2, 3, 4, None]).count == 3
    assert spearman([1, 2, None], [1, 2, 3]).note == "too few to say (2 pairs)"
    assert spearman([], []).note == "too few to say (0 pairs)"
    assert spearman([1, 2, 3], [1, 2, 3]).note == "uncertain: only 3 pairs"
    assert spearman(range(10), range(10)).note == ""
    assert said(spearman([1e12, -1e12, 0], [1e-300, 0, 1e-310])) == 1.0
    for first in ([1, 2, math.nan], [1, math.inf, 2], [1, 2], [1, 2, "3"], [1, 2, 10**400]):
        with pytest.raises(UsageError):
            spearman(first, [1, 2, 3])


def test_what_is_nothing_but_rounding_does_not_vary() -> None:
    flat = np.array([0.1 + 0.2, 0.3, 0.3])
    assert pearson(flat, np.arange(3.0)) is None
    assert pearson(np.arange(3.0) * 1e-200, np.arange(3.0) * 1e200) == 1.0
