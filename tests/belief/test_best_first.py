"""Sets of faults come by decreasing product of the faults' posteriors, all of them, each once."""

from __future__ import annotations

import math
from itertools import chain, combinations, islice

import pytest
from hypothesis import given
from hypothesis import strategies as st

from faultiso.belief.diagnoses import best_first

CHANCES = st.floats(0.001, 0.999) | st.sampled_from([0.5, 0.25, 0.75, 0.1, 0.9])


def product(chosen: frozenset[str], posteriors: dict[str, float]) -> float:
    return math.prod(p if name in chosen else 1 - p for name, p in posteriors.items())


def subsets(names: list[str]) -> set[frozenset[str]]:
    return set(map(frozenset, chain.from_iterable(combinations(names, n) for n in range(len(names) + 1))))


def named(chances: list[float]) -> dict[str, float]:
    return {f"fault_{number}": chance for number, chance in enumerate(chances)}


@given(st.lists(CHANCES, max_size=8))
def test_every_set_comes_once_and_none_before_a_likelier_one(chances: list[float]) -> None:
    posteriors = named(chances)
    found = list(best_first(posteriors))
    assert len(found) == 2 ** len(chances)
    assert set(found) == subsets(list(posteriors))
    products = [product(chosen, posteriors) for chosen in found]
    assert products == pytest.approx(sorted(products, reverse=True), rel=1e-9)


def test_certain_faults_are_in_every_set_and_impossible_ones_in_none() -> None:
    found = list(best_first({"certain": 1.0, "never": 0.0, "open": 0.3}))
    assert found == [frozenset({"certain"}), frozenset({"certain", "open"})]


def test_many_faults_are_no_burden() -> None:
    posteriors = named([0.01 + i / 1000 for i in range(300)])
    found = list(islice(best_first(posteriors), 1000))
    products = [product(chosen, posteriors) for chosen in found]
    assert len(set(found)) == 1000
    assert products == pytest.approx(sorted(products, reverse=True), rel=1e-9)
