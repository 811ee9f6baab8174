"""Exact answers where one tree would not fit: a few variables are told in turn (Pearl 1988, section 4.4).

Each told variable halves the largest tables and doubles the cases; the cases are averaged with their
probabilities, so the answer stays exact and only takes longer.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from faultiso.base.problems import TooLarge
from faultiso.engine.order import Elimination
from faultiso.engine.plan import BYTES, DEFAULT_LIMIT, Plan, compile_plan, find_order, readable
from faultiso.engine.propagate import propagate
from faultiso.network.network import Array, Network

LONGEST_CUT = 10
TABLES = 3  # tables of the size of the whole tree that a propagation holds


@dataclass(frozen=True)
class Mixture:
    """What the cases say together: as far as asked, the same questions as a propagation."""

    log_evidence: Array
    marginals: Mapping[int, Array]

    def marginal(self, variable: int) -> Array:
        """P(variable | evidence), shape (states, columns); zeros where the evidence is impossible."""
        return self.marginals[variable]


def compile_cut(network: Network, limit: int = DEFAULT_LIMIT) -> Plan:
    """A plan in which the told variables are ``given``, few enough that the rest fits into ``limit`` bytes.

    Raises ``TooLarge`` where even the longest cut does not suffice.
    """
    cut: set[int] = set()
    order = find_order(network, (), given=cut)
    while BYTES * TABLES * order.cost > limit and len(cut) < LONGEST_CUT:
        cut.add(_busiest(order, network.cards, cut))
        order = find_order(network, (), given=cut)
    needed = BYTES * TABLES * order.cost
    if needed > limit:
        raise TooLarge(
            f"an exact answer needs about {readable(needed)} of memory even with {len(cut)} quantities told "
            f"in turn, more than the limit of {readable(limit)}; use fewer sets of conditions"
        )
    return compile_plan(network, given=cut, limit=limit)


def _busiest(order: Elimination, cards: Sequence[int], cut: set[int]) -> int:
    """The variable in the most of the large cliques, weighted by their size."""
    weight: dict[int, float] = {}
    for v, later in order.later.items():
        clique = {v, *later}
        size = float(np.prod([cards[w] for w in clique]))
        for w in clique - cut:
            weight[w] = weight.get(w, 0.0) + size
    return max(sorted(weight), key=weight.__getitem__)


def propagate_cut(
    plan: Plan, likelihoods: Mapping[int, Array], columns: int = 1, wanted: Sequence[int] = ()
) -> Mixture:
    """Collect and distribute once for every combination of states of the plan's ``given`` variables.

    ``likelihoods`` as in ``propagate``, on any variable. ``wanted``: whose marginals will be asked.
    """
    cut = sorted(plan.given)
    cases = list(product(*[range(plan.network.cards[v]) for v in cut]))
    logs = np.empty((len(cases), columns))
    found = {v: np.zeros((len(cases), plan.network.cards[v], columns)) for v in wanted}
    for number, states in enumerate(cases):
        known = dict(zip(cut, states, strict=True))
        run = propagate(plan, likelihoods, columns=columns, wanted=list(wanted), known=known)
        logs[number] = run.log_evidence
        for v in wanted:
            found[v][number] = run.marginal(v)
    highest = logs.max(axis=0)
    safe = np.where(np.isfinite(highest), highest, 0.0)
    weights = np.exp(logs - safe)
    total = weights.sum(axis=0)
    with np.errstate(divide="ignore"):
        log_evidence = np.where(np.isfinite(highest), safe + np.log(total), -np.inf)
    share = weights / np.where(total > 0, total, 1.0)
    marginals = {v: np.einsum("kc,ksc->sc", share, tables) for v, tables in found.items()}
    return Mixture(log_evidence, marginals)
