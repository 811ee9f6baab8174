"""Ranking plain networks: against enumeration, in every way the engine can go, and against another library."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import faultiso.engine.parts as parts
import faultiso.engine.rank_network as rank_network
from faultiso.base.problems import TooLarge, UsageError
from faultiso.engine.brute import joint_table, marginal
from faultiso.engine.rank_network import Ranker, Ranking
from faultiso.network.network import Array, Network, Roles
from tests.benchmarks.make_network import make_network, plant
from tests.benchmarks.peers import rank_pyagrum, unread_checks
from tests.engine.networks import networks
from tests.engine.test_pairs import entropy_bits

EXACT = 1e-12


def random_roles(network: Network, draw: np.random.Generator) -> Roles:
    """Any variables as faults and checks; a check may be a fault, and may have children."""
    names = network.names
    faults = tuple(name for name in names if draw.random() < 0.4)
    checks = {name: 1.0 for name in names if draw.random() < 0.6}
    return Roles(faults, checks)


def random_findings(network: Network, roles: Roles, draw: np.random.Generator) -> dict[str, int | Array]:
    findings: dict[str, int | Array] = {}
    for v, name in enumerate(network.names):
        if draw.random() < (0.4 if name in roles.checks else 0.1):
            soft = draw.random() < 0.4
            findings[name] = draw.random(network.cards[v]) if soft else int(draw.integers(network.cards[v]))
    return findings


def check_ranking(network: Network, roles: Roles, findings: dict[str, int | Array], ranking: Ranking) -> None:
    weights = {
        network.index[name]: np.eye(network.cards[network.index[name]])[found]
        if isinstance(found, int)
        else found
        for name, found in findings.items()
    }
    table = joint_table(network, weights)
    total = table.sum()
    assert ranking.faults == roles.faults
    assert ranking.checks == tuple(name for name in roles.checks if name not in findings)
    if total == 0:
        assert ranking.log_evidence == -np.inf
        assert not ranking.p_fault.any()
        return
    table /= total
    assert ranking.log_evidence == pytest.approx(np.log(total), abs=1e-11)
    faults = [network.index[name] for name in roles.faults]
    present = np.array([1 - marginal(table, (f,))[0] for f in faults])
    np.testing.assert_allclose(ranking.p_fault, present, atol=EXACT)
    for number, name in enumerate(ranking.checks):
        check = network.index[name]
        p = marginal(table, (check,))
        np.testing.assert_allclose(ranking.p_outcome[number], p, atol=EXACT)
        absent = [marginal(table, (check, f))[:, 0] if f != check else p * np.eye(len(p))[0] for f in faults]
        after = [np.array([1 - a[o] / p[o] for a in absent]) for o in range(len(p)) if p[o] > 0]
        drop = entropy_bits(present) - sum(
            p_o * entropy_bits(np.clip(x, 0, 1)) for p_o, x in zip(p[p > 0], after, strict=True)
        )
        assert ranking.gain_bits_marginal[number] == pytest.approx(drop, abs=1e-9)
        likely = [o for o in range(len(p)) if p[o] > 1e-5]
        for o in likely:
            expected = np.array([1 - a[o] / p[o] for a in absent])
            np.testing.assert_allclose(ranking.posterior(name)[o], expected, atol=1e-9)


@given(networks(most=8), st.integers(0, 2**32 - 1), st.sampled_from(["plan", "parts", "cut"]))
@settings(max_examples=200, deadline=None)
def test_equals_enumeration(network: Network, seed: int, way: str) -> None:
    draw = np.random.default_rng(seed)
    roles = random_roles(network, draw)
    findings = random_findings(network, roles, draw)
    with pytest.MonkeyPatch.context() as patch:
        if way != "plan":
            patch.setattr(rank_network, "EASY", 0)
        if way == "cut":
            patch.setattr(parts, "COMFORT", 0)
            patch.setattr(parts, "LONGEST_CUT", 3)
        check_ranking(network, roles, findings, Ranker(network, roles).rank(findings))


def test_every_way_gives_the_same_on_a_benchmark_network(monkeypatch: pytest.MonkeyPatch) -> None:
    network, roles = make_network(2, seed=5, tangled=0.4)
    observed = plant(network, roles, 2, seed=5, count=1)[0].observed
    whole = Ranker(network, roles).rank(observed)
    monkeypatch.setattr(rank_network, "EASY", 0)
    monkeypatch.setattr(parts, "COMFORT", 200)
    monkeypatch.setattr(parts, "LONGEST_CUT", 3)
    split = Ranker(network, roles, limit=100_000).rank(observed)
    assert len(split.parts) > 1
    np.testing.assert_allclose(split.p_fault, whole.p_fault, atol=EXACT)
    np.testing.assert_allclose(split.gain_bits_marginal, whole.gain_bits_marginal, atol=1e-12)
    for name in whole.checks:
        np.testing.assert_allclose(split.posterior(name), whole.posterior(name), atol=1e-9)


@pytest.mark.parametrize("checks", [25, pytest.param(None, marks=pytest.mark.long)])
def test_equals_another_library_on_sixty_faults(checks: int | None) -> None:
    network, roles = make_network(3)
    observed = plant(network, roles, 3, count=1)[0].observed
    ours = Ranker(network, roles).rank(observed)
    peer = rank_pyagrum(network, roles, observed, unread_checks(roles, observed, checks))
    gains = dict(zip(ours.checks, ours.gain_bits_marginal, strict=True))
    chances = dict(zip(ours.checks, ours.p_outcome, strict=True))
    assert len(peer.gain) == (checks or len(ours.checks))
    for name in peer.gain:
        assert gains[name] == pytest.approx(peer.gain[name], abs=1e-9)
        assert chances[name][1] == pytest.approx(peer.p_abnormal[name], abs=1e-9)


def test_a_question_that_does_not_fit_is_refused() -> None:
    network, roles = make_network(2)
    observed = plant(network, roles, 2, count=1)[0].observed
    with pytest.raises(TooLarge, match=r"more than the limit of 1\.0 kB"):
        Ranker(network, roles, limit=1000).rank(observed)


def test_unknown_names_and_states_are_the_users_mistakes() -> None:
    network, roles = make_network(1)
    ranker = Ranker(network, roles)
    with pytest.raises(UsageError, match="no variable called 'c9_9'"):
        ranker.rank({"c9_9": 1})
    with pytest.raises(UsageError, match="there is no state 2"):
        ranker.rank({"c0_0": 2})
    with pytest.raises(UsageError, match="2 weights"):
        ranker.rank({"c0_0": [1.0, -1.0]})
    with pytest.raises(UsageError, match="no variable called 'ghost'"):
        Ranker(network, Roles(("ghost",), {}))
