"""Columns worked on class by class give what plain propagation gives, column by column."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.engine import alike
from faultiso.engine.alike import marginals
from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import propagate
from faultiso.network.network import Network
from tests.engine.networks import networks, random_network, random_weights

COLUMNS = 12


@given(networks(), st.integers(0, 2**32 - 1), st.sampled_from((0, 1, 100)))
@settings(max_examples=200, deadline=None)
def test_equals_plain_propagation(network: Network, seed: int, few: int) -> None:
    """With known variables, soft and hard evidence, of one column and of many; by either way of mixing."""
    draw = np.random.default_rng(seed)
    count = len(network.names)
    told = [v for v in range(count) if draw.random() < 0.4]
    known = {v: draw.integers(0, network.cards[v], COLUMNS) if draw.random() < 0.8 else 0 for v in told}
    likelihoods = {
        v: random_weights(draw, network.cards[v], COLUMNS if draw.random() < 0.4 else None)
        for v in range(count)
        if draw.random() < 0.4
    }
    plan = compile_plan(network, given=told)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(alike, "FEW", few)
        logs, found = marginals(plan, likelihoods, COLUMNS, range(count), known=known)
    plain = propagate(plan, likelihoods, COLUMNS, known=known)
    np.testing.assert_allclose(logs, plain.log_evidence, rtol=1e-11, atol=1e-11)
    for v in range(count):
        np.testing.assert_allclose(found[v], plain.marginal(v), atol=1e-12)


@given(st.integers(0, 2**32 - 1))
@settings(max_examples=25, deadline=None)
def test_equals_plain_propagation_on_larger_trees(seed: int) -> None:
    network = random_network(seed, 30, 3, 0.2, (2, 3))
    draw = np.random.default_rng(seed)
    told = [v for v in range(30) if draw.random() < 0.5]
    common = {v: int(draw.integers(0, network.cards[v])) for v in told}
    known = {v: np.full(COLUMNS, state) for v, state in common.items()}
    for column in range(1, COLUMNS):  # each column differs from the first in one known variable
        v = int(draw.choice(told)) if told else -1
        if told:
            known[v][column] = draw.integers(0, network.cards[v])
    plan = compile_plan(network, given=told)
    seen = {v: draw.random(network.cards[v]) for v in range(30) if v not in told and draw.random() < 0.2}
    logs, found = marginals(plan, seen, COLUMNS, range(30), known=known)
    plain = propagate(plan, seen, COLUMNS, known=known)
    np.testing.assert_allclose(logs, plain.log_evidence, rtol=1e-11, atol=1e-11)
    for v in range(30):
        np.testing.assert_allclose(found[v], plain.marginal(v), atol=1e-12)


@given(
    networks(), st.integers(0, 2**32 - 1), st.sampled_from((1 << 40, 1)), st.sampled_from((1 << 25, 400, 0))
)
@settings(max_examples=150, deadline=None)
def test_batch_after_batch_on_one_plan(network: Network, seed: int, large: int, most: int) -> None:
    """What is kept from other batches is used only where it is the same; of a large plan nothing is kept."""
    draw = np.random.default_rng(seed)
    count = len(network.names)
    told = [v for v in range(count) if draw.random() < 0.4]
    plan = compile_plan(network, given=told)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(alike, "LARGE_CODE", large)
        patch.setattr(alike, "MOST_KEPT", most)
        for _ in range(5):
            known = {
                v: draw.integers(0, network.cards[v], COLUMNS) if draw.random() < 0.6 else 0 for v in told
            }
            seen = {
                v: random_weights(draw, network.cards[v], COLUMNS if draw.random() < 0.3 else None)
                for v in range(count)
                if draw.random() < 0.3
            }
            logs, found = marginals(plan, seen, COLUMNS, range(count), known=known)
            plain = propagate(plan, seen, COLUMNS, known=known)
            np.testing.assert_allclose(logs, plain.log_evidence, rtol=1e-11, atol=1e-11)
            for v in range(count):
                np.testing.assert_allclose(found[v], plain.marginal(v), atol=1e-12)
            kept = vars(plan).get("_alike")
            assert (kept is None and most < 1 << 25) or kept.bytes <= most
