"""What checks look at: as few functions of the network's variables as possible, shared between checks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import prod

import numpy as np

from faultiso.engine.plan import Plan, arrange
from faultiso.network.network import Array

Key = tuple[object, ...]


@dataclass(frozen=True)
class Source:
    """A check that is not in the network: P(outcome | parents), shape (states of parents..., outcomes)."""

    parents: tuple[int, ...]
    table: Array


@dataclass(frozen=True)
class Feature:
    """A function of variables of one clique, or the product of two such functions in different cliques.

    ``values`` has one axis for each of ``variables`` (in the plan's order). A product has ``factors``, the
    numbers of two other features, and ``path``, the cliques from one to the other; its home is where the
    path is nearest to the root.
    """

    home: int
    variables: tuple[int, ...] = ()
    values: Array | None = None
    factors: tuple[int, int] | None = None
    path: tuple[int, ...] = ()


@dataclass(frozen=True)
class Reading:
    """P(outcome) of a check is ``start`` + E[features ``columns``] @ ``weights``."""

    start: Array
    columns: tuple[int, ...]
    weights: Array


@dataclass(frozen=True)
class Features:
    """All features, ordered so that those at home in a subtree of the plan are neighbours."""

    features: tuple[Feature, ...]
    readings: tuple[Reading, ...]

    @property
    def count(self) -> int:
        return len(self.features)

    @cached_property
    def at(self) -> Mapping[int, tuple[int, ...]]:
        """The features at home in each clique."""
        found: dict[int, list[int]] = {}
        for number, feature in enumerate(self.features):
            found.setdefault(feature.home, []).append(number)
        return {clique: tuple(numbers) for clique, numbers in found.items()}


def build_features(plan: Plan, sources: Sequence[Source]) -> Features:
    """The features that the checks need on this plan."""
    build = _Build(plan)
    groups: dict[tuple[int, ...], list[int]] = {}
    arranged = [arrange(source.table, source.parents, plan) for source in sources]
    for check, (parents, _) in enumerate(arranged):
        groups.setdefault(parents, []).append(check)
    readings: dict[int, Reading] = {}
    for parents, checks in groups.items():
        tables = [arranged[check][1] for check in checks]
        readings.update(zip(checks, build.group(parents, tables), strict=True))
    return build.finish([readings[check] for check in range(len(sources))])


class _Build:
    """Features under construction, numbered as they come; ``finish`` puts them into tree order."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.features: list[Feature] = []
        self.known: dict[Key, int] = {}

    def group(self, parents: tuple[int, ...], tables: Sequence[Array]) -> list[Reading]:
        """Readings of all checks with the same parents."""
        if len(parents) == 0:
            return [Reading(table, (), np.empty((0, len(table)))) for table in tables]
        if len(parents) == 1:
            return [self._by_state(parents[0], table) for table in tables]
        if self.plan.clique_of(parents) is not None:
            return self._together(parents, tables)
        if len(parents) == 2:
            return [self._apart(parents[0], parents[1], table) for table in tables]
        raise ValueError("the parents of a check must lie together in one clique of the plan")

    def _plain(self, key: Key, variables: tuple[int, ...], values: Array) -> int:
        clique = self.plan.top[max(variables, key=self.plan.position.__getitem__)]
        return self._add(key, Feature(clique, variables, values))

    def _add(self, key: Key, feature: Feature) -> int:
        if key not in self.known:
            self.known[key] = len(self.features)
            self.features.append(feature)
        return self.known[key]

    def _states(self, variable: int) -> list[int]:
        """One feature for each state but the first."""
        states = self.plan.network.cards[variable]
        hot = np.eye(states)
        return [self._plain(("state", variable, s), (variable,), hot[s]) for s in range(1, states)]

    def _by_state(self, variable: int, table: Array) -> Reading:
        return Reading(table[0], tuple(self._states(variable)), table[1:] - table[0])

    def _together(self, parents: tuple[int, ...], tables: Sequence[Array]) -> list[Reading]:
        """One feature for each outcome but the first, or for each parent state but the first if fewer."""
        shape = tables[0].shape[:-1]
        outcomes = sum(table.shape[-1] - 1 for table in tables)
        if outcomes < prod(shape) - 1:
            return [self._by_outcome(parents, check, table) for check, table in enumerate(tables)]
        hot = np.eye(prod(shape)).reshape(-1, *shape)
        columns = tuple(self._plain(("group", parents, s), parents, hot[s]) for s in range(1, len(hot)))
        flat = [table.reshape(len(hot), -1) for table in tables]
        return [Reading(table[0], columns, table[1:] - table[0]) for table in flat]

    def _by_outcome(self, parents: tuple[int, ...], check: int, table: Array) -> Reading:
        outcomes = table.shape[-1]
        columns = tuple(
            self._plain(("outcome", parents, check, o), parents, table[..., o]) for o in range(1, outcomes)
        )
        weights = np.hstack([np.full((outcomes - 1, 1), -1.0), np.eye(outcomes - 1)])
        return Reading(np.eye(outcomes)[0], columns, weights)

    def _apart(self, left: int, right: int, table: Array) -> Reading:
        """Single states of both parents, and products of a state of one and a state of the other."""
        first, second = self._states(left), self._states(right)
        products = [self._product(one, other) for one in first for other in second]
        along = (table[1:, :1] - table[:1, :1], table[:1, 1:] - table[:1, :1])
        both = table[1:, 1:] - table[1:, :1] - table[:1, 1:] + table[:1, :1]
        weights = [part.reshape(-1, table.shape[-1]) for part in (*along, both)]
        return Reading(table[0, 0], (*first, *second, *products), np.vstack(weights))

    def _product(self, left: int, right: int) -> int:
        path, top = _path(self.plan, self.features[left].home, self.features[right].home)
        return self._add(("product", left, right), Feature(top, factors=(left, right), path=path))

    def finish(self, readings: Sequence[Reading]) -> Features:
        """Order by the place of the home in a depth-first walk; products after what they are made of."""
        place = {clique: number for number, clique in enumerate(depth_first(self.plan))}
        order = sorted(
            range(len(self.features)),
            key=lambda n: (place[self.features[n].home], self.features[n].factors is not None, n),
        )
        new = {old: number for number, old in enumerate(order)}
        return Features(
            tuple(_renumbered(self.features[old], new) for old in order),
            tuple(
                Reading(reading.start, tuple(new[c] for c in reading.columns), reading.weights)
                for reading in readings
            ),
        )


def _renumbered(feature: Feature, new: Mapping[int, int]) -> Feature:
    if feature.factors is None:
        return feature
    left, right = feature.factors
    return Feature(feature.home, factors=(new[left], new[right]), path=feature.path)


def depth_first(plan: Plan) -> list[int]:
    """Cliques so that every subtree is a run of neighbours that its root leads."""
    children: list[list[int]] = [[] for _ in plan.cliques]
    for c, clique in enumerate(plan.cliques):
        if clique.parent >= 0:
            children[clique.parent].append(c)
    walk: list[int] = []
    todo = [0] if plan.cliques else []
    while todo:
        c = todo.pop()
        walk.append(c)
        todo.extend(reversed(children[c]))
    return walk


def _path(plan: Plan, start: int, end: int) -> tuple[tuple[int, ...], int]:
    """The cliques between two cliques, both included, and the one of them nearest to the root."""
    path = {start, end}
    while start != end:
        if start > end:
            start = plan.cliques[start].parent
        else:
            end = plan.cliques[end].parent
        path |= {start, end}
    return tuple(sorted(path)), start
