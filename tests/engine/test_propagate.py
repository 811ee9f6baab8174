"""Message passing against enumeration of the whole joint distribution."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.base.problems import TooLarge
from faultiso.engine.alike import marginals
from faultiso.engine.brute import joint_table, marginal
from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import blocks, log_evidence, propagate
from faultiso.network.network import Array, Network
from tests.engine.networks import networks, random_network, random_weights

EXACT = 1e-12
COLUMNS = 3


def column(weights: Array, k: int) -> Array:
    return weights if weights.ndim == 1 else weights[:, k]


def check_columns(network: Network, likelihoods: dict[int, Array], result: object, k: int) -> None:
    table = joint_table(network, {v: column(w, k) for v, w in likelihoods.items()})
    total = table.sum()
    got = result.log_evidence[k]  # type: ignore[attr-defined]
    assert not np.isnan(got)
    if total == 0:
        assert got == -np.inf
    else:
        assert got == pytest.approx(np.log(total), abs=EXACT * max(1, abs(np.log(total))))
    for v in range(len(network.names)):
        expected = marginal(table, (v,)) / (total or 1)
        np.testing.assert_allclose(result.marginal(v)[:, k], expected, atol=EXACT)  # type: ignore[attr-defined]


@given(networks(), st.integers(0, 2**32 - 1))
@settings(max_examples=150, deadline=None)
def test_equals_enumeration(network: Network, seed: int) -> None:
    draw = np.random.default_rng(seed)
    observed = [v for v in range(len(network.names)) if draw.random() < 0.5]
    likelihoods = {
        v: random_weights(draw, network.cards[v], COLUMNS if draw.random() < 0.6 else None) for v in observed
    }
    plan = compile_plan(network)
    result = propagate(plan, likelihoods, COLUMNS)
    for k in range(COLUMNS):
        check_columns(network, likelihoods, result, k)
    only = log_evidence(plan, likelihoods, COLUMNS)
    np.testing.assert_allclose(only, result.log_evidence, rtol=EXACT, atol=EXACT)


@given(networks(most=7), st.integers(0, 2**32 - 1))
@settings(max_examples=80, deadline=None)
def test_groups_lie_together_and_carry_evidence(network: Network, seed: int) -> None:
    draw = np.random.default_rng(seed)
    size = int(draw.integers(1, min(3, len(network.names)) + 1))
    group = tuple(int(v) for v in draw.choice(len(network.names), size, replace=False))
    weights = draw.random([network.cards[v] for v in group])
    plan = compile_plan(network, joint=[group])
    result = propagate(plan, {}, 1, factors=[(group, weights)])
    table = joint_table(network, {}, [(group, weights)])
    assert result.log_evidence[0] == pytest.approx(np.log(table.sum()), abs=1e-11)
    expected = marginal(table, group) / table.sum()
    np.testing.assert_allclose(result.joint(group)[..., 0], expected, atol=EXACT)


@given(networks(), st.integers(0, 2**32 - 1))
@settings(max_examples=80, deadline=None)
def test_known_variables_equal_hard_evidence(network: Network, seed: int) -> None:
    draw = np.random.default_rng(seed)
    told = [v for v in range(len(network.names)) if draw.random() < 0.4]
    known = {
        v: draw.integers(network.cards[v], size=COLUMNS)
        if draw.random() < 0.6
        else int(draw.integers(network.cards[v]))
        for v in told
    }
    likelihoods = {
        v: random_weights(draw, network.cards[v], COLUMNS)
        for v in range(len(network.names))
        if draw.random() < 0.3
    }
    result = propagate(compile_plan(network, given=told), likelihoods, COLUMNS, known=known)
    hot = {v: np.eye(network.cards[v])[np.broadcast_to(state, (COLUMNS,))].T for v, state in known.items()}
    both = {v: hot.get(v, 1.0) * likelihoods.get(v, 1.0) for v in {*hot, *likelihoods}}
    for k in range(COLUMNS):
        check_columns(network, both, result, k)


def test_blocks_give_the_same_as_one_batch() -> None:
    network = random_network(5, 8, 3, 0.0, (2, 3))
    plan = compile_plan(network)
    draw = np.random.default_rng(1)
    likelihoods = {7: draw.random((network.cards[7], 50)), 6: draw.random(network.cards[6])}
    narrow = plan.bytes(7)
    assert len(blocks(plan, 50, narrow)) == 8
    whole = propagate(plan, likelihoods, 50)
    logs, found = marginals(plan, likelihoods, 50, range(8), limit=narrow)
    np.testing.assert_allclose(logs, whole.log_evidence, rtol=1e-14)
    np.testing.assert_allclose(log_evidence(plan, likelihoods, 50, limit=narrow), logs, rtol=1e-14)
    for v in range(8):
        np.testing.assert_allclose(found[v], whole.marginal(v), rtol=1e-13)


def test_memory_is_refused_before_it_is_taken() -> None:
    network = random_network(5, 8, 3, 0.0, (2, 3))
    plan = compile_plan(network)
    with pytest.raises(TooLarge, match="limit of 10 kB"):
        propagate(plan, {}, 10_000_000, limit=10_000)
    with pytest.raises(TooLarge):
        blocks(plan, 5, limit=100)
    with pytest.raises(TooLarge, match="exact answer needs about"):
        compile_plan(network, joint=[range(8)], limit=1000)


@pytest.mark.parametrize("columns", [1, 40, 400])
def test_memory_stays_within_the_estimate(columns: int) -> None:
    network = random_network(2, 24, 4, 0.0, (2, 3))
    plan = compile_plan(network)
    draw = np.random.default_rng(0)
    likelihoods = {v: draw.random((network.cards[v], columns)) for v in range(0, 24, 2)}
    tracemalloc.start()
    result = propagate(plan, likelihoods, columns)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert np.isfinite(result.log_evidence).all()
    small = 200_000  # numbers, lists and the like
    assert plan.bytes(columns) / 4 < peak < plan.bytes(columns) + small


def test_long_chain_with_much_evidence_does_not_underflow() -> None:
    length = 3000
    states = (("a", "b"),) * (2 * length)
    step, reading = np.array([[0.9, 0.1], [0.2, 0.8]]), np.array([[0.999999, 1e-6], [0.9999, 1e-4]])
    parents = [(), (0,)] + [(v,) for i in range(1, length) for v in (2 * i - 2, 2 * i)]
    tables = [np.array([0.5, 0.5]), reading] + [step, reading] * (length - 1)
    network = Network(tuple(map(str, range(2 * length))), states, tuple(parents), tuple(tables))
    likelihoods = {2 * i + 1: np.array([0.0, 1.0]) for i in range(length)}
    result = propagate(compile_plan(network), likelihoods)
    expected, message = 0.0, np.array([0.5, 0.5])
    for _ in range(length):
        message = message * reading[:, 1]
        expected += np.log(message.sum())
        message = message / message.sum() @ step
    assert result.log_evidence[0] == pytest.approx(expected, rel=1e-12)
    assert np.isfinite(result.marginal(1000)).all()
    assert result.log_evidence[0] < -20000


def test_only_wanted_variables_can_be_asked() -> None:
    network = random_network(5, 8, 1, 0.0, (2, 3))
    result = propagate(compile_plan(network), {}, 1, wanted=[0])
    assert result.marginal(0).shape == (network.cards[0], 1)
    with pytest.raises(ValueError, match="wanted"):
        for v in range(8):
            result.marginal(v)
