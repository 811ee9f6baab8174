"""How surprising the findings are together.

Conflict measure of Jensen, Chamberlain, Nordahl & Jensen (1991), see also Jensen (2001): the binary
logarithm of the product of the single probabilities over the joint one. Positive: the findings contradict
each other (a rare fault, two faults, or a misreading); negative: they support each other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf, log

import numpy as np

from faultiso.engine.plan import Plan, compile_plan
from faultiso.engine.propagate import log_evidence
from faultiso.engine.relevance import requisite
from faultiso.network.network import Array, Network


def conflict_bits(network: Network, evidence: Mapping[int, int | Sequence[float] | Array]) -> float:
    """log2( prod P(e_i) / P(e) ); infinite when the findings cannot occur together.

    ``evidence``: variable -> observed state, or the weights of its states.
    """
    if not evidence:
        return 0.0
    needed = requisite(network, (), evidence).variables
    small, new = network.restricted(set(needed))
    weights = {new[v]: finding_weights(network, v, finding) for v, finding in evidence.items()}
    together, single = _logarithms(compile_plan(small), weights)
    return inf if together == -inf else (sum(single) - together) / log(2)


def finding_weights(network: Network, variable: int, finding: int | Sequence[float] | Array) -> Array:
    """The likelihood of a finding: one-hot for an observed state, the weights themselves otherwise."""
    if isinstance(finding, int | np.integer):
        return np.asarray(np.eye(network.cards[variable])[int(finding)])
    return np.asarray(finding, dtype=float)


def _logarithms(plan: Plan, weights: Mapping[int, Array]) -> tuple[float, list[float]]:
    """Log probability of all findings, and of each alone: one column for each question."""
    columns = len(weights) + 1
    likelihoods = {}
    for column, (v, table) in enumerate(weights.items(), start=1):
        likelihoods[v] = np.ones((len(table), columns))
        likelihoods[v][:, 0] = table
        likelihoods[v][:, column] = table
    logs = log_evidence(plan, likelihoods, columns)
    return float(logs[0]), [float(one) for one in logs[1:]]
