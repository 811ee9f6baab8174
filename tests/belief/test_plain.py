"""Belief of a plain network, against adding up its whole joint distribution."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest

from faultiso.base.problems import UsageError
from faultiso.belief.plain import NetworkReasoner
from faultiso.network.network import Network, Roles


def network(seed: int) -> tuple[Network, Roles]:
    """Four faults, two hidden states, three checks; random tables."""
    random = np.random.default_rng(seed)
    names = ("f1", "f2", "f3", "f4", "h1", "h2", "c1", "c2", "c3")
    parents = ((), (), (), (), (0, 1, 2), (2, 3), (4,), (4, 5), (5,))
    cards = (2, 2, 2, 2, 2, 3, 2, 3, 2)
    tables = []
    for v, above in enumerate(parents):
        spread = random.dirichlet(np.full(cards[v], 0.6), size=[cards[p] for p in above])
        tables.append(spread if above else np.array([0.8, 0.2]) if v else np.array([0.6, 0.4]))
    states = tuple(tuple(f"s{i}" for i in range(n)) for n in cards)
    return Network(names, states, parents, tuple(tables)), Roles(names[:4], {"c1": 5.0, "c2": 3.0, "c3": 9.0})


def joint(found: Network) -> np.ndarray:
    total = np.zeros(found.cards)
    for states in product(*map(range, found.cards)):
        total[states] = math.prod(
            found.tables[v][(*(states[p] for p in found.parents[v]), states[v])] for v in range(len(states))
        )
    return total


def entropy(p: np.ndarray) -> float:
    return float(-sum(x * math.log2(x) for x in np.ravel(p) if x > 0))


def given(found: Network, observed: dict[str, str]) -> np.ndarray:
    """P(all, observed), zero where it is not as observed."""
    weights = joint(found)
    for name, state in observed.items():
        v = found.index[name]
        keep = np.zeros(found.cards[v])
        keep[found.states[v].index(state)] = 1
        weights = weights * keep.reshape([-1 if axis == v else 1 for axis in range(weights.ndim)])
    return weights


CASES = [(seed, observed) for seed in range(4) for observed in ({}, {"c1": "s1"}, {"c1": "s0", "c2": "s2"})]


@pytest.mark.parametrize(("seed", "observed"), CASES)
def test_it_says_what_the_joint_distribution_says(seed: int, observed: dict[str, str]) -> None:
    found, roles = network(seed)
    belief = NetworkReasoner(found, roles).believe(observed)
    weights = given(found, observed)
    evidence = weights.sum()
    posterior = weights / evidence
    faults = posterior.sum(axis=(4, 5, 6, 7, 8))
    for place, name in enumerate(roles.faults):
        axes = tuple(axis for axis in range(4) if axis != place)
        assert belief.faults[name] == pytest.approx(faults.sum(axis=axes)[1], abs=1e-12)
    assert len(belief.diagnoses) == 16 and belief.unlisted == pytest.approx(0, abs=1e-12)
    for diagnosis in belief.diagnoses:
        at = tuple(int(name in diagnosis.faults) for name in roles.faults)
        assert diagnosis.probability == pytest.approx(faults[at], abs=1e-12)
    alone = [given(found, {name: state}).sum() for name, state in observed.items()]
    assert belief.log2_evidence == pytest.approx(math.log2(evidence), abs=1e-10)
    assert belief.surprise_bits == pytest.approx(math.log2(math.prod(alone) / evidence), abs=1e-10)


@pytest.mark.parametrize(("seed", "observed"), CASES)
def test_so_it_does_for_the_value_of_checks(seed: int, observed: dict[str, str]) -> None:
    found, roles = network(seed)
    belief = NetworkReasoner(found, roles).believe(observed)
    checks = {check.name: check for check in belief.rank_checks()}
    assert set(checks) == set(roles.checks) - set(observed)
    posterior = given(found, observed)
    posterior = posterior / posterior.sum()
    for name, check in checks.items():
        axis = found.index[name]
        others = tuple(a for a in range(4, 9) if a != axis)
        both = np.moveaxis(posterior.sum(axis=others).reshape(16, found.cards[axis]), 0, 0)
        outcomes = both.sum(axis=0)
        information = entropy(both.sum(axis=1)) + entropy(outcomes) - entropy(both)
        assert list(check.outcomes.values()) == pytest.approx(outcomes.tolist(), abs=1e-12)
        assert check.gain_bits == pytest.approx((information, information), abs=1e-9)
        assert check.minutes == roles.checks[name]
    gains = [check.gain_bits[1] for check in belief.rank_checks()]
    assert gains == sorted(gains, reverse=True)


def test_states_by_name_or_number() -> None:
    reasoner = NetworkReasoner(*network(1))
    by_name = reasoner.believe({"c2": "s2"}).faults
    assert by_name == reasoner.believe({"c2": 2}).faults == reasoner.believe([("c2", "2")]).faults


@pytest.mark.parametrize(
    ("observed", "message"),
    [
        ({"cc2": "s1"}, r"no variable called 'cc2'; nearest: c2"),
        ({"c2": "s9"}, r"c2 cannot be 's9'; expected one of: s0, s1, s2"),
        ({"c2": 7}, r"c2 has 3 states, counted from 0; there is no state 7"),
        ({"c2": -1}, r"there is no state -1"),
    ],
)
def test_what_is_not_there_is_told(observed: dict[str, str | int], message: str) -> None:
    with pytest.raises(UsageError, match=message):
        _ = NetworkReasoner(*network(1)).believe(observed).faults
