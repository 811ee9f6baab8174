"""Batched message passing on a plan: one pass towards the roots, one back, all columns at once.

Tables are (entries, columns) with the batch axis last; a part of the tree that no column-dependent evidence
reaches keeps one column. Each message is scaled by its largest entry, column by column, and the logarithms
are added up, so nothing underflows; impossible evidence gives minus infinity and zeros, never nan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from faultiso.base.problems import TooLarge
from faultiso.engine.plan import DEFAULT_LIMIT, Plan, arrange, project, readable
from faultiso.network.network import Array

Known = Mapping[int, int | NDArray[np.intp]]
Factor = tuple[Sequence[int], Array]

NOTHING: Array = np.empty((0, 1))


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
        some, more, told = _cut(plan, likelihoods, factors, known, columns, block)
        build, constant = enter(plan, some, size, more, told)
        result[block] = _collect(build, size, keep=False)[0] + constant
    return result


def marginals(
    plan: Plan,
    likelihoods: Mapping[int, Array],
    columns: int,
    wanted: Sequence[int],
    *,
    factors: Iterable[Factor] = (),
    known: Known | None = None,
    limit: int = DEFAULT_LIMIT,
) -> tuple[Array, dict[int, Array]]:
    """(log evidence, {variable: (states, columns)}), in blocks of columns that fit into ``limit`` bytes."""
    logs = np.empty(columns)
    result = {v: np.empty((plan.network.cards[v], columns)) for v in wanted}
    factors, known = tuple(factors), known or {}
    for block in blocks(plan, columns, limit):
        some, more, told = _cut(plan, likelihoods, factors, known, columns, block)
        size = block.stop - block.start
        run = propagate(plan, some, size, wanted, factors=more, known=told, limit=limit)
        logs[block] = run.log_evidence
        for v in wanted:
            result[v][:, block] = run.marginal(v)
    return logs, result


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


def _cut(
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


KEPT = 1 << 20
"""Up to this many table entries, what holds without evidence is worked out once and kept with the plan."""


@dataclass(frozen=True)
class Prior:
    """Clique tables without evidence, (entries, 1) each.

    If ``conditionals`` is set, ``tables`` have absorbed the messages of their children, and ``conditionals``,
    ``messages`` and ``logs`` (of their scales) are those of a collection without evidence. Only cliques that
    evidence reaches, and those between them and the root, are then worked on.
    """

    tables: Sequence[Array]
    conditionals: Sequence[Array] | None = None
    messages: Sequence[Array] = ()
    logs: Sequence[float] = ()


class _Tables:
    """Clique tables under construction: shared ones are copied when first written to."""

    def __init__(self, plan: Plan, prior: Prior) -> None:
        self.plan = plan
        self.prior = prior
        self.tables = list(prior.tables)
        self.touched = [prior.conditionals is None] * len(self.tables)
        self.owned = [False] * len(self.tables)

    def multiply(self, clique: int, table: Array, shape: tuple[int, ...]) -> None:
        """Multiply ``table``, which broadcasts against ``shape`` + (columns,), into a clique."""
        old = self.tables[clique]
        view = old.reshape(shape + old.shape[1:])
        self.touched[clique] = True
        if self.owned[clique] and table.shape[-1] <= old.shape[-1]:
            np.multiply(view, table, out=view)
            return
        fresh = view * table
        self.tables[clique] = fresh.reshape(old.shape[0], fresh.shape[-1])
        self.owned[clique] = True

    def factor(self, variables: Sequence[int], table: Array) -> None:
        """Multiply a table of shape (*states, columns or 1) into a clique that contains its variables."""
        plan = self.plan
        clique = plan.clique_of(variables)
        if clique is None:
            raise ValueError("evidence on variables that do not lie together in one clique of the plan")
        ordered, table = arrange(table, variables, plan)
        shape = project(plan.cliques[clique].variables, ordered, plan.network.cards)
        self.multiply(clique, table.reshape(shape.spread + table.shape[-1:]), shape.shape)


def prior_of(plan: Plan) -> Prior:
    """What holds before any evidence, kept with the plan where it is not too large."""
    kept: Prior | None = plan.__dict__.get("_prior")
    if kept is None:
        base = Prior(_products(plan))
        kept = plan.__dict__["_prior"] = base if plan.entries > KEPT else _collected(plan, base)
    return kept


def _products(plan: Plan) -> list[Array]:
    """The product of the network's tables in each clique, but for those that depend on known variables."""
    build = _Tables(plan, Prior([np.ones((plan.size(c), 1)) for c in range(len(plan.cliques))]))
    build.owned = [True] * len(plan.cliques)
    for v, parents in enumerate(plan.network.parents):
        family = (*parents, v)
        if not plan.given.intersection(family):
            build.factor(family, plan.network.tables[v][..., None])
    return build.tables


def _collected(plan: Plan, base: Prior) -> Prior:
    build = _Tables(plan, base)
    tables: list[Array] = [NOTHING] * len(plan.cliques)
    messages: list[Array] = [NOTHING] * len(plan.cliques)
    conditionals: list[Array] = [NOTHING] * len(plan.cliques)
    logs = [0.0] * len(plan.cliques)
    for c in range(len(plan.cliques) - 1, -1, -1):
        tables[c] = build.tables[c]
        messages[c], scale, conditionals[c] = _send(plan, c, tables[c], keep=True)
        logs[c] = float(np.log(scale[0]))
        if c > 0:
            to_parent = plan.cliques[c].to_parent
            build.multiply(plan.cliques[c].parent, to_parent.up(messages[c]), to_parent.shape)
    return Prior(tables, conditionals, messages, logs)


def enter(
    plan: Plan,
    likelihoods: Mapping[int, Array],
    columns: int,
    factors: Iterable[Factor],
    known: Known,
) -> tuple[_Tables, Array]:
    """Clique tables with the evidence in, and the logarithm of what does not depend on any free variable."""
    build = _Tables(plan, prior_of(plan))
    constant = np.zeros(columns)
    for variables, table in _evidence(plan, likelihoods, factors):
        free, table = _at_known(table, variables, plan.given, known)
        if free:
            build.factor(free, table)
        else:
            with np.errstate(divide="ignore"):
                constant = constant + np.log(table)
    return build, constant


def _evidence(
    plan: Plan, likelihoods: Mapping[int, Array], factors: Iterable[Factor]
) -> Iterable[tuple[Sequence[int], Array]]:
    """Everything to multiply in, each with a trailing batch axis."""
    for v, table in likelihoods.items():
        yield (v,), _with_columns(table, 1)
    for variables, table in factors:
        yield variables, _with_columns(table, len(variables))
    if plan.given:
        for v, parents in enumerate(plan.network.parents):
            family = (*parents, v)
            if plan.given.intersection(family):
                yield family, plan.network.tables[v][..., None]


def _with_columns(table: Array, axes: int) -> Array:
    table = np.asarray(table, dtype=float)
    return table[..., None] if table.ndim == axes else table


def _at_known(
    table: Array, variables: Sequence[int], given: frozenset[int], known: Known
) -> tuple[tuple[int, ...], Array]:
    """Pick the known states: (the variables that are left, table of shape (*states, columns or 1))."""
    free = tuple(v for v in variables if v not in given)
    if len(free) == len(variables):
        return free, table
    told = [axis for axis, v in enumerate(variables) if v in given]
    kept = [axis for axis, v in enumerate(variables) if v not in given]
    table = np.transpose(table, (*told, *kept, table.ndim - 1))
    states = np.broadcast_arrays(*[np.asarray(known[variables[axis]]) for axis in told])
    if states[0].ndim == 0:
        return free, table[tuple(states)]
    width = len(states[0])
    if table.shape[-1] == 1:
        return free, np.moveaxis(table[..., 0][tuple(states)], 0, -1)
    aligned = np.moveaxis(table, -1, len(told))
    return free, np.moveaxis(aligned[(*states, np.arange(width))], 0, -1)


def _collect(build: _Tables, columns: int, keep: bool) -> tuple[Array, list[Array]]:
    """Towards the root: the log evidence, and with ``keep`` P(own variables | separator, evidence below)."""
    plan, prior = build.plan, build.prior
    scales: list[Array] = []
    conditionals: list[Array] = list(prior.conditionals or [NOTHING] * len(plan.cliques))
    untouched = 0.0
    for c in range(len(plan.cliques) - 1, -1, -1):
        if not build.touched[c]:
            untouched += prior.logs[c]
            continue
        message, scale, conditionals[c] = _send(plan, c, build.tables[c], keep)
        build.tables[c] = NOTHING
        scales.append(scale)
        if c > 0:
            to_parent = plan.cliques[c].to_parent
            if prior.messages:  # the parent has absorbed what this clique sent without evidence
                message = message / (prior.messages[c] + (prior.messages[c] == 0))
            build.multiply(plan.cliques[c].parent, to_parent.up(message), to_parent.shape)
    return _log_total(scales, columns) + untouched, conditionals


def _send(plan: Plan, c: int, table: Array, keep: bool) -> tuple[Array, Array, Array]:
    """(message scaled to a largest entry of 1, its scale, P(own variables | separator))."""
    clique = plan.cliques[c]
    shaped = table.reshape(clique.outer, clique.inner, table.shape[1])
    message = shaped.sum(axis=1)
    scale = message.max(axis=0)
    conditional = NOTHING
    if keep:
        divisor = message + (message == 0)
        conditional = (shaped / divisor[:, None, :]).reshape(table.shape)
    return message / (scale + (scale == 0)), scale, conditional


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
