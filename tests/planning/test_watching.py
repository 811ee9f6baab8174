"""What of a look is worth naming: no information to speak of is lost, and the rest is what the whole look says."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from faultiso.belief.looks import Look
from faultiso.planning.watching import KEPT_SHARE, information, worth_watching


def look_of(names: tuple[str, ...], patterns: list[tuple[str, ...]], of_sets: np.ndarray) -> Look:
    shown = tuple(dict(zip(names, pattern, strict=True)) for pattern in patterns)
    spread = of_sets.mean(axis=0)
    return Look("there", 3.0, (), names, shown, tuple(range(len(of_sets))), spread, of_sets, (1.0, 1.0))


def test_an_indication_that_shows_the_same_whatever_is_wrong_is_left_out() -> None:
    given_sets = np.array([[0.5, 0.5, 0.0, 0.0, 0.0], [0.0, 0.0, 0.5, 0.5, 0.0]])
    patterns = [("lit", "loud"), ("lit", "quiet"), ("out", "loud"), ("out", "quiet")]
    watch = worth_watching(look_of(("lamp", "noise"), patterns, given_sets), given_sets, np.array([0.5, 0.5]))
    assert watch.indications == ("lamp",)
    assert watch.patterns == (("lit",), ("out",))
    assert watch.given.tolist() == [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]


@settings(max_examples=60, deadline=None)
@given(seed=some.integers(0, 10_000), sets=some.integers(2, 5), signs=some.integers(1, 3))
def test_next_to_nothing_is_lost(seed: int, sets: int, signs: int) -> None:
    random = np.random.default_rng(seed)
    patterns = [tuple("ab"[p >> k & 1] for k in range(signs)) for p in range(1 << signs)]
    given_sets = random.dirichlet(np.full(len(patterns) + 1, 0.3), size=sets)
    prior = random.dirichlet(np.ones(sets))
    watch = worth_watching(look_of(tuple("xyz"[:signs]), patterns, given_sets), given_sets, prior)
    whole, kept = information(given_sets, prior), information(watch.given, prior)
    assert kept <= whole + 1e-9
    assert kept >= KEPT_SHARE * whole - 1e-9 or len(watch.indications) == signs
    assert watch.given.sum(axis=1) == pytest.approx(np.ones(sets))
