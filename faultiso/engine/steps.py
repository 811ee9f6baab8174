"""What the pass over all pairs does at each clique, worked out before any evidence is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import prod

import numpy as np

from faultiso.engine.features import Features, depth_first
from faultiso.engine.plan import Plan, Projection, project
from faultiso.network.network import Array

DENSE = 1 << 18
"""Up to this many entries, sums over a clique are done as one product with a table of zeros and ones."""


@dataclass(frozen=True)
class Step:
    """What is done at one clique.

    Features ``low`` to ``high`` are at home in the subtree, the first of them in this clique: ``home``
    (entries, own plain features) are their values. ``made``: products at home here, ``crossed``: products
    whose path enters the subtree here, both (feature, left, right). ``feeding``: children with features,
    ``onward``: children with faults, and how the clique is summed down to their separators. ``pattern``
    (rows, entries) does all these sums, then those over the faults at home, at once; None where too large.
    """

    clique: int
    leaf: bool
    low: int
    high: int
    home: Array
    made: tuple[tuple[int, int, int], ...]
    crossed: tuple[tuple[int, int, int], ...]
    feeding: tuple[tuple[int, int, int], ...]  # (child, its low, its high)
    onward: tuple[tuple[int, Projection], ...]
    pattern: Array | None
    faults: tuple[int, ...]  # numbers of the faults at home here
    present: Array  # (entries or, in a leaf, own entries; faults): 1 where the fault is present


def prepare_steps(plan: Plan, faults: Sequence[int], features: Features) -> tuple[Step, ...]:
    """The cliques that have work to do, parents first."""
    walk = depth_first(plan)
    build = _Preparation(plan, tuple(faults), features, walk)
    return tuple(build.step(c) for c in walk if c == 0 or build.is_live(c))


class _Preparation:
    """What the steps have in common: where features and faults are, and which subtrees hold any."""

    def __init__(self, plan: Plan, faults: tuple[int, ...], features: Features, walk: Sequence[int]) -> None:
        self.plan, self.faults, self.features = plan, faults, features
        self.children: dict[int, list[int]] = {c: [] for c in walk}
        for c in walk[1:]:
            self.children[plan.cliques[c].parent].append(c)
        self.at_home: dict[int, list[int]] = {}
        for number, fault in enumerate(faults):
            self.at_home.setdefault(plan.top[fault], []).append(number)
        self.ranges: dict[int, tuple[int, int]] = {}
        self.asking: set[int] = set(self.at_home)  # cliques with faults in their subtree
        self._walk_up(walk)
        self.crossed: dict[int, list[tuple[int, int, int]]] = {}
        self.made: dict[int, list[tuple[int, int, int]]] = {}
        for number, feature in enumerate(features.features):
            if feature.factors is not None:
                for c in feature.path:
                    found = self.made if c == feature.home else self.crossed
                    found.setdefault(c, []).append((number, *feature.factors))

    def _walk_up(self, walk: Sequence[int]) -> None:
        first = 0
        for c in walk:
            self.ranges[c] = (first, first)
            first += len(self.features.at.get(c, ()))
        for c in reversed(walk):
            ends = [self.ranges[child][1] for child in self.children[c]]
            low = self.ranges[c][0]
            self.ranges[c] = (low, max([low + len(self.features.at.get(c, ())), *ends]))
            if c in self.asking and self.plan.cliques[c].parent >= 0:
                self.asking.add(self.plan.cliques[c].parent)

    def is_live(self, c: int) -> bool:
        low, high = self.ranges[c]
        return c in self.asking or low < high

    def step(self, c: int) -> Step:
        plan, clique = self.plan, self.plan.cliques[c]
        onward = tuple(
            (child, plan.cliques[child].to_parent) for child in self.children[c] if child in self.asking
        )
        leaf = clique.parent >= 0 and not any(map(self.is_live, self.children[c])) and c not in self.crossed
        numbers = tuple(self.at_home.get(c, ()))
        own = clique.variables[len(clique.separator) :]
        present = self._present(numbers, own if leaf else clique.variables)
        low, high = self.ranges[c]
        return Step(
            clique=c,
            leaf=leaf,
            low=low,
            high=high,
            home=self._home(c),
            made=tuple(self.made.get(c, ())),
            crossed=tuple(self.crossed.get(c, ())),
            feeding=tuple(
                (child, *self.ranges[child])
                for child in self.children[c]
                if self.ranges[child][0] < self.ranges[child][1]
            ),
            onward=onward,
            pattern=None if leaf else _pattern(plan.size(c), onward, present),
            faults=numbers,
            present=present,
        )

    def _home(self, c: int) -> Array:
        """Values of the plain features at home here, shape (entries, features)."""
        variables, cards = self.plan.cliques[c].variables, self.plan.network.cards
        columns = []
        for number in self.features.at.get(c, ()):
            feature = self.features.features[number]
            if feature.values is not None:
                spread = project(variables, feature.variables, cards)
                columns.append(_over(spread, feature.values.reshape(-1)))
        return np.array(columns).T if columns else np.empty((self.plan.size(c), 0))

    def _present(self, numbers: Sequence[int], variables: Sequence[int]) -> Array:
        """1 where a fault is present, shape (entries over ``variables``, faults)."""
        cards = self.plan.network.cards
        columns = []
        for number in numbers:
            states = np.arange(cards[self.faults[number]]) > 0
            columns.append(_over(project(variables, (self.faults[number],), cards), states.astype(float)))
        return np.array(columns).T if columns else np.empty((prod(cards[v] for v in variables), 0))


def _over(spread: Projection, values: Array) -> Array:
    """Values of a few variables, repeated over all entries of a larger table."""
    return np.broadcast_to(spread.up(values), spread.shape).reshape(-1)


def _pattern(entries: int, onward: Sequence[tuple[int, Projection]], present: Array) -> Array | None:
    """Rows of zeros and ones: which entries to sum for each separator state of each child, and each fault."""
    rows = sum(projection.size for _, projection in onward) + present.shape[1]
    if rows * entries > DENSE:
        return None
    pattern = np.zeros((rows, entries))
    row = 0
    for _, projection in onward:
        places = _over(projection, np.arange(projection.size, dtype=float)).astype(int)
        pattern[row + places, np.arange(entries)] = 1.0
        row += projection.size
    pattern[row:] = present.T
    return pattern
