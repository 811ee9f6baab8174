"""Clique tables: what holds before any evidence, and how evidence enters.

Tables are (entries, columns) with the batch axis last; a part of the tree that no column-dependent evidence
reaches keeps one column.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import prod

import numpy as np
from numpy.typing import NDArray

from faultiso.engine.plan import Plan, arrange, project
from faultiso.network.network import Array

Known = Mapping[int, int | NDArray[np.intp]]
Factor = tuple[Sequence[int], Array]

NOTHING: Array = np.empty((0, 1))

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


class Tables:
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
        base = Prior(products(plan))
        kept = plan.__dict__["_prior"] = base if plan.entries > KEPT else _collected(plan, base)
    return kept


def products(plan: Plan) -> list[Array]:
    """The product of the network's tables in each clique, but for those that depend on known variables."""
    build = Tables(plan, Prior([np.ones((plan.size(c), 1)) for c in range(len(plan.cliques))]))
    build.owned = [True] * len(plan.cliques)
    for v, parents in enumerate(plan.network.parents):
        family = (*parents, v)
        if not plan.given.intersection(family):
            build.factor(family, plan.network.tables[v][..., None])
    return build.tables


def _collected(plan: Plan, base: Prior) -> Prior:
    build = Tables(plan, base)
    tables: list[Array] = [NOTHING] * len(plan.cliques)
    messages: list[Array] = [NOTHING] * len(plan.cliques)
    conditionals: list[Array] = [NOTHING] * len(plan.cliques)
    logs = [0.0] * len(plan.cliques)
    for c in range(len(plan.cliques) - 1, -1, -1):
        tables[c] = build.tables[c]
        messages[c], scale, conditionals[c] = send(plan, c, tables[c], keep=True)
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
) -> tuple[Tables, Array]:
    """Clique tables with the evidence in, and the logarithm of what does not depend on any free variable."""
    build = Tables(plan, prior_of(plan))
    constant = np.zeros(columns)
    for told in told_families(plan):
        table = told.at(known)
        if told.clique < 0:
            with np.errstate(divide="ignore"):
                constant = constant + np.log(table[0])
        else:
            build.multiply(told.clique, table.reshape((*told.spread, -1)), told.shape)
    for variables, table in _evidence(plan, likelihoods, factors):
        free, table = at_known(table, variables, plan.given, known)
        if free:
            build.factor(free, table)
        else:
            with np.errstate(divide="ignore"):
                constant = constant + np.log(table)
    return build, constant


@dataclass(frozen=True)
class Told:
    """A table of the network of which some variables are known in every column, laid out once for a plan.

    ``table`` (states of the known variables, entries of the free ones in the plan's order); ``clique`` is -1
    where nothing is free.
    """

    known: tuple[int, ...]
    cards: tuple[int, ...]
    table: Array
    clique: int
    spread: tuple[int, ...]
    shape: tuple[int, ...]

    @property
    def states(self) -> int:
        """The number of states that the known variables have together."""
        return len(self.table)

    def rows(self, known: Known) -> NDArray[np.intp]:
        """The row of the table at the known states, shape (columns or 1,)."""
        row = np.zeros((), dtype=np.intp)
        for v, card in zip(self.known, self.cards, strict=True):
            row = row * card + np.asarray(known[v])
        return np.atleast_1d(row)

    def at(self, known: Known) -> Array:
        """The table at the known states, shape (free entries, columns or 1)."""
        return self.table[self.rows(known)].T


def told_families(plan: Plan) -> list[Told]:
    """All tables with known variables, kept with the plan."""
    kept: list[Told] | None = plan.__dict__.get("_told")
    if kept is None:
        families = [(*parents, v) for v, parents in enumerate(plan.network.parents)]
        kept = plan.__dict__["_told"] = [
            _laid_out(plan, family) for family in families if plan.given.intersection(family)
        ]
    return kept


def _laid_out(plan: Plan, family: tuple[int, ...]) -> Told:
    cards = plan.network.cards
    known = tuple(v for v in family if v in plan.given)
    free = plan.ordered(v for v in family if v not in plan.given)
    table = np.transpose(plan.network.tables[family[-1]], [family.index(v) for v in (*known, *free)])
    flat = np.ascontiguousarray(table).reshape(prod(cards[v] for v in known), -1)
    told = tuple(cards[v] for v in known)
    clique = plan.clique_of(free) if free else -1
    if clique is None:
        raise ValueError("a table of the network does not lie in one clique of the plan")
    if clique < 0:
        return Told(known, told, flat, -1, (), ())
    layout = project(plan.cliques[clique].variables, free, cards)
    return Told(known, told, flat, clique, layout.spread, layout.shape)


def _evidence(
    plan: Plan, likelihoods: Mapping[int, Array], factors: Iterable[Factor]
) -> Iterable[tuple[Sequence[int], Array]]:
    """Everything to multiply in, each with a trailing batch axis."""
    for v, table in likelihoods.items():
        yield (v,), _with_columns(table, 1)
    for variables, table in factors:
        yield variables, _with_columns(table, len(variables))


def _with_columns(table: Array, axes: int) -> Array:
    table = np.asarray(table, dtype=float)
    return table[..., None] if table.ndim == axes else table


def at_known(
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


def send(plan: Plan, c: int, table: Array, keep: bool) -> tuple[Array, Array, Array]:
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
