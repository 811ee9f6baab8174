"""Conditioning on a few variables: the same answers as one tree, in as little memory as asked."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.base.problems import TooLarge
from faultiso.engine.cutset import compile_cut, propagate_cut
from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import propagate
from faultiso.network.network import Network
from tests.engine.networks import networks, random_network, random_weights

DENSE = random_network(seed=1, count=9, most_parents=4, zeros=0.0, cards=(2, 3))


@settings(max_examples=60, deadline=None)
@given(networks(), st.integers(0, 2**32 - 1))
def test_the_same_as_one_tree(network: Network, seed: int) -> None:
    draw = np.random.default_rng(seed)
    variables = range(len(network.names))
    likelihoods = {v: random_weights(draw, network.cards[v], 3) for v in variables if draw.random() < 0.4}
    plain = compile_plan(network)
    whole = propagate(plain, likelihoods, columns=3)
    small = compile_cut(network, limit=max(400, plain.entries * 24 // 3))
    cut = propagate_cut(small, likelihoods, columns=3, wanted=variables)
    assert np.allclose(np.exp(cut.log_evidence), np.exp(whole.log_evidence), rtol=1e-10, atol=1e-300)
    for v in variables:
        assert np.allclose(cut.marginal(v), whole.marginal(v), atol=1e-10)


def test_something_is_told_in_turn_where_one_tree_does_not_fit() -> None:
    assert not compile_cut(DENSE).given
    assert compile_cut(DENSE, limit=compile_plan(DENSE).entries * 24 // 2).given


def test_too_large_is_said_before_anything_is_computed() -> None:
    larger = random_network(seed=1, count=24, most_parents=3, zeros=0.0, cards=(2, 3))
    with pytest.raises(TooLarge, match="told in turn"):
        compile_cut(larger, limit=10)
