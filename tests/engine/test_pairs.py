"""All faults against all checks, compared with enumeration and the formula written out."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

import faultiso.engine.pairs as pairs
import faultiso.engine.steps as steps
from faultiso.engine.brute import joint_table, marginal
from faultiso.engine.features import Source
from faultiso.engine.plan import compile_plan
from faultiso.engine.propagate import propagate
from faultiso.network.network import Array, Network
from tests.engine.networks import networks, random_table, random_weights

EXACT = 1e-12


def entropy_bits(p: Array) -> float:
    both = np.stack([p, 1 - p])
    return float(-(both * np.log2(both, out=np.zeros_like(both), where=both > 0)).sum())


def random_sources(network: Network, draw: np.random.Generator, most_parents: int) -> list[Source]:
    sources = []
    for _ in range(int(draw.integers(1, 7))):
        size = int(draw.integers(0, min(most_parents, len(network.names)) + 1))
        parents = tuple(int(v) for v in draw.choice(len(network.names), size, replace=False))
        shape = (*[network.cards[p] for p in parents], int(draw.integers(2, 4)))
        sources.append(Source(parents, random_table(draw, shape, float(draw.choice([0.0, 0.5])))))
    return sources


def check_against_enumeration(
    network: Network,
    likelihoods: dict[int, Array],
    faults: list[int],
    sources: list[Source],
    result: pairs.PairResult,
) -> None:
    whole = joint_table(network, likelihoods)
    total = whole.sum() or 1.0
    present = [1 - (marginal(whole, (f,)) / total)[0] if whole.sum() else 0.0 for f in faults]
    np.testing.assert_allclose(result.p_fault, present, atol=EXACT)
    for c, source in enumerate(sources):
        extended = extend(network, source)
        table = joint_table(extended, likelihoods) / total
        new = len(network.names)
        p = marginal(table, (new,))
        if whole.sum() == 0:
            assert result.gain_bits_marginal[c] == 0
            continue
        np.testing.assert_allclose(result.p_outcome[c], p, atol=EXACT)
        joint = np.array([p - marginal(table, (new, f))[:, 0] for f in faults]).reshape(len(faults), len(p)).T
        np.testing.assert_allclose(result.joint(c), joint, atol=EXACT)
        gain = entropy_bits(np.array(present)) - sum(
            p[o] * entropy_bits(np.clip(joint[o] / p[o], 0, 1)) for o in range(len(p)) if p[o] > 0
        )
        assert abs(result.gain_bits_marginal[c] - gain) < 1e-9
        for o in np.flatnonzero(p > 1e-6):
            np.testing.assert_allclose(result.posterior(c)[o], joint[o] / p[o], atol=1e-9)


def extend(network: Network, source: Source) -> Network:
    return Network(
        (*network.names, "check"),
        (*network.states, tuple(str(o) for o in range(source.table.shape[-1]))),
        (*network.parents, source.parents),
        (*network.tables, source.table),
    )


@given(networks(most=8), st.integers(0, 2**32 - 1), st.booleans(), st.booleans())
@settings(max_examples=200, deadline=None)
def test_equals_enumeration(network: Network, seed: int, together: bool, dense: bool) -> None:
    draw = np.random.default_rng(seed)
    faults = [v for v in range(len(network.names)) if draw.random() < 0.6]
    likelihoods = {
        v: random_weights(draw, network.cards[v], None)
        for v in range(len(network.names))
        if draw.random() < 0.3
    }
    sources = random_sources(network, draw, 3 if together else 2)
    groups = [source.parents for source in sources] if together else []
    calibrated = propagate(compile_plan(network, joint=groups), likelihoods)
    limit, steps.DENSE = steps.DENSE, 1 << 18 if dense else 0
    try:
        result = pairs.rank_pairs(calibrated, faults, sources)
    finally:
        steps.DENSE = limit
    check_against_enumeration(network, likelihoods, faults, sources, result)


def test_parents_far_apart_need_no_common_clique() -> None:
    """A chain of 7 with a check on its ends, and faults beside every link."""
    draw = np.random.default_rng(3)
    parents = ((), (), *[p for i in range(1, 7) for p in [(2 * i - 2, 2 * i - 1), ()]])
    tables = tuple(random_table(draw, (2,) * (len(p) + 1), 0.0) for p in parents)
    network = Network(tuple(map(str, range(14))), (("a", "b"),) * 14, parents, tables)
    sources = [
        Source((0, 12), random_table(draw, (2, 2, 2), 0.0)),
        Source((12, 4), random_table(draw, (2, 2, 3), 0.2)),
    ]
    plan = compile_plan(network)
    assert plan.clique_of((0, 12)) is None
    likelihoods = {6: np.array([0.3, 0.9])}
    result = pairs.rank_pairs(propagate(plan, likelihoods), list(range(14)), sources)
    check_against_enumeration(network, likelihoods, list(range(14)), sources, result)
