"""The same ranking with general-purpose libraries, each in its fastest exact way that its manual offers.

For each unread check c and outcome o: P(c = o | observed), P(f | observed, c = o) for all faults, and
gain(c) = sum of H(f | observed) - sum over o of P(c = o | observed) sum of H(f | observed, c = o), in bits.
Loading the network is not counted. Networks are filled in from our tables in double precision.
"""

from __future__ import annotations

import logging
import time
import warnings
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from faultiso.network.network import Network, Roles


@dataclass(frozen=True)
class PeerResult:
    """``seconds`` for all unread checks; ``scaled`` if only some were done and the time was scaled up."""

    seconds: float
    scaled: bool
    p_abnormal: Mapping[str, float]
    gain: Mapping[str, float]


def entropy_bits(p: Sequence[float]) -> float:
    """Summed binary entropies."""
    q = np.clip(np.asarray(p, float), 1e-300, 1 - 1e-16)
    return float(-(q * np.log2(q) + (1 - q) * np.log2(1 - q)).sum())


def unread_checks(roles: Roles, observed: Mapping[str, int], limit: int | None = None) -> list[str]:
    """Unread checks; with ``limit`` at most so many, spread over all."""
    unread = [check for check in roles.checks if check not in observed]
    if limit is None or limit >= len(unread):
        return unread
    return [unread[i] for i in np.linspace(0, len(unread) - 1, limit).astype(int)]


def rank_pyagrum(
    network: Network, roles: Roles, observed: Mapping[str, int], checks: Sequence[str], filled: Any = None
) -> PeerResult:
    """Lazy propagation with faults as targets, one engine for each check and outcome.

    ``filled``: the network if it was filled in before.
    """
    import pyagrum

    filled = filled or pyagrum_network(network)

    def faults_given(evidence: Mapping[str, int]) -> list[float]:
        engine = pyagrum.LazyPropagation(filled)
        engine.setEvidence(dict(evidence))
        for fault in roles.faults:
            engine.addTarget(fault)
        engine.makeInference()
        return [float(engine.posterior(fault)[1]) for fault in roles.faults]

    def outcome_of(check: str) -> float:
        engine = pyagrum.LazyPropagation(filled)
        engine.setEvidence(dict(observed))
        engine.addTarget(check)
        engine.makeInference()
        return float(engine.posterior(check)[1])

    return _rank(roles, observed, checks, faults_given, outcome_of)


def pyagrum_network(network: Network) -> Any:
    """Our tables in a network of that library."""
    import pyagrum

    filled = pyagrum.BayesNet()
    for name, states in zip(network.names, network.states, strict=True):
        filled.add(pyagrum.LabelizedVariable(name, name, list(states)))
    for v, parents in enumerate(network.parents):
        for p in parents:
            filled.addArc(network.names[p], network.names[v])
        for states in np.ndindex(network.tables[v].shape[:-1]):
            row = {network.names[p]: int(s) for p, s in zip(parents, states, strict=True)}
            filled.cpt(network.names[v])[row] = list(network.tables[v][states])
    return filled


def rank_pgmpy(
    network: Network, roles: Roles, observed: Mapping[str, int], checks: Sequence[str]
) -> PeerResult:
    """Variable elimination, one query for each fault, check and outcome."""
    warnings.filterwarnings("ignore")
    logging.disable(logging.WARNING)
    from pgmpy.inference import VariableElimination

    engine = VariableElimination(pgmpy_network(network))

    def one(name: str, evidence: Mapping[str, int]) -> float:
        factor = engine.query([name], evidence=dict(evidence), show_progress=False)
        return float(factor.values[1])

    return _rank(
        roles,
        observed,
        checks,
        lambda evidence: [one(fault, evidence) for fault in roles.faults],
        lambda check: one(check, observed),
    )


def pgmpy_network(network: Network) -> Any:
    """Our tables in a network of that library; states are numbers."""
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.models import DiscreteBayesianNetwork

    filled = DiscreteBayesianNetwork()
    filled.add_nodes_from(network.names)
    for v, parents in enumerate(network.parents):
        filled.add_edges_from((network.names[p], network.names[v]) for p in parents)
        flat = network.tables[v].reshape(-1, network.cards[v]).T
        filled.add_cpds(
            TabularCPD(
                network.names[v],
                network.cards[v],
                flat,
                [network.names[p] for p in parents] or None,
                [network.cards[p] for p in parents] or None,
            )
        )
    return filled


def _rank(
    roles: Roles,
    observed: Mapping[str, int],
    checks: Sequence[str],
    faults_given: Callable[[Mapping[str, int]], list[float]],
    outcome_of: Callable[[str], float],
) -> PeerResult:
    total = len(unread_checks(roles, observed))
    start = time.perf_counter()
    now = entropy_bits(faults_given(observed))
    base = time.perf_counter() - start
    start = time.perf_counter()
    p_abnormal, gain = {}, {}
    for check in checks:
        p = outcome_of(check)
        after = sum(
            w * entropy_bits(faults_given({**observed, check: o})) for o, w in ((0, 1 - p), (1, p)) if w > 0
        )
        p_abnormal[check], gain[check] = p, now - after
    seconds = base + (time.perf_counter() - start) * total / len(checks)
    return PeerResult(seconds, len(checks) < total, p_abnormal, gain)
