"""Pruning: what is left out changes no answer, and what is called separated is independent."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from faultiso.engine.brute import joint_table, marginal
from faultiso.engine.relevance import independent, requisite
from faultiso.network.network import Network
from tests.engine.networks import networks


def random_question(network: Network, seed: int) -> tuple[int, dict[int, np.ndarray]]:
    draw = np.random.default_rng(seed)
    target = int(draw.integers(len(network.names)))
    seen = [v for v in range(len(network.names)) if v != target and draw.random() < 0.35]
    return target, {v: np.eye(network.cards[v])[draw.integers(network.cards[v])] for v in seen}


@given(networks(), st.integers(0, 2**32 - 1))
@settings(max_examples=150, deadline=None)
def test_barren_variables_change_nothing(network: Network, seed: int) -> None:
    target, evidence = random_question(network, seed)
    needed = requisite(network, [target], evidence)
    small, new = network.restricted(set(needed.variables))
    whole = marginal(joint_table(network, evidence), (target,))
    part = marginal(joint_table(small, {new[v]: weights for v, weights in evidence.items()}), (new[target],))
    np.testing.assert_allclose(part, whole, atol=1e-12)


@given(networks(), st.integers(0, 2**32 - 1))
@settings(max_examples=150, deadline=None)
def test_only_requisite_tables_and_evidence_matter(network: Network, seed: int) -> None:
    """Spoil every other table and drop every other observation: the posterior stays."""
    target, evidence = random_question(network, seed)
    needed = requisite(network, [target], evidence)
    before = marginal(joint_table(network, evidence), (target,))
    if before.sum() == 0:
        return
    draw = np.random.default_rng(seed)
    tables = tuple(
        table if v in needed.tables else draw.dirichlet(np.ones(table.shape[-1]), table.shape[:-1])
        for v, table in enumerate(network.tables)
    )
    spoilt = Network(network.names, network.states, network.parents, tables)
    after = marginal(
        joint_table(spoilt, {v: w for v, w in evidence.items() if v in needed.evidence}), (target,)
    )
    np.testing.assert_allclose(after / after.sum(), before / before.sum(), atol=1e-12)


@given(networks(most=7), st.integers(0, 2**32 - 1))
@settings(max_examples=150, deadline=None)
def test_separated_variables_are_independent(network: Network, seed: int) -> None:
    target, evidence = random_question(network, seed)
    table = joint_table(network, evidence)
    if table.sum() == 0:
        return
    table = table / table.sum()
    for other in independent(network, target, evidence):
        together = marginal(table, (target, other))
        apart = np.outer(marginal(table, (target,)), marginal(table, (other,)))
        np.testing.assert_allclose(together, apart, atol=1e-12)


def test_explaining_away_opens_a_collider() -> None:
    """Two causes of one effect are independent until the effect or its consequence is seen."""
    half = np.array([0.5, 0.5])
    network = Network(
        ("a", "b", "effect", "reading"),
        (("0", "1"),) * 4,
        ((), (), (0, 1), (2,)),
        (half, half, np.full((2, 2, 2), 0.5), np.full((2, 2), 0.5)),
    )
    assert 1 in independent(network, 0, [])
    assert 1 not in independent(network, 0, [2])
    assert 1 not in independent(network, 0, [3])
    assert 3 in independent(network, 0, [2])
