"""What an outcome tells about the set of faults lies between the bounds, however few sets are listed."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.belief.value import gain_bounds
from faultiso.network.network import Array

ONE_SIGN = np.zeros(1, dtype=np.intp)


def drawn(seed: int, sets: int, outcomes: int) -> tuple[Array, Array]:
    """P(set) and P(outcome | set), some of them certain."""
    random = np.random.default_rng(seed)
    posterior = random.dirichlet(np.full(sets, 0.5))
    given = random.dirichlet(np.full(outcomes, 0.3), size=sets)
    certain = random.random(sets) < 0.3
    given[certain] = np.eye(outcomes)[random.integers(outcomes, size=certain.sum())]
    return posterior, given


def information(posterior: Array, given: Array) -> float:
    """I(set; outcome) in bits, from the joint distribution as it is defined."""
    total = 0.0
    spread = posterior @ given
    for p, row in zip(posterior, given, strict=True):
        for outcome, q in enumerate(row):
            if p * q > 0:
                total += p * q * np.log2(q / spread[outcome])
    return total


@given(st.integers(0, 10**6), st.integers(1, 9), st.integers(2, 4), st.data())
def test_the_true_information_lies_between_the_bounds(
    seed: int, sets: int, outcomes: int, data: st.DataObject
) -> None:
    posterior, given = drawn(seed, sets, outcomes)
    kept = data.draw(st.integers(0, sets))
    lower, upper = gain_bounds(posterior @ given, given[:kept], posterior[:kept], ONE_SIGN)
    true = information(posterior, given)
    assert lower[0] - 1e-9 <= true <= upper[0] + 1e-9
    if kept == sets:
        assert lower[0] == pytest.approx(upper[0], abs=1e-9)
        assert true == pytest.approx(upper[0], abs=1e-9)


@given(st.integers(0, 10**6))
def test_more_listed_sets_never_widen_the_bounds(seed: int) -> None:
    posterior, given = drawn(seed, 8, 3)
    gaps = []
    for kept in range(9):
        lower, upper = gain_bounds(posterior @ given, given[:kept], posterior[:kept], ONE_SIGN)
        gaps.append(upper[0] - lower[0])
    assert all(after <= before + 1e-9 for before, after in pairwise(gaps))


def test_several_signs_side_by_side_are_judged_each_on_its_own() -> None:
    first, second = drawn(1, 6, 2), drawn(2, 6, 4)
    posterior = first[0]
    together = np.concatenate([first[1], second[1]], axis=1)
    starts = np.array([0, 2], dtype=np.intp)
    both = gain_bounds(posterior @ together, together[:4], posterior[:4], starts)
    for place, (_, of_sets) in enumerate((first, second)):
        alone = gain_bounds(posterior @ of_sets, of_sets[:4], posterior[:4], ONE_SIGN)
        assert both[0][place] == pytest.approx(alone[0][0])
        assert both[1][place] == pytest.approx(alone[1][0])
