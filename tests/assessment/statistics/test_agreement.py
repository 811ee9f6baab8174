"""Kappa and its interval."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from faultiso.assessment.statistics.agreement import (
    POWERS,
    agreement_weights,
    kappa,
    kappa_of_table,
    standard_error,
)
from faultiso.base.problems import UsageError
from tests.assessment.statistics.classes import said

WEIGHTS = ("none", "linear", "quadratic")
BANDS = ("fail", "pass", "merit", "honours")

pairs = st.lists(st.tuples(st.sampled_from(BANDS), st.sampled_from(BANDS)), min_size=1, max_size=40)
weights = st.sampled_from(WEIGHTS)


def test_fully_agreed() -> None:
    given = list(BANDS) * 10
    for name in WEIGHTS:
        found = kappa(given, given, BANDS, name)
        assert said(found) == pytest.approx(1.0, abs=1e-12)
        assert found.interval is None


@given(pairs, weights)
def test_who_is_first_and_which_way_the_order_runs_is_no_matter(
    given_pairs: list[tuple[str, str]], name: Any
) -> None:
    first, second = zip(*given_pairs, strict=True)
    found = kappa(first, second, BANDS, name)
    for other in (kappa(second, first, BANDS, name), kappa(first, second, BANDS[::-1], name)):
        assert (other.note, other.count) == (found.note, found.count)
        assert other.value == pytest.approx(found.value, abs=1e-9)
        assert other.interval == pytest.approx(found.interval, abs=1e-6)
    assert found.value is None or -1 - 1e-9 <= found.value <= 1 + 1e-9


@given(pairs, weights)
def test_another_library(given_pairs: list[tuple[str, str]], name: str) -> None:
    metrics = pytest.importorskip("sklearn.metrics")
    first, second = zip(*given_pairs, strict=True)
    found = kappa(first, second, BANDS, name)
    if found.value is None:
        assert len({*first, *second}) == 1
    else:
        theirs = metrics.cohen_kappa_score(
            first, second, labels=list(BANDS), weights=None if name == "none" else name
        )
        assert found.value == pytest.approx(theirs, abs=1e-9)


@given(pairs)
def test_quadratic_weights_are_the_concordance_of_the_places(given_pairs: list[tuple[str, str]]) -> None:
    """J. L. Fleiss and J. Cohen, Educational and Psychological Measurement 33:613-619 (1973)."""
    first, second = zip(*given_pairs, strict=True)
    a, b = (np.array([BANDS.index(x) for x in side]) for side in (first, second))
    spread = a.var() + b.var() + (a.mean() - b.mean()) ** 2
    assume(spread > 0)
    expected = 2 * ((a - a.mean()) * (b - b.mean())).mean() / spread
    assert said(kappa(first, second, BANDS, "quadratic")) == pytest.approx(expected, abs=1e-9)


def value_of(p: np.ndarray, agreed: np.ndarray) -> tuple[float, float]:
    chance = float(p.sum(axis=1) @ agreed @ p.sum(axis=0))
    return (float((agreed * p).sum()) - chance) / (1 - chance), chance


@given(st.lists(st.integers(1, 20), min_size=9, max_size=9), weights)
def test_the_error_is_that_of_a_multinomial_sample(counts: list[int], name: str) -> None:
    """Its first-order error by numerical slopes of kappa, one cell at a time."""
    p = np.array(counts, dtype=float).reshape(3, 3) / sum(counts)
    agreed, step = agreement_weights(3, name), 1e-6
    value, chance = value_of(p, agreed)
    slopes = np.zeros((3, 3))
    for cell in np.ndindex(3, 3):
        more = p.copy()
        more[cell] += step
        less = p.copy()
        less[cell] -= step
        slopes[cell] = (value_of(more / more.sum(), agreed)[0] - value_of(less / less.sum(), agreed)[0]) / (
            2 * step
        )
    variance = (p * slopes**2).sum() - (p * slopes).sum() ** 2
    assert standard_error(p, agreed, value, chance) == pytest.approx(math.sqrt(variance), abs=1e-5)


def test_values_of_the_literature() -> None:
    """Three categories, 200 pairs. First: Fleiss, Cohen and Everitt 1969, kappa 0.429, variance 0.002885; second:
    Cohen 1968, weighted kappa 0.348, unweighted 0.492. Both from memory, recomputed."""
    p = np.array([[0.53, 0.05, 0.02], [0.11, 0.14, 0.05], [0.01, 0.06, 0.03]])
    value, chance = value_of(p, np.eye(3))
    assert value == pytest.approx(0.429, abs=0.0005)
    assert standard_error(p, np.eye(3), value, chance) ** 2 / 200 == pytest.approx(0.002885, abs=5e-7)
    found = kappa_of_table(np.round(200 * p))
    assert found.interval == pytest.approx((value - 1.96 * 0.05371, value + 1.96 * 0.05371), abs=1e-4)
    p = np.array([[0.44, 0.07, 0.09], [0.05, 0.20, 0.05], [0.01, 0.03, 0.06]])
    apart = np.array([[0, 1, 3], [1, 0, 6], [3, 6, 0]])
    assert value_of(p, 1 - apart / 6)[0] == pytest.approx(0.348, abs=0.0005)
    assert said(kappa_of_table(np.round(200 * p))) == pytest.approx(0.492, abs=0.0005)


def test_the_interval_covers() -> None:
    random = np.random.default_rng(8)
    p = np.array([[0.3, 0.1, 0.02], [0.06, 0.2, 0.06], [0.01, 0.05, 0.2]])
    for name in WEIGHTS:
        truth = value_of(p, agreement_weights(3, name))[0]
        found = [
            kappa_of_table(random.multinomial(150, p.ravel()).reshape(3, 3), name).interval
            for _ in range(400)
        ]
        inside = [ends is not None and ends[0] <= truth <= ends[1] for ends in found]
        assert 0.92 <= np.mean(inside) <= 0.98


def test_what_cannot_be_said() -> None:
    assert kappa([], [], BANDS).note == "too few to say (0 pairs)"
    assert kappa([None, "pass"], ["pass", None], BANDS).note == "too few to say (0 pairs)"
    same = kappa(["pass"] * 40, ["pass"] * 40, BANDS, "linear")
    assert (same.value, same.note) == (None, "both gave one and the same mark throughout")
    few = kappa(["pass", "fail"] * 4, ["pass", "merit"] * 4, BANDS)
    assert few.interval is None and few.note == "uncertain: 8 pairs for 4 categories, 32 wanted"
    assert kappa_of_table([[3]]).value is None


def test_enough_pairs_have_an_interval() -> None:
    assert kappa_of_table([[3, 1], [1, 3]]).interval is not None
    assert kappa_of_table([[3, 1], [1, 2]]).note == "uncertain: 7 pairs for 2 categories, 8 wanted"


@given(st.lists(st.integers(8, 60), min_size=2, max_size=4), weights)
def test_full_agreement_claims_no_interval(counts: list[int], name: str) -> None:
    """Nor does rounding give it one of the width 1e-8."""
    full = kappa_of_table(np.diag(counts), name)
    assert said(full) == pytest.approx(1, abs=1e-12)
    assert full.interval is None


def test_a_pair_that_one_did_not_mark_is_left_out() -> None:
    first, second = ["pass", "fail", None, "merit"], ["pass", "pass", "fail", None]
    assert kappa(first, second, BANDS) == kappa(first[:2], second[:2], BANDS)


@given(pairs)
def test_a_category_that_nobody_uses_at_the_end_is_no_matter(given_pairs: list[tuple[str, str]]) -> None:
    first, second = zip(*given_pairs, strict=True)
    for name in POWERS:
        longer = kappa(first, second, (*BANDS, "prize"), name)
        assert longer.value == pytest.approx(kappa(first, second, BANDS, name).value, abs=1e-9)


def test_slips_are_named() -> None:
    for words, call in (
        ("nearest: merit", lambda: kappa(["merits"], ["pass"], BANDS)),
        ("3 and 1", lambda: kappa(["pass"] * 3, ["pass"], BANDS)),
        ("listed once", lambda: kappa(["a"], ["a"], ("a", "a"))),
        ("listed once", lambda: kappa(["a"], ["a"], ("a", None))),
        ("found 'cubic'", lambda: kappa(["pass"], ["pass"], BANDS, "cubic")),
        ("row and a column", lambda: kappa_of_table([[1, 2], [3]])),
        ("row and a column", lambda: kappa_of_table([])),
        ("whole numbers", lambda: kappa_of_table([[1, math.nan], [0, 1]])),
        ("whole numbers", lambda: kappa_of_table([[1, -1], [0, 1]])),
        ("whole numbers", lambda: kappa_of_table([[1, 0.5], [0, 1]])),
        ("whole numbers", lambda: kappa_of_table([["a", "b"], ["c", "d"]])),
        ("level", lambda: kappa_of_table([[1, 0], [0, 1]], level=95)),
    ):
        with pytest.raises(UsageError) as raised:
            call()
        assert words in str(raised.value)
