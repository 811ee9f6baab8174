"""Difficulty and discrimination of items."""

from __future__ import annotations

import math
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.statistics.items import difficulty, item_total, members, upper_lower
from faultiso.assessment.statistics.marks import marks_of
from tests.assessment.statistics.classes import able, rows, said


@given(rows(), st.sampled_from([1, 3, 10, 100]), st.randoms())
def test_neither_scale_nor_order_of_people_matters(
    table: list[list[float]], largest: float, random: np.random.Generator
) -> None:
    other = [[mark * largest for mark in row] for row in table]
    random.shuffle(other)
    for method in (difficulty, item_total, upper_lower):
        first, second = method(marks_of(table)), method(marks_of(other, largest))
        assert [f.note for f in first] == [f.note for f in second]
        assert [f.value for f in first] == [pytest.approx(f.value, abs=1e-9) for f in second]


@given(rows())
def test_correlations_are_those_of_numpy(table: list[list[float]]) -> None:
    marks, values = marks_of(table), np.array(table)
    for corrected in (False, True):
        for item, figure in enumerate(item_total(marks, corrected)):
            total = values.sum(axis=1) - corrected * values[:, item]
            if np.ptp(total) == 0 or np.ptp(values[:, item]) == 0:
                assert figure.value is None and "same marks" in figure.note
            else:
                assert said(figure) == pytest.approx(np.corrcoef(values[:, item], total)[0, 1], abs=1e-9)


def test_of_right_and_wrong_it_is_the_point_biserial_correlation() -> None:
    stats = pytest.importorskip("scipy.stats")
    marks = able(40, 6, seed=3)
    for item, figure in zip(marks.complete.T, item_total(marks), strict=True):
        rest = marks.complete.sum(axis=1) - item
        assert said(figure) == pytest.approx(stats.pointbiserialr(item, rest).statistic, abs=1e-12)


@given(rows())
def test_an_item_in_its_own_total_looks_no_worse(table: list[list[float]]) -> None:
    marks = marks_of(table)
    for plain, corrected in zip(item_total(marks, False), item_total(marks), strict=True):
        if plain.value is not None and corrected.value is not None:
            assert plain.value >= corrected.value - 1e-9


def test_what_all_do_alike_tells_nobody_apart() -> None:
    table = [[1, 0, n % 2, n % 3 / 2, n % 2] for n in range(12)]
    found = item_total(marks_of(table))
    assert [f.note for f in found[:2]] == ["all have the same marks in this case"] * 2
    assert found[2].value is not None
    only = item_total(marks_of([[1, n % 2] for n in range(12)]))
    assert [f.note for f in only] == [
        "all have the same marks in this case",
        "all have the same marks in the others",
    ]
    assert "no other case" in item_total(marks_of([[n % 2] for n in range(12)]))[0].note
    assert upper_lower(marks_of([[1, 0]] * 12))[0].note == "all have the same total"


def test_nothing_is_shown_as_minus_nothing() -> None:
    table = [[0.1 * (n % 2), 0.1, 0.3 * (n // 2 % 2), 0.7 * (n // 4 % 2)] for n in range(16)]
    signs = [math.copysign(1, said(f)) for f in item_total(marks_of(table)) if f.value is not None]
    assert signs == [1.0, 1.0, 1.0]


def test_small_classes_are_told_so() -> None:
    nine, ten, thirty = (marks_of([[n % 2, n % 3 / 2] for n in range(size)]) for size in (9, 10, 30))
    for method in (item_total, upper_lower):
        assert {f.note for f in method(nine)} == {"too few to say (9 people)"}
        assert {f.note for f in method(ten)} == {"uncertain: only 10 people"}
        assert {f.note for f in method(thirty)} == {""}
        assert all(f.value is not None for f in (*method(ten), *method(thirty)))


def test_groups_by_hand() -> None:
    """Eleven people, so three in each group: the best were right in 3, 2 and 1 of 3, the last in 0, 1, 1."""
    others = [[0, 0, 1, 1]] * 5
    best = [[1, 1, 1, 1], [1, 1, 0, 1], [1, 0, 0.5, 1]]
    last = [[0, 0.5, 0, 0.5], [0, 0, 0.5, 0], [0, 0.5, 0.5, 0.5]]
    found = [said(f) for f in upper_lower(marks_of([*best, *others, *last]))]
    assert found == pytest.approx([1, 2 / 3 - 1 / 3, 1.5 / 3 - 1 / 3, 1 - 1 / 3], abs=1e-12)


@given(st.lists(st.integers(0, 3), min_size=1, max_size=6), st.data())
def test_ties_at_the_edge_are_the_mean_over_all_orders(totals: list[int], data: st.DataObject) -> None:
    size = data.draw(st.integers(1, len(totals)))
    orders = list(permutations(range(len(totals))))
    inside = np.zeros(len(totals))
    for order in orders:
        inside[sorted(order, key=lambda n: -totals[n])[:size]] += 1 / len(orders)
    assert members(np.array(totals, dtype=float), size) == pytest.approx(inside, abs=1e-9)


def test_equal_totals_are_equal_whatever_their_rounding() -> None:
    """0.1 + 0.2 + 0.3 is not 0.3 + 0.2 + 0.1 to the last bit, but the two people are as good as each other."""
    table = [[0.1, 0.2, 0.3], [0.3, 0.2, 0.1]] * 6 + [[1, 1, 1], [0, 0, 0]]
    size = round(0.27 * 14)
    share = (size - 1) / 12 * 6 * (0.1 + 0.3)
    expected = (1 + share - share) / size
    assert said(upper_lower(marks_of(table))[0]) == pytest.approx(expected, abs=1e-12)
