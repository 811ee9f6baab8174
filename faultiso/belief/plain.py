"""Belief of a plain network: tables and roles, no conditions, no repairs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from pathlib import Path

import numpy as np

from faultiso.base.nearest import nearest
from faultiso.base.problems import TooLarge, UsageError
from faultiso.belief.diagnoses import Diagnosis, best_first
from faultiso.belief.value import entropy_bits, gain_bounds
from faultiso.engine.conflict import conflict_bits
from faultiso.engine.plan import Plan, compile_plan
from faultiso.engine.propagate import Propagation, propagate
from faultiso.engine.rank_network import Ranker, Ranking
from faultiso.network.network import Array, Network, Roles

SETS = 256  # sets of faults by which a check is judged
BYTES_FOR_SETS = 1 << 28  # memory above which sets of faults are not evaluated


@dataclass(frozen=True)
class PlainCheck:
    """One unread check of a plain network: minutes, and information in bits about the set of faults."""

    name: str
    minutes: float
    gain_bits: tuple[float, float]
    gain_bits_marginal: float
    outcomes: Mapping[str, float]


class NetworkReasoner:
    """A plain network that can be asked; prepared once for all questions."""

    def __init__(self, network: Network, roles: Roles) -> None:
        self.network = network
        self.roles = roles
        self.ranker = Ranker(network, roles)

    def believe(self, observations: Mapping[str, str | int] | Iterable[tuple[str, str | int]]) -> PlainBelief:
        """The belief after observed states, by state name or number. Unknown names raise UsageError."""
        pairs = observations.items() if isinstance(observations, Mapping) else observations
        return PlainBelief(self, {name: self._state(name, state) for name, state in pairs})

    def _state(self, name: str, state: str | int) -> int:
        if name not in self.network.index:
            close = nearest(name, self.network.names)
            raise UsageError(
                f"the network has no variable called {name!r}" + (f"; nearest: {close}" if close else "")
            )
        states = self.network.states[self.network.index[name]]
        if isinstance(state, int):
            return state
        if state in states:
            return states.index(state)
        if state.isascii() and state.isdigit() and int(state) < len(states):
            return int(state)
        raise UsageError(f"{name} cannot be {state!r}; expected one of: {', '.join(states)}")


class PlainBelief:
    """As ``Belief``: ``faults``, ``diagnoses``, ``surprise_bits``, ``rank_checks()``.

    Where sets of faults cannot be evaluated exactly in the memory allowed, ``diagnoses`` is empty,
    ``limitation`` says so, and the bounds of ``gain_bits`` are the ones that hold without them.
    """

    def __init__(self, reasoner: NetworkReasoner, observed: Mapping[str, int]) -> None:
        self._reasoner = reasoner
        self._network = reasoner.network
        self.observed = dict(observed)

    @cached_property
    def ranking(self) -> Ranking:
        found = self._reasoner.ranker.rank(self.observed)
        if found.log_evidence == -math.inf:
            raise UsageError("these observations contradict each other: together they have probability 0")
        return found

    @cached_property
    def faults(self) -> dict[str, float]:
        """P(fault present | observations), highest first."""
        pairs = zip(self.ranking.faults, self.ranking.p_fault.tolist(), strict=True)
        return dict(sorted(pairs, key=lambda pair: -pair[1]))

    @property
    def log2_evidence(self) -> float:
        return self.ranking.log_evidence / math.log(2)

    @cached_property
    def surprise_bits(self) -> float:
        """log2( product of P(observation) / P(all observations) )."""
        index = self._network.index
        return conflict_bits(self._network, {index[name]: state for name, state in self.observed.items()})

    @cached_property
    def diagnoses(self) -> tuple[Diagnosis, ...]:
        """The evaluated sets of faults present together, best first."""
        if self._sets is None:
            return ()
        pairs = zip(self._sets.sets, self._sets.posterior.tolist(), strict=True)
        found = [Diagnosis(tuple(sorted(chosen)), p) for chosen, p in pairs if p > 0]
        return tuple(sorted(found, key=lambda d: (-d.probability, d.faults)))

    @cached_property
    def unlisted(self) -> float:
        return max(0.0, 1.0 - sum(d.probability for d in self.diagnoses))

    @property
    def none_modelled(self) -> float:
        return next((d.probability for d in self.diagnoses if not d.faults), 0.0)

    @property
    def limitation(self) -> str:
        """What was not computed exactly, and what stands instead; empty if everything was."""
        if self._sets is not None:
            return ""
        return (
            "sets of faults would need more memory than allowed and are not listed; "
            "faults, outcomes and gain_bits_marginal are exact, gain_bits are wider bounds"
        )

    def rank_checks(self) -> list[PlainCheck]:
        """The unread checks, most information about the set of faults first."""
        ranking = self.ranking
        bounds = self._bounds()
        found = []
        for number, name in enumerate(ranking.checks):
            states = self._network.states[self._network.index[name]]
            found.append(
                PlainCheck(
                    name=name,
                    minutes=self._reasoner.roles.checks[name],
                    gain_bits=bounds[number],
                    gain_bits_marginal=float(ranking.gain_bits_marginal[number]),
                    outcomes=dict(zip(states, ranking.p_outcome[number].tolist(), strict=True)),
                )
            )
        return sorted(found, key=lambda c: (-c.gain_bits[1], -c.gain_bits_marginal, c.minutes, c.name))

    def _bounds(self) -> list[tuple[float, float]]:
        spreads = self.ranking.p_outcome
        if self._sets is None or not spreads:
            return [(0.0, float(entropy_bits(spread))) for spread in spreads]
        given = np.concatenate([self._sets.given(name) for name in self.ranking.checks], axis=1)
        starts = np.cumsum([0, *(len(spread) for spread in spreads)])[:-1].astype(np.intp)
        lower, upper = gain_bounds(np.concatenate(spreads), given, self._sets.posterior, starts)
        return list(zip(lower.tolist(), upper.tolist(), strict=True))

    @cached_property
    def _sets(self) -> _Sets | None:
        try:
            return _evaluated(self._reasoner, self.observed, self.faults, self.ranking.log_evidence)
        except TooLarge:
            return None


@dataclass(frozen=True)
class _Sets:
    """Evaluated sets of faults; ``propagation`` has one column for each."""

    reasoner: NetworkReasoner
    sets: tuple[frozenset[str], ...]
    posterior: Array
    propagation: Propagation

    def given(self, check: str) -> Array:
        """P(outcome | set, observations), shape (sets, outcomes)."""
        source = self.reasoner.ranker.sources[check]
        joint = self.propagation.joint(source.parents)
        return np.tensordot(joint, source.table, axes=(list(range(len(source.parents))),) * 2)


def _evaluated(
    reasoner: NetworkReasoner,
    observed: Mapping[str, int],
    posteriors: Mapping[str, float],
    log_evidence: float,
) -> _Sets:
    ranker = reasoner.ranker
    sets = tuple(islice(best_first(posteriors), SETS))
    plan = _plan(ranker)
    known = {
        v: np.fromiter((name in chosen for chosen in sets), dtype=np.intp, count=len(sets))
        for name, v in zip(reasoner.roles.faults, _fault_places(ranker), strict=True)
    }
    likelihoods, factors = ranker.evidence(observed)
    result = propagate(
        plan, likelihoods, columns=len(sets), factors=factors, known=known, limit=BYTES_FOR_SETS
    )
    return _Sets(reasoner, sets, np.exp(result.log_evidence - log_evidence), result)


def _fault_places(ranker: Ranker) -> list[int]:
    return [ranker.place[v] for v in ranker.faults]


def _plan(ranker: Ranker) -> Plan:
    groups = [source.parents for source in ranker.sources.values()]
    return compile_plan(ranker.core, groups, given=_fault_places(ranker), limit=BYTES_FOR_SETS // SETS)


def read_network(network_path: str | Path, roles_path: str | Path) -> NetworkReasoner:
    """A network file (BIF, XMLBIF, UAI) and a JSON file of roles, ready to be asked.

    Raises UsageError or InvalidModel with everything that is wrong with the files.
    """
    from faultiso.interchange.roles import read_network as read

    return NetworkReasoner(*read(network_path, roles_path))
