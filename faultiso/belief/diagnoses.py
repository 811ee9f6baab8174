"""Sets of faults that are present together, best first, each with its exact probability.

A diagnosis sums over effects (marginal MAP), so each set is one column of evidence on all the faults.
Candidates come in the order of the product of the faults' posteriors; the mass that the evaluated sets
leave over is known exactly, so the list is certified when that mass is below its last entry.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.belief.scene import FaultAt, Scene
from faultiso.engine.alike import marginals
from faultiso.network.network import Array

BLOCK_BYTES = 1 << 28  # memory that one block of columns may take


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """A set of faults present together and no other, with its posterior probability."""

    faults: tuple[str, ...]
    probability: float


def best_first(posteriors: Mapping[str, float]) -> Iterator[frozenset[str]]:
    """All subsets of the faults by decreasing product of independent posteriors (Lawler-style branching)."""
    inside = frozenset(name for name, p in posteriors.items() if p > 0.5)
    costs = sorted((abs(_log_odds(p)), name) for name, p in posteriors.items() if 0.0 < p < 1.0)
    yield inside
    if not costs:
        return
    # a state is (cost, last flipped place, flipped places); its successors flip the next place too or instead
    heap: list[tuple[float, int, tuple[int, ...]]] = [(costs[0][0], 0, (0,))]
    while heap:
        cost, last, flips = heapq.heappop(heap)
        yield inside.symmetric_difference(costs[i][1] for i in flips)
        after = last + 1
        if after < len(costs):
            heapq.heappush(heap, (cost + costs[after][0], after, (*flips, after)))
            instead = cost + costs[after][0] - costs[last][0]
            heapq.heappush(heap, (instead, after, (*flips[:-1], after)))


def _log_odds(p: float) -> float:
    return float(np.log(p) - np.log1p(-p))


@dataclass(frozen=True)
class Listed:
    """The evaluated sets of faults and P(exactly this set | readings), shape (sets,)."""

    sets: tuple[frozenset[str], ...]
    posterior: Array

    @property
    def rest(self) -> float:
        """Probability of all sets that were not evaluated."""
        return max(1.0 - float(self.posterior.sum()), 0.0)


@dataclass(frozen=True)
class Columns:
    """Sets of faults as columns of one scene; several sets share a column if they differ in free faults only.

    ``column`` (sets,) is each set's column, ``posterior`` (columns,) P(the scene's part of it | readings).
    """

    column: NDArray[np.intp]
    posterior: Array
    marginals: Mapping[int, Array]

    def marginal(self, variable: int) -> Array:
        """P(state | set, readings), shape (sets, states); for the variables that were wanted."""
        return np.asarray(self.marginals[variable].T[self.column])


def fault_weights(faults: Mapping[str, FaultAt], sets: Sequence[frozenset[str]]) -> dict[int, Array]:
    """Weights (states, columns) on the fault variables that let exactly the given faults be present."""
    row = {name: i for i, name in enumerate(faults)}
    there = np.zeros((len(faults), len(sets)), dtype=bool)
    for column, chosen in enumerate(sets):
        for name in chosen:
            there[row[name], column] = True
    found: dict[int, Array] = {}
    for name, at in faults.items():
        mask = np.where(there[row[name]], at.present[:, None], 1.0 - at.present[:, None])
        found[at.variable] = mask if at.variable not in found else found[at.variable] * mask
    return found


def evaluate(
    scene: Scene, log_evidence: float, sets: Sequence[frozenset[str]], wanted: Sequence[int]
) -> Columns:
    """The scene's part of each set as a column of evidence; ``log_evidence``: of the readings alone."""
    parts = [chosen.intersection(scene.faults) for chosen in sets]
    places = {part: i for i, part in enumerate(dict.fromkeys(parts))}
    weights = fault_weights(scene.faults, list(places))
    known = {v: weights.pop(v).argmax(axis=0) for v in scene.coins}
    evidence = scene.evidence()
    for variable, of_states in evidence.items():
        if variable in known:
            continue
        weights[variable] = weights[variable] * of_states[:, None] if variable in weights else of_states
    plan = scene.plan_given_faults
    limit = max(BLOCK_BYTES, plan.bytes(1))  # one column at least: compiling has allowed that much
    logs, found = marginals(plan, weights, len(places), wanted, known=known, limit=limit)
    log_of_coins = sum(_log(evidence[v])[known[v]] for v in scene.coins if v in evidence)
    return Columns(
        column=np.array([places[part] for part in parts], dtype=np.intp),
        posterior=np.exp(logs + log_of_coins - log_evidence),
        marginals=found,
    )


def _log(weights: Array) -> Array:
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(weights))


def posterior_of_sets(scene: Scene, columns: Columns, sets: Sequence[frozenset[str]]) -> Array:
    """P(exactly this set | readings): the scene's part times the priors of the free faults."""
    certain = {name for name, p in scene.free.items() if p in (0.0, 1.0)}
    uncertain = {name: p for name, p in scene.free.items() if name not in certain}
    none_of_them = math.prod(1.0 - p for p in uncertain.values())
    odds = {name: p / (1.0 - p) for name, p in uncertain.items()}
    of_free = [
        none_of_them
        * math.prod(odds.get(name, 1.0) for name in chosen)
        * all((name in chosen) == (scene.free[name] == 1.0) for name in certain)
        for chosen in sets
    ]
    return columns.posterior[columns.column] * np.array(of_free)
