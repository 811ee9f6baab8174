"""Elimination orders: which variable to sum out next so that the tables stay small.

Greedy, deterministic, on neighbour sets kept as bit masks (an int whose bit v says "v is a neighbour").
Two scores are known to work well on causal networks (Kjaerulff 1990): the weight of the table that the
elimination makes, and the weight of the edges it adds ("fill").
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from math import exp, log

Score = tuple[float, float]


def bits(mask: int) -> Iterator[int]:
    """The positions of the ones of ``mask``, lowest first."""
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low


def mask_of(variables: Iterable[int]) -> int:
    """The bit mask of a set of variables."""
    mask = 0
    for v in variables:
        mask |= 1 << v
    return mask


def moral_graph(groups: Iterable[Sequence[int]], count: int) -> list[set[int]]:
    """Neighbour sets of the graph in which every group of variables is fully connected."""
    neighbours: list[set[int]] = [set() for _ in range(count)]
    for group in groups:
        for v in group:
            neighbours[v].update(group)
    for v, around in enumerate(neighbours):
        around.discard(v)
    return neighbours


@dataclass(frozen=True)
class Elimination:
    """An order, the later neighbours of each variable when it goes, and the total of the table entries."""

    order: tuple[int, ...]
    later: dict[int, frozenset[int]]
    cost: float


class _Graph:
    """The shrinking graph: eliminating a variable connects its neighbours."""

    def __init__(self, neighbours: Sequence[set[int]], cards: Sequence[int]) -> None:
        self.around = [set(around) for around in neighbours]
        self.masks = [mask_of(around) for around in neighbours]
        self.weights = [log(card) for card in cards]

    def weight(self, v: int) -> float:
        weights = self.weights
        return weights[v] + sum([weights[u] for u in self.around[v]])

    def missing(self, v: int) -> int:
        """Number of edges that eliminating ``v`` adds, each counted twice."""
        around, masks, mask = self.around[v], self.masks, self.masks[v]
        linked = sum([(masks[u] & mask).bit_count() for u in around])
        return len(around) * (len(around) - 1) - linked

    def eliminate(self, v: int) -> set[int]:
        """Remove ``v``; returns the variables whose scores may have changed."""
        around, gone, mask = self.around[v], ~(1 << v), self.masks[v]
        changed = set(around)
        for u in around:
            added = mask & ~self.masks[u] & ~(1 << u)
            self.around[u].discard(v)
            if added:
                self.around[u].update(bits(added))
                changed |= self.around[u]
            self.masks[u] = (self.masks[u] | added) & gone
        return changed


def _by_weight(graph: _Graph, v: int) -> Score:
    missing = graph.missing(v)
    return (-1.0 if missing == 0 else graph.weight(v), missing)


def _by_fill(graph: _Graph, v: int) -> Score:
    missing = graph.missing(v)
    return (missing, graph.weight(v))


def _greedy(
    neighbours: Sequence[set[int]],
    cards: Sequence[int],
    variables: Sequence[int],
    score: Callable[[_Graph, int], Score],
    rank: Sequence[float],
    bound: float,
) -> Elimination | None:
    """One greedy order; ties by ``rank``. None as soon as it costs more than ``bound``."""
    graph = _Graph(neighbours, cards)
    scores: dict[int, Score] = {v: score(graph, v) for v in variables}
    heap = [(scores[v], rank[v], v) for v in variables]
    heapify(heap)
    order: list[int] = []
    later: dict[int, frozenset[int]] = {}
    cost = 0.0
    while heap:
        found, _, v = heappop(heap)
        if scores.get(v) != found:
            continue
        del scores[v]
        order.append(v)
        later[v] = frozenset(graph.around[v])
        cost += exp(min(graph.weight(v), 300.0))
        if cost > bound:
            return None
        for u in graph.eliminate(v):
            if u in scores:
                fresh = score(graph, u)
                if fresh != scores[u]:
                    scores[u] = fresh
                    heappush(heap, (fresh, rank[u], u))
    return Elimination(tuple(order), later, cost)


def eliminate(
    neighbours: Sequence[set[int]],
    cards: Sequence[int],
    variables: Sequence[int],
    *,
    tries: int = 0,
    easy: float = 1 << 16,
) -> Elimination:
    """The cheapest order found: by fill, then by weight, then ``tries`` orders with random ties.

    The search stops early when the total of the table entries is at most ``easy``. The same input gives
    the same order on every machine.
    """
    ranks: list[float] = [float(v) for v in range(len(neighbours))]
    best = _greedy(neighbours, cards, variables, _by_fill, ranks, float("inf"))
    assert best is not None
    if best.cost <= easy:
        return best
    best = _greedy(neighbours, cards, variables, _by_weight, ranks, best.cost) or best
    draw = random.Random(1)
    for attempt in range(tries):
        ranks = [draw.random() for _ in neighbours]
        score = (_by_fill, _by_weight)[attempt % 2]
        best = _greedy(neighbours, cards, variables, score, ranks, best.cost) or best
    return best
