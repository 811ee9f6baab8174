"""Rank the checks of a plain network whose variables have roles.

Checks without children are left out of the network that is computed in: an observed one is a likelihood on
its parents, an unread one a function of them. A check that others depend on, or that is a fault itself, stays
in the network and is a function of itself. The plan is made once; where it would be too large, it is made
for each question from what that question needs (see ``parts``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from faultiso.base.problems import UsageError
from faultiso.engine.features import Source
from faultiso.engine.pairs import PairPlan, prepare_pairs
from faultiso.engine.parts import Part, Question, answer_in_parts
from faultiso.engine.plan import DEFAULT_LIMIT, Plan, compile_plan, estimate
from faultiso.engine.propagate import propagate
from faultiso.engine.tables import Factor, prior_of
from faultiso.network.network import Array, Network, Roles

Finding = int | Sequence[float] | Array

EASY = 1 << 19
"""Up to this many table entries one plan serves every question."""


@dataclass(frozen=True)
class Ranking:
    """Faults and unread checks given the findings.

    ``p_fault`` follows ``faults``; ``gain_bits_marginal`` and ``p_outcome`` follow ``checks``. Impossible
    findings: ``log_evidence`` is minus infinity and everything else zero.
    """

    faults: tuple[str, ...]
    checks: tuple[str, ...]
    log_evidence: float
    p_fault: Array
    p_outcome: tuple[Array, ...]
    gain_bits_marginal: Array
    parts: tuple[Part, ...]

    def posterior(self, check: str) -> Array:
        """P(fault present | findings, outcome), shape (outcomes, faults)."""
        part = next(part for part in self.parts if check in part.checks)
        found = part.result.posterior(part.checks.index(check))
        posterior = np.tile(self.p_fault, (len(found), 1))
        posterior[:, list(part.faults)] = found
        return posterior


class Ranker:
    """A network with roles, prepared once; ``rank`` answers for any findings."""

    def __init__(self, network: Network, roles: Roles, *, limit: int = DEFAULT_LIMIT) -> None:
        self.network, self.roles, self.limit = network, roles, limit
        self.faults = [_variable(network, name) for name in roles.faults]
        checks = {name: _variable(network, name) for name in roles.checks}
        keep = {v for v, children in enumerate(network.children) if children} | set(self.faults)
        self.core, self.place = network.restricted(keep)
        self.sources = {name: self._source(v) for name, v in checks.items()}

    def _source(self, variable: int) -> Source:
        if variable in self.place:
            return Source((self.place[variable],), np.eye(self.network.cards[variable]))
        parents = self.network.parents[variable]
        return Source(tuple(self.place[p] for p in parents), self.network.tables[variable])

    @cached_property
    def plan(self) -> Plan | None:
        """The plan that serves every question; None if it would be too large."""
        leaves = [v for v in range(len(self.network.names)) if v not in self.place]
        groups = [tuple(self.place[p] for p in self.network.parents[v]) for v in leaves]
        if estimate(self.core, groups) > EASY:
            return None
        plan = compile_plan(self.core, groups, limit=self.limit)
        prior_of(plan)
        return plan

    @cached_property
    def prepared(self) -> PairPlan | None:
        """The preparation of the pass over that plan, for all checks."""
        if self.plan is None:
            return None
        faults = [self.place[f] for f in self.faults]
        return prepare_pairs(self.plan, faults, tuple(self.sources.values()))

    def rank(self, observed: Mapping[str, Finding]) -> Ranking:
        """Posterior of every fault, and what each unread check would tell.

        ``observed``: name of a check (or of any other variable) -> observed state, or the weights of its
        states. Raises ``UsageError`` for an unknown name or state, ``TooLarge`` where an exact answer does
        not fit into the limit.
        """
        unread = tuple(name for name in self.sources if name not in observed)
        likelihoods, factors = self.evidence(observed)
        if self.plan is None or self.prepared is None:
            sources = {name: self.sources[name] for name in unread}
            faults = tuple(self.place[f] for f in self.faults)
            question = Question(self.core, faults, sources, likelihoods, factors)
            return self._ranking(unread, *answer_in_parts(question, self.limit))
        calibrated = propagate(self.plan, likelihoods, factors=factors, limit=self.limit)
        result = self.prepared.run(calibrated)
        part = Part(tuple(self.sources), tuple(range(len(self.faults))), result)
        return self._ranking(unread, float(calibrated.log_evidence[0]), result.p_fault, [part])

    def _ranking(
        self, unread: tuple[str, ...], log_evidence: float, p_fault: Array, parts: Sequence[Part]
    ) -> Ranking:
        gains: dict[str, float] = {}
        outcomes: dict[str, Array] = {}
        for part in parts:
            gains.update(zip(part.checks, part.result.gain_bits_marginal.tolist(), strict=True))
            outcomes.update(zip(part.checks, part.result.p_outcome, strict=True))
        return Ranking(
            faults=self.roles.faults,
            checks=unread,
            log_evidence=log_evidence,
            p_fault=p_fault,
            p_outcome=tuple(outcomes[name] for name in unread),
            gain_bits_marginal=np.array([gains[name] for name in unread]),
            parts=tuple(parts),
        )

    def evidence(self, observed: Mapping[str, Finding]) -> tuple[dict[int, Array], tuple[Factor, ...]]:
        """The findings as weights on variables of the core, and on the parents of what was left out."""
        likelihoods: dict[int, Array] = {}
        factors: list[Factor] = []
        for name, finding in observed.items():
            v = _variable(self.network, name)
            weights = _weights(self.network, v, finding)
            if v in self.place:
                likelihoods[self.place[v]] = weights
            else:
                parents = tuple(self.place[p] for p in self.network.parents[v])
                factors.append((parents, self.network.tables[v] @ weights))
        return likelihoods, tuple(factors)


def _variable(network: Network, name: str) -> int:
    if name not in network.index:
        raise UsageError(f"the network has no variable called {name!r}")
    return network.index[name]


def _weights(network: Network, variable: int, finding: Finding) -> Array:
    name, states = network.names[variable], network.cards[variable]
    if isinstance(finding, int | np.integer):
        if not 0 <= finding < states:
            raise UsageError(f"{name} has {states} states, counted from 0; there is no state {finding}")
        return np.asarray(np.eye(states)[int(finding)])
    weights = np.asarray(finding, dtype=float)
    if weights.shape != (states,) or not np.isfinite(weights).all() or (weights < 0).any():
        raise UsageError(f"{name} needs {states} weights that are not negative")
    return weights
