"""Scores of stated confidence."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.assessment.statistics.confidence import (
    Band,
    brier,
    brier_of_classes,
    brier_parts,
    log_score,
    log_score_of_classes,
)
from faultiso.base.problems import UsageError
from tests.assessment.statistics.classes import said

NOTHING = "no confidence was stated"
statements = st.lists(
    st.tuples(st.integers(0, 20).map(lambda n: n / 20), st.booleans()), min_size=1, max_size=30
)


@given(statements)
def test_another_library(given_statements: list[tuple[float, bool]]) -> None:
    metrics = pytest.importorskip("sklearn.metrics")
    p, true = (list(side) for side in zip(*given_statements, strict=True))
    assert said(brier(p, true)) == pytest.approx(metrics.brier_score_loss(true, p, pos_label=True), abs=1e-12)
    inner = [min(0.99, max(0.01, value)) for value in p]
    theirs = metrics.log_loss(true, inner, labels=[False, True]) / math.log(2)
    assert said(log_score(inner, true)) == pytest.approx(theirs, abs=1e-9)


@given(statements, st.lists(st.integers(0, 10), unique=True).map(lambda e: [n / 10 for n in sorted(e)]))
def test_the_parts_add_up(given_statements: list[tuple[float, bool]], edges: list[float]) -> None:
    p, true = (list(side) for side in zip(*given_statements, strict=True))
    for limits in ([], edges):
        parts = brier_parts(p, true, limits)
        assert parts is not None
        assert parts.score == pytest.approx(said(brier(p, true)), abs=1e-12)
        assert sum(band.count for band in parts.bands) == len(p)
        assert min(parts.reliability, parts.resolution, parts.uncertainty) >= 0
        assert parts.resolution <= parts.uncertainty + 1e-12
    exact = brier_parts(p, true)
    assert exact is not None and exact.within == pytest.approx(0, abs=1e-12)
    assert [band.stated for band in exact.bands] == pytest.approx(sorted(set(p)))


def test_parts_by_hand() -> None:
    parts = brier_parts([0.8, 0.8, 0.8, 0.8, 0.2, 0.2], [True, True, True, False, False, True])
    assert parts is not None
    assert parts.bands == (Band(2, 0.2, 0.5), Band(4, 0.8, 0.75))
    assert parts.reliability == pytest.approx((2 * 0.3**2 + 4 * 0.05**2) / 6)
    assert parts.resolution == pytest.approx((2 * (1 / 6) ** 2 + 4 * (1 / 12) ** 2) / 6)
    assert parts.uncertainty == pytest.approx(2 / 9)
    whole = brier_parts([0.8, 0.2], [True, False], [0.5])
    assert whole is not None and [band.count for band in whole.bands] == [1, 1]
    edge = brier_parts([0.5, 0.4], [True, False], [0.5])
    assert edge is not None and [band.stated for band in edge.bands] == [0.4, 0.5]


@given(st.integers(1, 9), st.integers(0, 10))
def test_nothing_beats_saying_what_one_believes(tenths: int, other: int) -> None:
    """Both scores are proper: over ten cases of which so many come true, the true share scores best."""
    true = [n < tenths for n in range(10)]
    p, q = tenths / 10, min(0.99, max(0.01, other / 10))
    for score in (brier, log_score):
        assert said(score([p] * 10, true)) <= said(score([q] * 10, true)) + 1e-12


@given(statements)
def test_two_classes_are_twice_one(given_statements: list[tuple[float, bool]]) -> None:
    p, true = (list(side) for side in zip(*given_statements, strict=True))
    rows, classes = [(value, 1 - value) for value in p], [0 if t else 1 for t in true]
    assert said(brier_of_classes(rows, classes)) == pytest.approx(2 * said(brier(p, true)), abs=1e-12)
    one, other = log_score(p, true), log_score_of_classes(rows, classes)
    assert (one.value is None) == (other.value is None)
    assert one.value == pytest.approx(other.value, abs=1e-9)


def test_certain_and_wrong_is_said() -> None:
    found = log_score([1.0, 0.0, 0.5, 1.0], [False, True, True, True])
    assert (found.value, found.count) == (None, 4)
    assert found.note == "certain and wrong 2 of 4 times: without limit"
    assert said(log_score([1.0, 0.0], [True, False])) == 0.0
    assert log_score_of_classes([[1, 0, 0]], [1]).value is None
    assert said(brier([1.0, 0.0], [False, True])) == 1.0
    assert math.isfinite(said(log_score([5e-324], [True])))


def test_what_was_not_stated_is_left_out() -> None:
    assert brier([None, 0.5], [True, True]).count == 1
    assert said(log_score([None, 0.5], [True, True])) == 1.0
    for figure in (
        brier([], []),
        log_score([None], [True]),
        brier_of_classes([], []),
        log_score_of_classes([], []),
    ):
        assert (figure.value, figure.count, figure.note) == (None, 0, NOTHING)
    assert brier_parts([None], [False]) is None


def test_slips_are_named() -> None:
    for words, call in (
        ("stated probability 2 is 70", lambda: brier([0.7, 70], [True, True])),
        ("stated probability 1 is nan", lambda: log_score([math.nan], [True])),
        ("True or False", lambda: brier([0.5], [None])),
        ("True or False", lambda: brier([0.5], [0.5])),
        ("2 and 1", lambda: brier([0.5, 0.5], [True])),
        ("rising", lambda: brier_parts([0.5], [True], [0.5, 0.2])),
        ("edge 1 is 5", lambda: brier_parts([0.5], [True], [5])),
        ("1 in all", lambda: brier_of_classes([[0.5, 0.6]], [0])),
        ("1 in all", lambda: brier_of_classes([[0.5, 0.5], [1.0]], [0, 0])),
        ("1 in all", lambda: log_score_of_classes([[]], [0])),
        ("not one of 0 to 1", lambda: log_score_of_classes([[0.5, 0.5]], [2])),
        ("not one of 0 to 1", lambda: brier_of_classes([[0.5, 0.5]], [-1])),
    ):
        with pytest.raises(UsageError) as raised:
            call()
        assert words in str(raised.value)
    assert isinstance(brier([0.5], [np.True_]).value, float)
