"""Batched message passing on a plan: one pass towards the roots, one back, all columns at once.

Each message is scaled by its largest entry, column by column, and the logarithms
are added up, so nothing underflows; impossible evidence gives minus infinity and zeros, never nan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from faultiso.base.problems import TooLarge
from faultiso.engine.plan import DEFAULT_LIMIT, Plan, project, readable
from faultiso.engine.tables import NOTHING, Factor, Known, Tables, enter, send
from faultiso.network.network import Array


@dataclass(frozen=True)
class Propagation:
    """Everything that can be asked after a full propagation.

    ``log_evidence`` has shape (columns,), natural logarithm. ``joints[c]`` is P(clique c | evidence) and
    ``conditionals[c]`` P(own variables | separator, evidence), both of shape (entries, columns or 1).
    """

    plan: Plan
    columns: int
    log_evidence: Array
    joints: Sequence[Array]
    conditionals: Sequence[Array]
    known: Known

    def marginal(self, variable: int) -> Array:
        """P(variable | evidence), shape (states, columns); zeros where the evidence is impossible."""
        return self.joint((variable,))

    def joint(self, variables: Sequence[int]) -> Array:
        """P(variables | evidence) for a group that lies in one clique, shape (*states, columns)."""
        plan, cards = self.plan, self.plan.network.cards
        free = tuple(v for v in variables if v not in plan.given)
        clique = plan.clique_of(free)
        if clique is None and free:
            raise ValueError("the variables do not lie together in one clique of the plan")
        ordered = plan.ordered(free)
        table = self._possible()[None, :] if clique is None or not free else self._project(clique, ordered)
        table = table.reshape(*[cards[v] for v in ordered], table.shape[-1])
        table = np.transpose(table, (*[ordered.index(v) for v in free], len(free)))
        table = np.broadcast_to(table, (*table.shape[:-1], self.columns))
        return table if len(free) == len(variables) else self._with_known(table, variables)

    def _project(self, clique: int, ordered: Sequence[int]) -> Array:
        if self.joints[clique].size == 0:
            raise ValueError("the variables were not among those wanted")
        shape = project(self.plan.cliques[clique].variables, ordered, self.plan.network.cards)
        return shape.down(self.joints[clique])

    def _possible(self) -> Array:
        return (self.log_evidence > -np.inf).astype(float)

    def _with_known(self, table: Array, variables: Sequence[int]) -> Array:
        """Put the axes of known variables back, one-hot."""
        cards = self.plan.network.cards
        for axis, v in enumerate(variables):
            if v in self.plan.given:
                states = np.arange(cards[v])[:, None] == np.asarray(self.known[v])
                hot = states.reshape((1,) * axis + (cards[v],) + (1,) * (table.ndim - axis - 1) + (-1,))
                table = np.expand_dims(table, axis) * hot
        return table


def propagate(
    plan: Plan,
    likelihoods: Mapping[int, Array],
    columns: int = 1,
    wanted: Sequence[int] | None = None,
    *,
    factors: Iterable[Factor] = (),
    known: Known | None = None,
    limit: int = DEFAULT_LIMIT,
) -> Propagation:
    """Collect and distribute.

    ``likelihoods[v]``: shape (states,) for all columns or (states, columns); one-hot is hard evidence, any
    non-negative weights are soft evidence. ``factors``: (variables, table) with tables of shape (*states) or
    (*states, columns), for evidence on a group that lies in one clique. ``known``: the state of each given
    variable, one for all columns or one for each. ``wanted``: variables that will be asked (None: all).
    Raises ``TooLarge`` before anything is allocated when the batch would not fit into ``limit`` bytes.
    """
    _fits(plan.bytes(columns), limit)
    known = known or {}
    build, constant = enter(plan, likelihoods, columns, factors, known)
    log_evidence, conditionals = _collect(build, columns, keep=True)
    log_evidence = log_evidence + constant
    if conditionals:
        conditionals[0] = conditionals[0] * (log_evidence > -np.inf)
    joints = _distribute(plan, conditionals, wanted)
    return Propagation(plan, columns, log_evidence, joints, conditionals, known)


def log_evidence(
    plan: Plan,
    likelihoods: Mapping[int, Array],
    columns: int = 1,
    *,
    factors: Iterable[Factor] = (),
    known: Known | None = None,
    limit: int = DEFAULT_LIMIT,
) -> Array:
    """Natural logarithm of P(evidence) of each column, shape (columns,): the collecting half only.

    Runs in blocks of columns where the whole batch would not fit into ``limit`` bytes.
    """
    result = np.empty(columns)
    factors, known = tuple(factors), known or {}
    for block in blocks(plan, columns, limit):
        size = block.stop - block.start
        some, more, told = cut(plan, likelihoods, factors, known, columns, block)
        build, constant = enter(plan, some, size, more, told)
        result[block] = _collect(build, size, keep=False)[0] + constant
    return result


def blocks(plan: Plan, columns: int, limit: int = DEFAULT_LIMIT) -> list[slice]:
    """Blocks of columns that each fit into ``limit`` bytes; raises ``TooLarge`` if not even one does."""
    _fits(plan.bytes(1), limit)
    each = plan.bytes(2) - plan.bytes(1)
    width = max(1, 1 + (limit - plan.bytes(1)) // max(each, 1))
    return [slice(start, min(start + width, columns)) for start in range(0, columns, width)]


def _fits(needed: int, limit: int) -> None:
    if needed > limit:
        raise TooLarge(
            f"this needs about {readable(needed)} of memory, more than the limit of {readable(limit)}"
        )


def cut(
    plan: Plan,
    likelihoods: Mapping[int, Array],
    factors: Sequence[Factor],
    known: Known,
    columns: int,
    block: slice,
) -> tuple[dict[int, Array], list[Factor], Known]:
    """The evidence of one block of columns."""
    some = {v: table[:, block] if np.ndim(table) > 1 else table for v, table in likelihoods.items()}
    more = [(vs, table[..., block] if np.ndim(table) > len(vs) else table) for vs, table in factors]
    told = {v: state if np.ndim(state) == 0 else np.asarray(state)[block] for v, state in known.items()}
    return some, more, told


def _collect(build: Tables, columns: int, keep: bool) -> tuple[Array, list[Array]]:
    """Towards the root: the log evidence, and with ``keep`` P(own variables | separator, evidence below)."""
    plan, prior = build.plan, build.prior
    scales: list[Array] = []
    conditionals: list[Array] = list(prior.conditionals or [NOTHING] * len(plan.cliques))
    untouched = 0.0
    for c in range(len(plan.cliques) - 1, -1, -1):
        if not build.touched[c]:
            untouched += prior.logs[c]
            continue
        message, scale, conditionals[c] = send(plan, c, build.tables[c], keep)
        build.tables[c] = NOTHING
        scales.append(scale)
        if c > 0:
            to_parent = plan.cliques[c].to_parent
            if prior.messages:  # the parent has absorbed what this clique sent without evidence
                message = message / (prior.messages[c] + (prior.messages[c] == 0))
            build.multiply(plan.cliques[c].parent, to_parent.up(message), to_parent.shape)
    return _log_total(scales, columns) + untouched, conditionals


def _log_total(scales: Sequence[Array], columns: int) -> Array:
    total = np.zeros(columns)
    single = [scale for scale in scales if scale.shape[0] == 1]
    with np.errstate(divide="ignore"):
        if single:
            total += np.log(np.concatenate(single)).sum()
        for scale in scales:
            if scale.shape[0] != 1:
                total += np.log(scale)
    return total


def _distribute(plan: Plan, conditionals: Sequence[Array], wanted: Sequence[int] | None) -> list[Array]:
    """Away from the roots: P(clique | evidence) of each clique that somebody wants."""
    needed = _needed(plan, wanted)
    joints: list[Array] = []
    for c, clique in enumerate(plan.cliques):
        table = conditionals[c]
        if not needed[c]:
            joints.append(NOTHING)
        elif clique.parent < 0:
            joints.append(table)
        else:
            outer = clique.to_parent.down(joints[clique.parent])
            shaped = table.reshape(clique.outer, clique.inner, table.shape[1]) * outer[:, None, :]
            joints.append(shaped.reshape(plan.size(c), shaped.shape[2]))
    return joints


def _needed(plan: Plan, wanted: Sequence[int] | None) -> list[bool]:
    if wanted is None:
        return [True] * len(plan.cliques)
    needed = [False] * len(plan.cliques)
    for v in wanted:
        c = plan.smallest[v] if v not in plan.given else -1
        while c >= 0 and not needed[c]:
            needed[c] = True
            c = plan.cliques[c].parent
    return needed
