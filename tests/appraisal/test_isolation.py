"""Shares of faults detected and isolated, from a table of differences, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from faultiso.appraisal.isolation import isolation


def table(*pairs: tuple[int, int]) -> np.ndarray:
    """Differences of nothing wrong (0) and three faults, 1 for each of these pairs."""
    found = np.zeros((4, 4))
    for one, other in pairs:
        found[one, other] = found[other, one] = 1.0
    return found


def test_a_fault_that_nothing_shows_is_in_no_group_of_one_that_is_shown() -> None:
    """Fault 2 is not detected; a sign that differs by less than asked for does not part it from fault 1."""
    found = isolation(table((0, 1), (0, 3), (1, 3)), np.array([1.0, 1.0, 1.0]), ["a", "b", "c"], 0.5)
    assert found.detected.tolist() == [True, False, True]
    assert found.groups == (frozenset({0}), frozenset(), frozenset({2}))
    assert found.by_rate.isolated[0] == 1.0


def test_the_mean_size_is_by_rate() -> None:
    """Faults 1 and 2 alike in two units, fault 3 alone; rates 3, 1, 4: (2 * 3 + 2 * 1 + 1 * 4) / 8."""
    found = isolation(
        table((0, 1), (0, 2), (0, 3), (1, 3), (2, 3)), np.array([3.0, 1.0, 4.0]), ["a", "b", "c"], 0.5
    )
    assert found.by_rate.size == pytest.approx(1.5) and found.alike.size == pytest.approx(5 / 3)
    assert found.by_rate.isolated[:2] == (pytest.approx(0.5), 1.0)
